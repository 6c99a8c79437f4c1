package recurring

import (
	"fmt"
	"math"
	"testing"
)

// pressed is 8 rounds of 6 valves that move on by one cylinder each time and lose 20 bar, in turn with two gauges; spoil changes a
// visit.
func pressed(spoil func(round, c int, v *Visit)) []Visit {
	wiggle := []float64{1, -2, 0, 2, -1, 3, -3, 0, 1, 2, -2, -1}
	var all []Visit
	for round := range 8 {
		for c := range 6 {
			v := Visit{Round: fmt.Sprint("R", round), TestedIn: round, Holder: fmt.Sprint("H", c), Position: fmt.Sprint("P", (c+round)%6),
				Compares: round > 0, Looked: true, Hours: 2000, Bar: -20 + wiggle[(5*round+7*c)%12], SetIn: 6*(round-1) + c, Step: 1,
				Tested: fmt.Sprint("PG-", round%2), Set: fmt.Sprint("PG-", (round+1)%2), ErrorOf: 4, ErrorSet: 4}
			if round == 0 {
				v.SetIn = -1
			}
			spoil(round, c, &v)
			all = append(all, v)
		}
	}
	return all
}

func named(t *testing.T, visits []Visit, failures []Failures) []Pressures {
	t.Helper()
	all, asked := ExplainPressures(visits, failures, 0.02)
	if asked == 0 {
		t.Fatal("nothing was asked")
	}
	return all
}

func TestNothingIsNamedOfAnHonestShip(t *testing.T) {
	if all := named(t, pressed(func(int, int, *Visit) {}), nil); len(all) != 0 {
		t.Errorf("named %+v", all)
	}
}

// A gauge that reads high in its last round is named by what it read alone; low alike. No outside source.
func TestAGaugeIsNamedOnTheDay(t *testing.T) {
	for _, bar := range []float64{20, -20} {
		all := named(t, pressed(func(round, _ int, v *Visit) {
			if round == 7 {
				v.Bar += bar
			}
		}), nil)
		if len(all) != 1 || all[0].Name != "PG-1" || all[0].Rounds != [2]int{7, 7} || math.Abs(all[0].Bar-bar) > all[0].Uncertainty ||
			len(all[0].Visits) != 6 || all[0].Sign[0] != 1 || math.Abs(all[0].Off[0]-bar) > 8 {
			t.Errorf("%+g bar: named %+v", bar, all)
		}
	}
}

// What a gauge read in a round that a bad fuel spoilt proves less against it: the fuel itself lowers opening pressures, by an amount that
// is not known. High readings it never makes. No outside source.
func TestFuelExcusesLowReadings(t *testing.T) {
	spoilt := []Failures{{Kind: ByRound, Name: "R7", Visits: []int{42, 43, 44, 45, 46, 47}}}
	say := func(bar float64) int {
		return len(named(t, pressed(func(round, _ int, v *Visit) {
			if round == 7 {
				v.Bar += bar
			}
		}), spoilt))
	}
	if n := say(-18); n != 0 {
		t.Errorf("18 bar low in a spoilt round: %d named, want none", n)
	}
	if n := say(45); n != 1 {
		t.Errorf("45 bar high in a spoilt round: %d named, want the gauge", n)
	}
}

// What was set in a spoilt round comes back clean, and tells of the gauge. No outside source.
func TestAGaugeAfterABadFuelIsToldByWhatItSet(t *testing.T) {
	all := named(t, pressed(func(round, _ int, v *Visit) {
		switch round {
		case 4:
			v.Bar += 20 - 8
		case 5:
			v.Bar -= 20
		}
	}), []Failures{{Kind: ByFuel, Name: "B", Visits: []int{24, 25, 26, 27, 28, 29}}})
	if len(all) != 1 || all[0].Name != "PG-0" || all[0].Rounds != [2]int{4, 4} || math.Abs(all[0].Bar-20) > all[0].Uncertainty {
		t.Errorf("named %+v, want PG-0 in round 4 by 20 bar", all)
	}
}

