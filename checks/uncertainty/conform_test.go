package uncertainty

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"needlebook/checks/internal/referee"
	_ "needlebook/example-vessel/invent/draw"
)

// near fails the test unless got is within tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.13g, want %.13g within %g", what, got, want, tol)
	}
}

// must unwraps a value whose error would be a fault of the test.
func must[T any](v T, err error) T {
	if err != nil {
		panic("doubt test: " + err.Error())
	}
	return v
}

func atMost(high float64) Band { return Band{math.Inf(-1), high} }
func atLeast(low float64) Band { return Band{low, math.Inf(1)} }

// Examples in the manner of JCGM 106:2012 (ISO/IEC Guide 98-4) 7.3.2 Zener diode, 7.3.3 burst pressure and 7.4 viscosity of a motor
// oil. The document prints 0.92, 0.99 and 0.66. Inputs from memory (the SAE J300 limits 12.5 and 16.3 seen), digits run with SciPy.
func TestConformanceProbability(t *testing.T) {
	for _, r := range []struct {
		name  string
		band  Band
		y, u  float64
		p     float64
		print float64
	}{
		{"one upper limit", atMost(-5.40), -5.47, 0.05, 0.919243340766, 0.92},
		{"one lower limit", atLeast(490), 509.7, 8.6, 0.989009547385, 0.99},
		{"two limits", Band{12.5, 16.3}, 13.6, 1.8, 0.662629786495, 0.66},
	} {
		p := must(r.band.Probability(r.y, r.u))
		near(t, r.name, p, r.p, 1e-10)
		near(t, r.name+" as printed", p, r.print, 0.005)
	}
}

// JCGM 106:2012 (ISO/IEC Guide 98-4) Table 1, or any normal table; values run with SciPy.
func TestGuardWidthMultipliers(t *testing.T) {
	for p, z := range map[float64]float64{
		0.80: 0.841621233573, 0.90: 1.28155156554, 0.95: 1.64485362695, 0.975: 1.95996398454, 0.99: 2.32634787404, 0.999: 3.09023230617,
	} {
		near(t, fmt.Sprint("z for ", p), must(GuardWidth(p, 1)), z, 1e-10)
	}
}

// ILAC-G8:09/2019, 4.1: guard band = tolerance limit less acceptance limit, and "about 2.5 % false accept" for w = U. Definition seen,
// values run with SciPy.
func TestConformanceAtAcceptanceLimit(t *testing.T) {
	const u, limit = 1.5, 320.0
	for _, r := range []struct{ name, w, p float64 }{
		{2, 2 * u, 0.977249868052}, {0.83, 0.83 * 2 * u, 0.951542773733}, {1.65, 1.65 * u, 0.950528531966}, {0, 0, 0.5},
	} {
		near(t, fmt.Sprint("conformance at the acceptance limit, w ", r.name), must(atLeast(limit).Probability(limit+r.w, u)), r.p, 1e-10)
	}
}

// Constructed needle-valve readings, rules as ILAC-G8:09/2019, 4.1; probabilities run with SciPy.
func TestNeedleValveVerdicts(t *testing.T) {
	u := Uncertainty{U: 3, K: 2, Std: 1.5}
	for _, r := range []struct {
		y, p    float64
		verdict Verdict
		simple  bool
	}{
		{339, 0.252492537547, BeyondInDoubt, false},
		{340, 0.499999999987, WithinInDoubt, true},
		{341.5, 0.841344738788, WithinInDoubt, true},
		{343, 0.977248337425, Within, true},
		{345, 0.999141879334, Within, true},
		{348.5, 0.841344738788, WithinInDoubt, true},
		{351, 0.252492537547, BeyondInDoubt, false},
		{354, 0.00383038056759, Beyond, false},
	} {
		j := must(Limit{Band: Band{340, 350}}.Judge(r.y, u))
		near(t, fmt.Sprint("conformance of ", r.y), j.Probability, r.p, 1e-9)
		if j.Verdict != r.verdict || j.Accepted != r.simple {
			t.Errorf("%v bar by the simple rule: %v, accepted %v; want %v, %v", r.y, j.Verdict, j.Accepted, r.verdict, r.simple)
		}
		guarded := must(Limit{Band: Band{340, 350}, Rule: Guarded}.Judge(r.y, u))
		if want := r.verdict == Within; guarded.Verdict != r.verdict || guarded.Accepted != want {
			t.Errorf("%v bar by the guarded rule: %v, accepted %v; want %v, %v", r.y, guarded.Verdict, guarded.Accepted, r.verdict, want)
		}
	}
}

