package survival

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"needlebook/checks/internal/referee"
	_ "needlebook/example-vessel/invent/draw"
)

// Clopper-Pearson intervals, SciPy.
func TestShareOfBad(t *testing.T) {
	for _, r := range []struct {
		bad, opened int
		low, high   float64
	}{
		{0, 6, 0, 0.45925812644}, {2, 9, 0.0281449734779, 0.600093573716}, {1, 12, 0.00210759323186, 0.384796165151},
	} {
		nearInterval(t, fmt.Sprintf("%d of %d", r.bad, r.opened), must(BadShare(r.bad, r.opened, 0.95)), r.low, r.high, 1e-9)
	}
	near(t, "0 of 6, one-sided", must(UpperBound(0, 6, 0.95)), 0.393037768997, 1e-9)
	near(t, "6 of 6", must(UpperBound(6, 6, 0.95)), 1, 0)
}

// The table of one-sided 95 % bounds, in whole percent, worked out once with SciPy: common practice, no source.
func TestBoundsInWholePercent(t *testing.T) {
	for opened, percents := range map[int][3]float64{
		6: {39, 58, 73}, 12: {22, 34, 44}, 24: {12, 18, 24}, 36: {8, 13, 16}, 60: {5, 8, 10}, 90: {3, 5, 7},
	} {
		for bad, want := range percents {
			if got := math.Round(100 * must(UpperBound(bad, opened, 0.95))); got != want {
				t.Errorf("%d bad of %d: %v %%, want %v", bad, opened, got, want)
			}
		}
	}
}

// Success run, ln(1-C)/ln R = 21.85, 44.89 and 298.07: the integers 22, 45 and 299 are published (from memory).
func TestOpeningsNeeded(t *testing.T) {
	for _, r := range []struct {
		reliability, confidence float64
		n                       int
	}{{0.9, 0.9, 22}, {0.95, 0.9, 45}, {0.99, 0.95, 299}} {
		if got := must(OpeningsNeeded(1-r.reliability, r.confidence, 0)); got != r.n {
			t.Errorf("reliability %v at %v needs %d, want %d", r.reliability, r.confidence, got, r.n)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		target, confidence := rapid.Float64Range(0.01, 0.9).Draw(t, "target"), rapid.Float64Range(0.5, 0.99).Draw(t, "confidence")
		bad := rapid.IntRange(0, 4).Draw(t, "bad")
		n := must(OpeningsNeeded(target, confidence, bad))
		if must(UpperBound(bad, n, confidence)) > target || n > bad+1 && must(UpperBound(bad, n-1, confidence)) <= target {
			t.Errorf("%d is not the least number for %d bad", n, bad)
		}
	})
}

// The permitted ratios for a target of 10 % with none bad, and for 20 % with shape 3, to two decimals: common practice, no source.
func TestPermittedRatio(t *testing.T) {
	for opened, want := range map[int][4]float64{
		12: {0.56, 0.65, 0.75, 0.81}, 24: {0.89, 0.92, 0.95, 0.96}, 36: {1.17, 1.13, 1.08, 1.06}, 60: {1.65, 1.45, 1.28, 1.21},
	} {
		for i, shape := range []float64{1.5, 2, 3, 4} {
			if got := must(PermittedRatio(0, opened, 0.10, 0.95, shape)); math.Abs(got-want[i]) > 0.006 {
				t.Errorf("%d opened, shape %v: %.3f, want %v", opened, shape, got, want[i])
			}
		}
	}
	for opened, want := range map[int]float64{12: 0.96, 24: 1.21, 36: 1.39} {
		if got := must(PermittedRatio(0, opened, 0.20, 0.95, 3)); math.Abs(got-want) > 0.006 {
			t.Errorf("%d opened, target 20 %%: %.3f, want %v", opened, got, want)
		}
	}
	// The same by the bound on the scale, for lives all opened at one age.
	var lives []Life
	for range 36 {
		lives = append(lives, LongerThan(2000))
	}
	near(t, "by the bound on the scale", must(must(FitFixedShape(lives, 3)).PermittedAge(0.10, 0.95)),
		2000*must(PermittedRatio(0, 36, 0.10, 0.95, 3)), 1e-9)
}

