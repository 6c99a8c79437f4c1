package drift

import (
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
    m = st.theilslopes(y, x, l)
    say(n, *x, *y, l, m[0], m[1], m[2], m[3])
`)
	sets := 0
	for ; len(got) > 0; sets++ {
		n := int(got[0])
		x, y, r := got[1:1+n], got[1+n:1+2*n], got[1+2*n:]
		m := must(MedianFit(x, y, r[0]))
		for i, v := range []float64{m.Slope, m.Intercept, m.Interval.Low, m.Interval.High} {
			if math.Abs(v-r[1+i]) > 1e-12 {
				near(t, fmt.Sprintf("set %d of %d, value %d", sets, n, i), v, r[1+i], 1e-7)
			}
		}
		got = r[5:]
	}
	if sets != 60 {
		t.Fatalf("SciPy gave %d sets", sets)
	}
}