// A valve that failed by its holder says nothing of gauges; one far from its round is its own matter. No outside source.
func TestWhatAValveShowsIsNotTheGauges(t *testing.T) {
	low := pressed(func(round, c int, v *Visit) {
		if round == 7 && c < 3 {
			v.Bar, v.Failed = v.Bar-60, true
		}
	})
	var by []Failures
	for c := range 3 {
		by = append(by, Failures{Kind: ByHolder, Name: fmt.Sprint("H", c), Visits: []int{42 + c}})
	}
	if all := named(t, low, by); len(all) != 0 {
		t.Errorf("named %+v for valves that their holders failed", all)
	}
	one := pressed(func(round, c int, v *Visit) {
		if round == 7 && c == 3 {
			v.Bar -= 150
		}
	})
	if all := named(t, one, nil); len(all) != 0 {
		t.Errorf("named %+v for one broken spring", all)
	}
}

// A holder that loses 30 bar wherever it is, is named from when it began; one by 8 bar is of its kind. No outside source.
func TestAHolderThatLosesIsNamed(t *testing.T) {
	say := func(bar float64) []Pressures {
		return named(t, pressed(func(round, c int, v *Visit) {
			if c == 2 && round >= 3 {
				v.Bar -= bar
			}
		}), nil)
	}
	all := say(30)
	if len(all) != 1 || all[0].Kind != ByHolder || all[0].Name != "H2" || all[0].Rival != nil || len(all[0].Visits) != 5 ||
		math.Abs(all[0].Bar+30) > 3 {
		t.Errorf("30 bar: named %+v, want H2 from round 3", all)
	}
	if all := say(8); len(all) != 0 {
		t.Errorf("8 bar: named %+v", all)
	}
}

// Two gauges of their class differ by what their classes allow: neither is named. Source: classes of EN 837-1 are the largest error of
// each; two may err by theirs apart.
func TestTwoGaugesWithinTheirClassDiffer(t *testing.T) {
	say := func(allowed float64) []Pressures {
		return named(t, pressed(func(round, _ int, v *Visit) {
			v.ErrorOf, v.ErrorSet = allowed, allowed
			if v.Bar += 10; round%2 == 0 { // one reads 10 bar low always: what it sets comes back high
				v.Bar -= 20
			}
		}), nil)
	}
	if all := say(6); len(all) != 1 || !all[0].Within || math.Abs(all[0].Bar) < 8 {
		t.Errorf("two of 6 bar: %+v, want them to differ within", all)
	}
	if all := say(4); len(all) != 1 || all[0].Within {
		t.Errorf("two of 4 bar: %+v, want more than their classes allow", all)
	}
}

// What a round has in common moves its readings up and what was set in it down at the next removal, so that a round that reads 10 bar
// apart is no two faults. Source: Henderson 1975; here the estimate of the round by hand, of 6 readings up and 6 down: 12·10/(12 + 6/4).
func TestARoundMovesWhatItSetTheOtherWay(t *testing.T) {
	q := newPressing(pressed(func(round, _ int, v *Visit) {
		v.Bar = -20
		switch round {
		case 4:
			v.Bar += 10
		case 5:
			v.Bar -= 10
		}
	}), nil, nil)
	q.scatter = scatter{valve: math.Sqrt(6), round: 2, valveFree: 30, roundOf: 6, apart: make([]float64, len(q.visits))}
	if !q.build(nil) {
		t.Fatal("not built")
	}
	effects := q.model.effects()
	if is := effects[q.fixed+4]; is < 6 || is > 10 {
		t.Errorf("the round is %.2f bar up, want most of 10", is)
	}
	for _, r := range []int{3, 5} {
		if is := effects[q.fixed+r]; math.Abs(is) > 3 {
			t.Errorf("round %d is %.2f bar up, want hardly any", r, is)
		}
	}
}

// The chance of an explanation is that of its distance over its share of the questions, and never more than one: of 42 readings of an
// honest ship none is rare. Source: Bonferroni's inequality.
func TestAChanceAllowsForAllThatIsAsked(t *testing.T) {
	q := newPressing(pressed(func(int, int, *Visit) {}), nil, nil)
	if _, ok := q.best(); !ok || len(q.tries) == 0 {
		t.Fatal("nothing was asked")
	}
	shares := 0.0
	for i := range q.tries {
		p := &q.tries[i]
		if p.Chance < 0.05 || p.Chance > 1 {
			t.Errorf("%s %s %v: chance %.3f on an honest ship", p.Kind, p.Name, p.Rounds, p.Chance)
		}
		shares += math.Exp(p.weight)
	}
	if shares > 1.5 {
		t.Errorf("odds of all explanations together %.2f, want less than nothing has", shares)
	}
}

