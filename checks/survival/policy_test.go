package survival

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// An open wiki's "System Analysis Reference", optimum replacement time example: shape 2.5, scale 1000, costs 1 and 5. Its answer
// 493.047 is from memory; further digits SciPy.
func TestAgeReplacementOfReference(t *testing.T) {
	w := Weibull{2.5, 1000}
	r := must(AgeReplacement(w, 1, 5))
	near(t, "age", r.Age, 493.046957597, 1e-9)
	near(t, "cost", r.Cost, 0.00346204273879, 1e-9)
	near(t, "run to failure", r.RunToFailure, 0.00563530248993, 1e-9)
	near(t, "mean life", w.Mean(), 887.263817503, 1e-9)
	near(t, "cost at 400", w.costPerAge(1, 5, 400), 0.00356244232762, 1e-9)
	if r.Why != "" {
		t.Errorf("an age is given, yet %q", r.Why)
	}
}

// A published "reliability basics" page: shape 3, scale 150 days, costs 2 and 8; digits SciPy.
func TestAgeReplacementInDays(t *testing.T) {
	r := must(AgeReplacement(Weibull{3, 150}, 2, 8))
	near(t, "age", r.Age, 83.1229824884, 1e-8)
	near(t, "cost", r.Cost, 0.0368502944947, 1e-8)
}

// Theory: with no wear nothing is gained by replacing; with next to none the cheapest age, 139695 at shape 1.2 and scale 8000, is one
// that 4 in 10¹⁴ reach.
func TestNoAgeToReplaceAt(t *testing.T) {
	for _, r := range []struct {
		w               Weibull
		planned, failed float64
		word            string
	}{
		{Weibull{1, 8000}, 1, 100, "wear out"},
		{Weibull{0.8, 8000}, 1, 100, "wear out"},
		{Weibull{3, 8000}, 5, 5, "costs no more"},
		{Weibull{1.2, 8000}, 1, 2, "hardly any"},
	} {
		got := must(AgeReplacement(r.w, r.planned, r.failed))
		if !math.IsInf(got.Age, 1) || got.Cost != got.RunToFailure || !strings.Contains(got.Why, r.word) {
			t.Errorf("%+v, %v against %v: %+v, want a reason with %q", r.w, r.planned, r.failed, got, r.word)
		}
	}
}

// Common practice, no source: no other age costs less, and the age follows the scale.
func TestReplacementIsCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Weibull{rapid.Float64Range(1.1, 8).Draw(t, "shape"), rapid.Float64Range(100, 1e5).Draw(t, "scale")}
		planned := rapid.Float64Range(0.1, 10).Draw(t, "planned")
		failed := planned * rapid.Float64Range(1.1, 50).Draw(t, "failed")
		r := must(AgeReplacement(w, planned, failed))
		other := w.Scale * rapid.Float64Range(0.01, 5).Draw(t, "other")
		if c := w.costPerAge(planned, failed, other); c < r.Cost*(1-1e-3) || r.Why == "" && c < r.Cost*(1-1e-9) {
			t.Errorf("%+v: at %v it costs %v, at %v only %v", w, r.Age, r.Cost, other, c)
		}
		if r.Why == "" {
			double := must(AgeReplacement(Weibull{w.Shape, 2 * w.Scale}, planned, failed))
			if math.Abs(double.Age/r.Age-2) > 1e-9 {
				t.Errorf("twice the scale moves the age from %v to %v", r.Age, double.Age)
			}
		}
	})
	for name, err := range map[string]error{
		"cost of nil":        second(AgeReplacement(Weibull{2, 100}, 0, 5)),
		"cost not a number":  second(AgeReplacement(Weibull{2, 100}, 1, math.NaN())),
		"shape not a number": second(AgeReplacement(Weibull{math.NaN(), 100}, 1, 5)),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}
