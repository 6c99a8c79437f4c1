package recurring

import (
	"fmt"
	"math"
	"testing"
)

// once makes visits of holders and positions that come once each, so that nothing but their rounds can explain them.
func once(rounds ...string) []Visit {
	var all []Visit
	for i, r := range rounds {
		all = append(all, Visit{Round: r, Holder: fmt.Sprint("H", i), Position: fmt.Sprint("P", i), Looked: true, SetIn: -1})
	}
	return all
}

// Four cups of eight told rightly by chance: 1 in 70. Source: Fisher, The Design of Experiments, 1935, the lady tasting tea; here all four
// valves of one round failed, and none of four that came out by themselves.
func TestChanceIsThatOfTheLadyTastingTea(t *testing.T) {
	v := once("A", "A", "A", "A", "B", "C", "D", "E")
	for i := range 4 {
		v[i].Failed = true
	}
	named, _ := ExplainFailures(v, 0.05)
	if len(named) != 1 || named[0].Kind != ByRound || named[0].Failed != 4 || named[0].RestOf != 0 || named[0].Rest != 4 {
		t.Fatalf("named %+v, want the round with 4 of 4, of the others 0 of 4", named)
	}
	if p := named[0].Chance; math.Abs(p-1.0/70) > 0.009 { // three standard deviations of 2,000 draws
		t.Errorf("chance %.4f, want 1/70 = %.4f", p, 1.0/70)
	}
	if named, _ := ExplainFailures(v, 0.005); len(named) != 0 {
		t.Errorf("named at a level of 0.5 %%: %+v", named)
	}
}

// The odds of k of n at an unknown share against a known one are a ratio of beta integrals: 3 of 3 against one half are (1/4)/(1/8) = 2.
// Source: Kass & Raftery 1995, with a uniform prior; the integral by hand.
func TestOddsAgainstTheShipsOwnRate(t *testing.T) {
	w := &comparison{n: 7, k: 5, odds: map[[2]int]float64{}} // of the four others two failed: (2 + 1/2) / (4 + 1) = 1/2
	if got := math.Exp(w.against(3, 3)); math.Abs(got-2) > 1e-9 {
		t.Errorf("odds %.6f, want 2", got)
	}
}

// A holder that was in one position alone, or a position that had one holder alone, cannot be told from the other. No outside source.
func TestWhatSharesAllVisitsIsNotTold(t *testing.T) {
	var v []Visit
	for round := range 6 {
		for c := range 6 {
			v = append(v, Visit{Round: fmt.Sprint("R", round), TestedIn: round, Holder: fmt.Sprint("H", c), Position: fmt.Sprint("P", c),
				Looked: true, Failed: c == 2 && round > 0, SetIn: -1})
		}
	}
	named, _ := ExplainFailures(v, 0.02)
	if len(named) != 1 || named[0].Rival == nil || named[0].Name != "H2" || named[0].Rival.Name != "P2" {
		t.Fatalf("named %+v, want H2 or P2", named)
	}
	for i := range v { // the holder moves on each round: it alone is named
		v[i].Position = fmt.Sprint("P", (i+i/6)%6)
	}
	named, _ = ExplainFailures(v, 0.02)
	if len(named) != 1 || named[0].Rival != nil || named[0].Kind != ByHolder || named[0].Failed != 5 {
		t.Errorf("named %+v, want the holder", named)
	}
}

// What Huber's scale makes up for is what a normal distribution loses to the cut. Source: the integral of min(x², 1.5²) over the normal
// density is 0.77846; and the scale of a normal sample is its standard deviation, readings in steps or not.
func TestScaleIsSteadyInSteps(t *testing.T) {
	var fine, coarse []float64
	for i := range 999 { // quantiles of a normal distribution of deviation 8
		x := 8 * math.Sqrt2 * math.Erfinv(2*(float64(i)+1)/1000-1)
		fine, coarse = append(fine, x), append(coarse, 5*math.Round(x/5))
	}
	if s := scaleOf(fine, 0); math.Abs(s-8) > 0.1 {
		t.Errorf("scale %.2f, want 8", s)
	}
	if s, want := scaleOf(coarse, 0), math.Sqrt(64+25.0/12); math.Abs(s-want) > 0.25 {
		t.Errorf("in steps of 5: scale %.2f, want %.2f: Sheppard's correction", s, want)
	}
	for i := range 50 { // one in twenty far off
		fine[20*i%999] = 200
	}
	if s := scaleOf(fine, 0); s > 10 {
		t.Errorf("with one in twenty far off: %.2f", s)
	}
}