// What explains the same readings nearly as well is told with what is named: a gauge that set all of one holder's valves, or the same
// gauge at another time. No outside source.
func TestTwoThatExplainTheSameAreTold(t *testing.T) {
	// a second gauge that always tests what the first one set, so that their difference is the same either way
	all := named(t, pressed(func(round, _ int, v *Visit) {
		v.Tested, v.Set = "PG-B", "PG-A"
		if round >= 4 {
			v.Bar += 25
		}
		if round < 4 {
			v.Tested, v.Set = "PG-A", "PG-A"
		}
	}), nil)
	if len(all) == 0 || all[0].Rival == nil {
		t.Errorf("named %+v, want two gauges that the readings do not tell apart", all)
	}
}

// A round whose valves ran longer lost more, and a holder that was mended is off for the time before alone. No outside source.
func TestAgeAndTimeOfPressures(t *testing.T) {
	old := named(t, pressed(func(round, c int, v *Visit) {
		v.Hours = 1000 + 500*float64((round+c)%6)
		if round == 7 {
			v.Hours = 6000
		}
		v.Bar -= (v.Hours - 2000) / 200
	}), nil)
	if len(old) != 0 {
		t.Errorf("named %+v for a round of old valves", old)
	}
	mended := named(t, pressed(func(round, c int, v *Visit) {
		if c == 2 && round >= 2 && round <= 5 {
			v.Bar -= 40
		}
	}), nil)
	if len(mended) != 1 || mended[0].Name != "H2" || len(mended[0].Visits) != 4 || mended[0].Rounds != [2]int{2, 5} || mended[0].LastOff() != 3 {
		t.Errorf("named %+v, want H2 in rounds 2 to 5", mended)
	}
}

// Readings 20 bar low in the last round, of valves whose own tests in the round before do not compare: the gauge is low now, or it was
// high when it set them. Both times are told. No outside source.
func TestTheOtherTimeOfAGaugeIsTold(t *testing.T) {
	all := named(t, pressed(func(round, _ int, v *Visit) {
		v.Tested, v.Set = "PG-0", "PG-0"
		switch round {
		case 6:
			v.Compares = false
		case 7:
			v.Bar -= 20
		}
	}), nil)
	if len(all) != 1 || all[0].Rounds != [2]int{7, 7} || len(all[0].Or) != 1 || all[0].Or[0] != [2]int{6, 6} {
		t.Errorf("named %+v, want PG-0 in round 7 or in round 6", all)
	}
}

// A distance of 2.042 standard deviations has a chance of 5 % with 30 degrees of freedom, and of 50 % where it has a tenth of the
// questions. Source: tables of Student's distribution.
func TestAChanceIsOverItsShareOfTheQuestions(t *testing.T) {
	q := &pressing{all: 100, scatter: scatter{valve: 5, round: 1, valveFree: 30, roundOf: 6}}
	q.tryout(extent{score: 2.042 * math.Sqrt(0.04), whole: 2.042 * math.Sqrt(0.04), info: 0.04, n: 4, net: 4}, ByGauge, "PG-0", 0, 0, 0.1)
	if len(q.tries) != 1 || math.Abs(q.tries[0].Chance-0.5) > 0.002 || math.Abs(q.tries[0].Bar-2.042*5) > 1e-9 || q.tries[0].Uncertainty != 10 {
		t.Errorf("tried %+v, want a chance of 50 %% for 10.2 ± 10 bar", q.tries)
	}
}

// Valves of one position that lose 30 bar, where each valve always goes back to its own: position and holder lose alike, and both are told,
// the position first. Where the same position had other holders, it is told alone. No outside source.
func TestAHolderThatStayedIsToldWithItsPosition(t *testing.T) {
	for _, stays := range []bool{true, false} {
		all := named(t, pressed(func(round, c int, v *Visit) {
			if stays {
				v.Position = fmt.Sprint("P", c)
			}
			if v.Position == "P3" && round >= 3 {
				v.Bar -= 30
			}
		}), nil)
		want := Rival{ByHolder, "H3"}
		if len(all) != 1 || all[0].Kind != ByPosition || all[0].Name != "P3" || (all[0].Rival != nil) != stays ||
			stays && *all[0].Rival != want {
			t.Errorf("stays %v: named %+v", stays, all)
		}
	}
}
