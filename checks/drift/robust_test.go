package drift

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"needlebook/checks/internal/referee"
)

// Constructed, scipy.stats.theilslopes; intercept as median of y less slope times median of x.
func TestMedianLineOnWear(t *testing.T) {
	m := must(MedianFit(wearX, wearY, 0.95))
	near(t, "slope", m.Slope, -0.0015702479338843, 1e-9)
	near(t, "intercept", m.Intercept, 339.703305785124, 1e-9)
	near(t, "low", m.Interval.Low, -0.00176767676767677, 1e-9)
	near(t, "high", m.Interval.High, -0.00120772946859903, 1e-9)
	k := must(Kendall(wearX, wearY))
	near(t, "tau", k.R, -1, 1e-9)
	near(t, "p of tau", k.P, 0.00277777777777778, 1e-9)
}

// Constructed, scipy.stats: the fourth reading misread as 339.5 moves the median line little and the least-squares line much.
func TestMedianLineShrugsOffAMisreading(t *testing.T) {
	y := append([]float64(nil), wearY...)
	y[3] = 339.5
	m := must(MedianFit(wearX, y, 0.95))
	near(t, "slope", m.Slope, -0.00154690618762475, 1e-9)
	near(t, "low", m.Interval.Low, -0.00374064837905237, 1e-9)
	near(t, "high", m.Interval.High, 0.000757575757575758, 1e-9)
	near(t, "least squares", must(Fit(wearX, y)).Slope, -0.0014380644280178, 1e-9)
}

// Common practice, no source: the widest interval of four points, between the least and the greatest slope, holds the true slope with
// 1 - 2/4! = 0.917, so that 0.95 cannot be had.
func TestMedianLineOfFourHasNoInterval(t *testing.T) {
	m := must(MedianFit(wearX[:4], wearY[:4], 0.95))
	if !math.IsInf(m.Interval.Low, -1) || !math.IsInf(m.Interval.High, 1) {
		t.Errorf("four points give %v at 0.95", m.Interval)
	}
	if m = must(MedianFit(wearX[:4], wearY[:4], 0.90)); math.IsInf(m.Interval.Low, -1) {
		t.Error("four points give no interval at 0.90")
	}
}

func TestCorrelationRefusesNoSpread(t *testing.T) {
	x, flat := []float64{1, 2, 3, 4}, []float64{0.1, 0.1, 0.1, 0.1}
	for name, err := range map[string]error{
		"Pearson": second(Pearson(x, flat)), "Pearson, x": second(Pearson(flat, x)),
		"Kendall": second(Kendall(x, flat)), "Kendall, x": second(Kendall(flat, x)),
	} {
		if !errors.Is(err, ErrNoSpread) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Kendall(x[:2], x[:2]); !errors.Is(err, ErrTooFew) {
		t.Errorf("two pairs: %v", err)
	}
}

// Live comparison with SciPy on random inputs, with ties and without.
func TestAgainstSciPy(t *testing.T) {
	if testing.Short() {
		t.Skip("starts another program")
	}
	got := referee.SciPy(t, `
rng = np.random.default_rng(11)
for i in range(60):
    n = int(rng.integers(5, 40))
    x = np.round(rng.uniform(0, 9000, n)); y = 340 - x * rng.uniform(-0.001, 0.003) + rng.normal(0, 5, n)
    if i % 3 == 1: x = np.round(x / 1000) * 1000
    if i % 3 != 0: y = np.round(y / 5) * 5
    l = rng.uniform(0.6, 0.98)
    m = st.theilslopes(y, x, l); k = st.kendalltau(x, y); p = st.pearsonr(x, y)
    say(n, *x, *y, l, m[0], m[1], m[2], m[3], k[0], k[1], p[0], p[1])
`)
	sets := 0
	for ; len(got) > 0; sets++ {
		n := int(got[0])
		x, y, r := got[1:1+n], got[1+n:1+2*n], got[1+2*n:]
		m, k, p := must(MedianFit(x, y, r[0])), must(Kendall(x, y)), must(Pearson(x, y))
		for i, v := range []float64{m.Slope, m.Intercept, m.Interval.Low, m.Interval.High, k.R, k.P, p.R, p.P} {
			if math.Abs(v-r[1+i]) > 1e-12 {
				near(t, fmt.Sprintf("set %d of %d, value %d", sets, n, i), v, r[1+i], 1e-7)
			}
		}
		got = r[9:]
	}
	if sets != 60 {
		t.Fatalf("SciPy gave %d sets", sets)
	}
}