// Common practice, no source: for a safety limit uncertainty counts against the part, whatever the rule of the file.
func TestDoubtCountsAgainstThePart(t *testing.T) {
	limit, u := Limit{Band: atMost(0.90), Safety: true}, Uncertainty{U: 0.02, K: 2, Std: 0.01}
	for value, accepted := range map[float64]bool{0.88: true, 0.89: false, 0.90: false, 0.91: false} {
		if j := must(limit.Judge(value, u)); j.Accepted != accepted {
			t.Errorf("%v mm against a safety limit of 0.90: accepted %v", value, j.Accepted)
		}
	}
}

// Common practice, no source: decimals exactly on the limit, or exactly U away from it, are not moved by binary fractions.
func TestDecimalsExactlyOnTheLimit(t *testing.T) {
	u := Uncertainty{U: 0.01, K: 2, Std: 0.005}
	for hundredths := 30; hundredths < 130; hundredths++ {
		at := func(h int) float64 { return float64(h) / 100 }
		limit := Limit{Band: atMost(at(hundredths))}
		for offset, want := range map[int]Verdict{-2: Within, -1: Within, 0: WithinInDoubt, 1: BeyondInDoubt, 2: Beyond} {
			j := must(limit.Judge(at(hundredths+offset), u))
			if j.Verdict != want || j.Margin != -at(offset) {
				t.Errorf("%v against %v: %v with margin %v, want %v", at(hundredths+offset), at(hundredths), j.Verdict, j.Margin, want)
			}
		}
	}
}

// Common practice, no source: U above half of the band leaves no reading that is within without doubt, and the note says so.
func TestGaugeTooCoarseForTheBand(t *testing.T) {
	j := must(Limit{Band: Band{320, 330}}.Judge(325, Uncertainty{U: 13, K: 2, Std: 6.5}))
	const want = "the uncertainty ±13 bar (k = 2) is more than half of the band of 10 bar: no reading of this instrument can prove the value within"
	if !j.CannotProve || j.Note("bar") != want || j.Verdict != WithinInDoubt {
		t.Errorf("13 bar of uncertainty in a band of 10: %v, %v, %q", j.Verdict, j.CannotProve, j.Note("bar"))
	}
	fine := must(Limit{Band: Band{320, 330}}.Judge(325, Uncertainty{U: 5, K: 2, Std: 2.5}))
	if fine.CannotProve || fine.Verdict != Within || fine.Note("bar") != "" {
		t.Errorf("5 bar of uncertainty in a band of 10, read in the middle: %v, %v", fine.Verdict, fine.CannotProve)
	}
	if one := must(Limit{Band: atLeast(6)}.Judge(7, Uncertainty{U: 50, K: 2, Std: 25})); one.CannotProve {
		t.Error("one limit alone has no half band")
	}
}

