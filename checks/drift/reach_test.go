package drift

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// wear is a constructed falling opening pressure, hours and bar.
var wearX, wearY = []float64{0, 2050, 4120, 6010, 8100, 10020}, []float64{340, 336.5, 334, 329.5, 327, 324.5}

// Constructed, R lm and predict.
func TestWearLine(t *testing.T) {
	l := must(Fit(wearX, wearY))
	near(t, "a", l.Intercept, 339.868582521012, 1e-9)
	near(t, "se of a", l.InterceptSE, 0.433494649909944, 1e-9)
	near(t, "b", l.Slope, -0.00157463680284072, 1e-9)
	near(t, "se of b", l.SlopeSE, 7.10571540872855e-05, 1e-9)
	near(t, "s", l.ResidualSD, 0.59574718020942, 1e-9)
	near(t, "R²", l.R2, 0.991920367213223, 1e-9)
	near(t, "covariance", l.Covariance, -2.54980516922704e-05, 1e-9)
	ci, pi := must(l.Band(12000, 0.95, Mean)), must(l.Band(12000, 0.95, Reading))
	near(t, "fit", l.At(12000), 320.972940887, 1e-9)
	near(t, "confidence, low", ci.Low, 319.444539938, 1e-9)
	near(t, "confidence, high", ci.High, 322.501341835, 1e-9)
	near(t, "prediction, low", pi.Low, 318.720848134, 1e-9)
	near(t, "prediction, high", pi.High, 323.22503364, 1e-9)
}

// Constructed, checked by root-finding on R's bands.
func TestHoursToLimit(t *testing.T) {
	l := must(Fit(wearX, wearY))
	m, r := must(l.Reach(320, 0.95, Mean)), must(l.Reach(320, 0.95, Reading))
	near(t, "x", m.At, 12617.8827303, 1e-9)
	near(t, "g", m.G, 0.0156975908835, 1e-9)
	near(t, "line, low", m.Interval.Low, 11682.7402348, 1e-9)
	near(t, "line, high", m.Interval.High, 13794.4094301, 1e-9)
	near(t, "reading, low", r.Interval.Low, 11243.3138764, 1e-9)
	near(t, "reading, high", r.Interval.High, 14233.8357886, 1e-9)

	// The same ends counted from the last reading; 0.975 one-sided is 0.95 two-sided.
	left := must(l.Remaining(10020, 320, Below, 0.975, Reading))
	near(t, "left", left.Estimate, 12617.8827303-10020, 1e-8)
	near(t, "left at least", left.Earliest, 11243.3138764-10020, 1e-8)
	near(t, "left at most", left.Latest, 14233.8357886-10020, 1e-8)
	if left.Why != "" {
		t.Errorf("a clear trend is explained away: %s", left.Why)
	}
}

// Constructed: g of 33.6 means that there is no finite interval, and so it must be said.
func TestNoFiniteInterval(t *testing.T) {
	l := must(Fit([]float64{0, 2000, 4000, 6000}, []float64{340, 341, 338, 339.5}))
	near(t, "slope", l.Slope, -0.000225, 1e-9)
	near(t, "p", l.SlopeP(), 0.5352419985, 1e-8)
	r := must(l.Reach(320, 0.95, Mean))
	near(t, "g", r.G, 33.59734093, 1e-8)
	if r.Bounded() || !math.IsInf(r.Interval.Low, -1) || !math.IsInf(r.Interval.High, 1) {
		t.Errorf("a trend that is not clear of none gives %+v", r)
	}
	left := must(l.Remaining(6000, 320, Below, 0.975, Reading))
	if !math.IsInf(left.Latest, 1) || left.Why != "no finite interval: the trend is not clear of none" {
		t.Errorf("left %+v", left)
	}
	if !(left.Earliest > 0) || left.Earliest >= left.Estimate {
		t.Errorf("the age before which the band keeps clear is %v of %v", left.Earliest, left.Estimate)
	}
}