func TestCountsRefuseNonsense(t *testing.T) {
	nan := math.NaN()
	for name, err := range map[string]error{
		"none opened":             second(UpperBound(0, 0, 0.95)),
		"more bad than opened":    second(UpperBound(7, 6, 0.95)),
		"bad below nil":           second(LowerBound(-1, 6, 0.95)),
		"confidence of 95":        second(BadShare(0, 6, 95)),
		"confidence not a number": second(UpperBound(0, 6, nan)),
		"target of nil":           second(OpeningsNeeded(0, 0.95, 0)),
		"target of one":           second(PermittedRatio(0, 6, 1, 0.95, 3)),
		"shape not a number":      second(PermittedRatio(0, 6, 0.1, 0.95, nan)),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

// Common practice, no source: two in ten must be young and two in ten old, and the reason says what is missing.
func TestSpreadRefusesAgesAllAlike(t *testing.T) {
	ask := Spread{Share: 0.2, Young: 0.6, Old: 1.2, Ended: 5}
	var alike []Life
	for i := range 36 {
		age := 1900 + 10*float64(i%12)
		if i%6 == 0 {
			alike = append(alike, EndedWithin(0, age))
		} else {
			alike = append(alike, LongerThan(age))
		}
	}
	_, err := ask.Fit(alike)
	var refusal *Refusal
	if !errors.As(err, &refusal) || refusal.Needed != 8 || refusal.Young != 0 || refusal.Old != 0 || refusal.Median != 1955 {
		t.Fatalf("ages all alike: %+v, %v", refusal, err)
	}
	const want = "no shape is fitted, the ages are too much alike: of 36 opened, 0 below 0.6 and 0 above 1.2 times the median age of 1955; 8 of each are needed"
	if err.Error() != want {
		t.Errorf("reason %q, want %q", err, want)
	}

	var spread []Life
	for i := range 30 {
		age := 600 + 80*float64(i)
		if age > 1500 && i%3 == 0 {
			spread = append(spread, EndedWithin(0, age))
		} else {
			spread = append(spread, LongerThan(age))
		}
	}
	if _, err := ask.Fit(spread); err != nil {
		t.Errorf("ages well spread: %v", err)
	}
	ask.Ended = 50
	if _, err := ask.Fit(spread); !errors.As(err, &refusal) {
		t.Errorf("too few gone bad: %v", err)
	}
	if _, err := (Spread{}).Fit(spread); err == nil || errors.As(err, new(*Refusal)) {
		t.Errorf("thresholds never set: %v", err)
	}
	if _, err := ask.Fit(nil); !errors.Is(err, ErrNone) {
		t.Errorf("no lives: %v", err)
	}
}

// Live comparison with SciPy on random counts.
func TestCountsAgainstSciPy(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.SciPy(t, `
rng = np.random.default_rng(5)
for i in range(60):
    n = int(rng.integers(1, 200)); k = int(rng.integers(0, n + 1)); c = rng.uniform(0.5, 0.999)
    ci = st.binomtest(k, n).proportion_ci(c, method='exact')
    up = 1.0 if k == n else st.beta.ppf(c, k + 1, n - k)
    say(k, n, c, ci.low, ci.high, up)
`)
	for r := got; len(r) >= 6; r = r[6:] {
		k, n, c := int(r[0]), int(r[1]), r[2]
		what := fmt.Sprintf("%d of %d at %v", k, n, c)
		in := must(BadShare(k, n, c))
		for i, pair := range [][2]float64{
			{in.Low, r[3]}, {in.High, r[4]}, {must(UpperBound(k, n, c)), r[5]},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				t.Errorf("%s, value %d: %v, SciPy %v", what, i, pair[0], pair[1])
			}
		}
	}
	if len(got) != 60*6 {
		t.Fatalf("SciPy gave %d numbers", len(got))
	}
}