// Common practice, no source: verdict, margin, probability and acceptance never contradict one another.
func TestJudgementHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-500, 500).Draw(t, "low")
		band := Band{low, low + rapid.Float64Range(0, 100).Draw(t, "width")}
		std := rapid.Float64Range(1e-3, 30).Draw(t, "u")
		u := Uncertainty{U: 2 * std, K: 2, Std: std}
		y := rapid.Float64Range(low-100, low+200).Draw(t, "y")
		limit := Limit{Band: band, Rule: Rule(rapid.IntRange(0, 1).Draw(t, "rule")), Safety: rapid.Bool().Draw(t, "safety")}
		if limit.Rule == Guarded && rapid.Bool().Draw(t, "stated") {
			limit.Conformance = rapid.Float64Range(0.5, 0.999).Draw(t, "p")
		}
		j := must(limit.Judge(y, u))
		if (j.Margin >= 0) != (j.Verdict == Within || j.Verdict == WithinInDoubt) {
			t.Errorf("margin %v is called %v", j.Margin, j.Verdict)
		}
		if j.Accepted && j.Margin < 0 {
			t.Error("accepted beyond the limit")
		}
		if j.Verdict == Within && !limit.Safety && limit.Rule == Simple && !j.Accepted {
			t.Error("within and not accepted by the simple rule")
		}
		if j.Verdict == Beyond && j.Probability > 0.0228 {
			t.Errorf("beyond, yet %v likely to conform", j.Probability)
		}
		if j.CannotProve && j.Verdict == Within {
			t.Error("the instrument cannot prove it, yet it is within")
		}
		if j.Probability < 0 || j.Probability > 1 {
			t.Errorf("probability %v", j.Probability)
		}
	})
}

func TestJudgeRefusesNonsense(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	u := Uncertainty{U: 3, K: 2, Std: 1.5}
	for name, f := range map[string]func() error{
		"value not a number":       func() error { _, err := Limit{Band: atMost(1)}.Judge(nan, u); return err },
		"value infinite":           func() error { _, err := Limit{Band: atMost(1)}.Judge(inf, u); return err },
		"limit not a number":       func() error { _, err := Limit{Band: atMost(nan)}.Judge(1, u); return err },
		"no limit at all":          func() error { _, err := Limit{Band: Band{-inf, inf}}.Judge(1, u); return err },
		"limits exchanged":         func() error { _, err := Limit{Band: Band{2, 1}}.Judge(1, u); return err },
		"uncertainty below zero":   func() error { _, err := Limit{Band: atMost(1)}.Judge(1, Uncertainty{-3, 2, -1.5}); return err },
		"uncertainty not a number": func() error { _, err := Limit{Band: atMost(1)}.Judge(1, Uncertainty{nan, 2, 1}); return err },
		"U without u":              func() error { _, err := Limit{Band: atMost(1)}.Judge(1, Uncertainty{U: 3}); return err },
		"conformance of 95":        func() error { _, err := Limit{atMost(1), Guarded, 95, false}.Judge(1, u); return err },
		"unknown rule":             func() error { _, err := ParseRule("strict"); return err },
	} {
		if f() == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

// Live comparison with SciPy on random inputs.
func TestAgainstSciPy(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.SciPy(t, `
rng = np.random.default_rng(20)
for i in range(40):
    lo = rng.uniform(200, 400); hi = lo + rng.uniform(1, 40); y = rng.uniform(lo - 30, hi + 30); u = rng.uniform(0.2, 12)
    p = st.norm.cdf((hi - y) / u) - st.norm.cdf((lo - y) / u) if y > lo else st.norm.sf((lo - y) / u) - st.norm.sf((hi - y) / u)
    q = rng.uniform(0.5, 0.999)
    say(lo, hi, y, u, p, q, st.norm.ppf(q))
`)
	for r := got; len(r) >= 7; r = r[7:] {
		near(t, fmt.Sprint("probability of ", r[:4]), must(Band{r[0], r[1]}.Probability(r[2], r[3])), r[4], 1e-12)
		near(t, fmt.Sprint("guard width for ", r[5]), must(GuardWidth(r[5], r[3])), r[6]*r[3], 1e-9*r[3])
	}
	if len(got) != 40*7 {
		t.Fatalf("SciPy gave %d numbers", len(got))
	}
}