// Graybill & Iyer, Regression Analysis, p. 431, thermostat; the answers also stand in the tests of the R package investr. The book
// prints 103.995, 103.4 and 104.6 for a reading of 104, and 99.63 to 100.59 for 100 at 90 %. The further digits were run.
func TestThermostatOfGraybillIyer(t *testing.T) {
	x := []float64{96, 98, 100, 102, 104, 106, 108, 110}
	y := []float64{95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21}
	l := must(Fit(x, y))
	a, b := must(l.Reach(104, 0.95, Reading)), must(l.Reach(100, 0.90, Reading))
	near(t, "104", a.At, 103.994915646, 1e-9)
	near(t, "104, low", a.Interval.Low, 103.404051142, 1e-9)
	near(t, "104, high", a.Interval.High, 104.589459385, 1e-9)
	near(t, "100", b.At, 100.112318003, 1e-9)
	near(t, "100, low", b.Interval.Low, 99.6294028953, 1e-9)
	near(t, "100, high", b.Interval.High, 100.588503132, 1e-9)
}

// Common practice, no source: where an end is finite the band's edge lies on the limit, before it the band keeps clear, and the other
// side of a mirrored line says the same.
func TestRemainingEndsLieOnTheBand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 10).Draw(t, "n")
		var x, y, down []float64
		slope := rapid.Float64Range(-0.2, 1).Draw(t, "slope")
		for i := range n {
			x = append(x, float64(i)*10+rapid.Float64Range(0, 5).Draw(t, "x"))
			y = append(y, slope*x[i]+rapid.Float64Range(-10, 10).Draw(t, "scatter"))
			down = append(down, -y[i])
		}
		l := must(Fit(x, y))
		now := x[n-1]
		limit := rapid.Float64Range(-20, 300).Draw(t, "limit")
		of := Target(rapid.IntRange(0, 1).Draw(t, "of"))
		left := must(l.Remaining(now, limit, Above, 0.95, of))
		edge := func(at float64) Interval { return must(l.Band(at, 0.90, of)) }
		if e := left.Earliest; e > 0 && !math.IsInf(e, 1) {
			if math.Abs(edge(now+e).High-limit) > 1e-6*(1+math.Abs(limit)) {
				t.Errorf("at the earliest the band ends at %v, the limit is %v", edge(now+e).High, limit)
			}
			if edge(now+e/2).High >= limit {
				t.Error("the band is over the limit before the earliest")
			}
		}
		if e := left.Latest; e > 0 && !math.IsInf(e, 1) && math.Abs(edge(now+e).Low-limit) > 1e-6*(1+math.Abs(limit)) {
			t.Errorf("at the latest the band starts at %v, the limit is %v", edge(now+e).Low, limit)
		}
		if !(left.Earliest <= left.Estimate && left.Estimate <= left.Latest) {
			t.Errorf("out of order: %+v", left)
		}
		if math.IsInf(left.Earliest, 1) && edge(now+1e6).High >= limit {
			t.Errorf("the band meets the limit at last, yet no earliest was given: %+v", left)
		}
		mirror := must(Fit(x, down))
		if other := must(mirror.Remaining(now, -limit, Below, 0.95, of)); other != left {
			t.Errorf("mirrored: %+v, %+v", left, other)
		}
	})
}

// Common practice, no source.
func TestRemainingInWords(t *testing.T) {
	l := must(Fit(wearX, wearY))
	for _, r := range []struct {
		limit    float64
		bad      Side
		why      string
		estimate float64
	}{
		{330, Below, "the line is past the limit already", 0},
		{350, Above, "the trend does not run towards the limit", math.Inf(1)},
	} {
		left := must(l.Remaining(10020, r.limit, r.bad, 0.95, Reading))
		if left.Why != r.why || left.Estimate != r.estimate {
			t.Errorf("limit %v: %+v, want %q and %v", r.limit, left, r.why, r.estimate)
		}
	}
}