// A gauge that read 20 bar high in one round is named with the echo of what it set, and the gauge used next is not. No outside source.
func TestTheEchoNamesNoOtherGauge(t *testing.T) {
	wiggle := []float64{1, -2, 0, 2, -1, 3, -3, 0, 1, 2, -2, -1}
	var v []Visit
	for round := range 8 {
		for c := range 6 {
			x := Visit{Round: fmt.Sprint("R", round), TestedIn: round, Holder: fmt.Sprint("H", c), Position: fmt.Sprint("P", (c+round)%6),
				Compares: round > 0, Hours: 2000, Bar: -20 + wiggle[(5*round+7*c)%12], SetIn: 6*(round-1) + c, Step: 1,
				Tested: fmt.Sprint("PG-", round%2), Set: fmt.Sprint("PG-", (round+1)%2), ErrorOf: 6, ErrorSet: 6}
			switch round {
			case 0:
				x.SetIn = -1
			case 4:
				x.Bar += 20
			case 5:
				x.Bar -= 20
			}
			v = append(v, x)
		}
	}
	named, _ := ExplainPressures(v, nil, 0.02)
	if len(named) != 1 || named[0].Name != "PG-0" || named[0].Rounds != [2]int{4, 4} || math.Abs(named[0].Bar-20) > named[0].Uncertainty {
		t.Errorf("named %+v, want PG-0 in round 4 by 20 bar", named)
	}
}

// The odds count those that did not fail, too: 3 of 4 against one half are B(4, 2) / (1/2)⁴ = (1/20)·16. Source: the integral by hand.
func TestOddsCountWhatDidNotFail(t *testing.T) {
	w := &comparison{n: 8, k: 5, odds: map[[2]int]float64{}}
	if got := math.Exp(w.against(3, 4)); math.Abs(got-0.8) > 1e-9 {
		t.Errorf("odds %.6f, want 0.8", got)
	}
	if got := w.against(1, 4); !math.IsInf(got, -1) {
		t.Errorf("odds %.6f of fewer than elsewhere, want none", got)
	}
}

// Each further explanation is asked for more: the second at half of the level. Three that failed of 30, all of one round of 8: 56 in
// 4,060. Source: combinations, C(8, 3) / C(30, 3).
func TestASecondExplanationIsAskedForMore(t *testing.T) {
	var rounds []string
	for i := range 42 {
		rounds = append(rounds, fmt.Sprint("R", max(7, i)))
	}
	v := once(rounds...)
	for i := range 42 {
		if v[i].Failed = i < 3; i >= 30 {
			v[i].Holder, v[i].Failed = "X", true
		}
	}
	kinds := func(level float64) (all []Kind) {
		named, _ := ExplainFailures(v, level)
		for _, f := range named {
			all = append(all, f.Kind)
		}
		return all
	}
	if is := kinds(0.02); len(is) != 1 || is[0] != ByHolder {
		t.Errorf("at 2 %%: %v, want the holder alone", is)
	}
	if is := kinds(0.04); len(is) != 2 || is[1] != ByRound {
		t.Errorf("at 4 %%: %v, want the holder and the round", is)
	}
}

// A holder and a position that shared all but one failure each explain as much; where the position was fine with others, the holder alone
// is named. No outside source.
func TestARivalIsNearlyAsLikely(t *testing.T) {
	ship := func(fine int) []Visit {
		var v []Visit
		add := func(h, p string, failed bool) {
			v = append(v, Visit{Round: fmt.Sprint("R", len(v)), TestedIn: len(v), Holder: h, Position: p, Looked: true, Failed: failed, SetIn: -1})
		}
		for i := range 40 {
			add(fmt.Sprint("H", 10+i%8), fmt.Sprint("P", 10+(i+i/8)%8), false)
		}
		for range 4 {
			add("H2", "P2", true)
		}
		for range fine {
			add("H5", "P2", false)
		}
		add("H2", "P4", true)
		if fine == 0 {
			add("H5", "P2", true)
		}
		return v
	}
	named, _ := ExplainFailures(ship(0), 0.02)
	if len(named) == 0 || named[0].Rival == nil {
		t.Errorf("named %+v, want two that cannot be told apart", named)
	}
	named, _ = ExplainFailures(ship(6), 0.02)
	if len(named) != 1 || named[0].Rival != nil || named[0].Name != "H2" {
		t.Errorf("named %+v, want the holder alone", named)
	}
}

