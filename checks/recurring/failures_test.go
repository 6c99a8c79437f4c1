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