// A cylinder head that never left its cylinder is one matter with it; one that took the fault along is named itself, and one that was on
// for part of the time cannot be told. No outside source.
func TestHeadAndPosition(t *testing.T) {
	ship := func(head func(round, c int) string, bad string) []Visit {
		var v []Visit
		for round := range 12 {
			for c := range 6 {
				x := Visit{Round: fmt.Sprint("R", round), TestedIn: round, Holder: fmt.Sprint("H", (c+round)%6), Position: fmt.Sprint("P", c),
					Head: head(round, c), Looked: true, SetIn: -1}
				x.Failed = round > 1 && (x.Head == bad || x.Position == bad)
				v = append(v, x)
			}
		}
		return v
	}
	stays := func(_, c int) string { return fmt.Sprint("CH", c) }
	moves := func(round, c int) string {
		if round >= 6 && c < 2 {
			return fmt.Sprint("CH", 1-c)
		}
		return fmt.Sprint("CH", c)
	}
	for _, x := range []struct {
		head func(round, c int) string
		bad  string
		kind Kind
	}{{stays, "P1", ByPosition}, {stays, "CH1", ByPosition}, {moves, "CH1", ByHead}, {moves, "P1", ByPosition}} {
		named, _ := ExplainFailures(ship(x.head, x.bad), 0.02)
		if len(named) != 1 || named[0].Kind != x.kind || named[0].Rival != nil || named[0].Name[len(named[0].Name)-1] != '1' {
			t.Errorf("%s: named %+v, want a %s", x.bad, named, x.kind)
		}
	}
}

// A round is told by its leak-down too: shorter is worse and longer is no fault; what few rounds show is held against less. The odds of a
// shift of unknown size against none: the ratio of two normal densities. Source: Kass & Raftery 1995, with a normal prior.
func TestLeakDownTellsOfARound(t *testing.T) {
	density := func(z, variance float64) float64 { return math.Exp(-z*z/2/variance) / math.Sqrt(variance) }
	if is, want := leakOdds(-3, 4), math.Log(density(-3, 5)/density(-3, 1)); math.Abs(is-want) > 1e-9 {
		t.Errorf("odds %.4f, want %.4f", is, want)
	}
	if leakOdds(3, 4) >= 0 || leakOdds(-3, 0) != 0 {
		t.Errorf("odds of long times %.3f, of times that are not known %.3f", leakOdds(3, 4), leakOdds(-3, 0))
	}
	var v []Visit
	for round := range 14 {
		for c := range 6 {
			x := Visit{Round: fmt.Sprint("R", round), TestedIn: round, Holder: fmt.Sprint("H", (c+round)%6), Position: fmt.Sprint("P", c),
				Looked: true, Leaks: true, Leak: 0.06 * float64((5*round+7*c)%7-3), SetIn: -1}
			if round == 9 {
				x.Leak, x.Failed = x.Leak-0.7, c < 2
			}
			v = append(v, x)
		}
	}
	v[3].Failed = true
	if named, _ := ExplainFailures(v, 0.01); len(named) != 1 || named[0].Name != "R9" {
		t.Errorf("named %+v, want the round", named)
	}
	for i := range v {
		v[i].Leaks = false
	}
	if named, _ := ExplainFailures(v, 0.01); len(named) != 0 {
		t.Errorf("named without leak-down: %+v", named)
	}
}

// A round and the fuel that it ran on are one matter, and no rivals. No outside source.
func TestARoundIsNoRivalOfItsFuel(t *testing.T) {
	v := once("A", "A", "A", "A", "B", "C", "D", "E")
	for i := range 4 {
		v[i].Failed, v[i].Fuels = true, []string{"B-1"}
	}
	if named, _ := ExplainFailures(v, 0.05); len(named) != 1 || named[0].Rival != nil {
		t.Errorf("named %+v, want one without a rival", named)
	}
}

// The times that a part may have been at fault share its odds: all of them add up to one, nine tenths of it for those that last. Source:
// the axioms of probability; the share is from memory.
func TestTheTimesOfAPartShareItsOdds(t *testing.T) {
	share := func(failed ...int) float64 {
		var v []Visit
		for i := range 36 {
			v = append(v, Visit{Round: fmt.Sprint("R", i), Holder: fmt.Sprint("H", i), Position: fmt.Sprint("P", i%6), Looked: true, SetIn: -1})
		}
		for _, i := range failed {
			v[6*i].Failed = true
		}
		w := newComparison(v, make([]bool, len(v)))
		best, _ := w.best(w.failed, func(s span) bool { return w.units[s.unit].name == "P0" && s.to-s.from+1 == len(failed) })
		return math.Exp(best.weight - w.units[best.unit].prior - w.against(len(failed), float64(len(failed))))
	}
	if lasts, ended := share(3, 4, 5), share(1, 2, 3); math.Abs(6*lasts-0.9) > 1e-9 || math.Abs(6*lasts+21*ended-1) > 1e-9 {
		t.Errorf("6 of %.4f and 21 of %.4f, want 0.9 and 0.1 in all", lasts, ended)
	}
}
