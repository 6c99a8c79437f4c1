package survival

import (
	"math"
	"testing"
)

// Dead time of a unit that fails at a constant rate of 1 in 20000 h and is looked at every 2069.58 h is 5 %: closed form
// 1-(1-e^-λT)/(λT), any text on availability.
func TestBadUnseen(t *testing.T) {
	near(t, "share", must(NewWeibull(1, 20000)).BadUnseen(2069.57663092), 0.05, 1e-8)
}

// At a constant rate the cheapest time T between looks has look/(hour·mean) = 1 - (1 + λT)·e^-λT, by setting the derivative of the cost to
// nought; at λT = 1 that is 1 - 2/e, and for looks that cost little T is near √(2·look/(λ·hour)), the first term of the series.
func TestLookEvery(t *testing.T) {
	w := must(NewWeibull(1, 1000))
	at, ok := w.LookEvery(1000*(1-2/math.E), 1)
	near(t, "λT = 1", at, 1000, 1e-9)
	if !ok {
		t.Error("no time between looks at λT = 1")
	}
	at, _ = w.LookEvery(1e-6, 1)
	near(t, "cheap looks", at, math.Sqrt(2*1e-6*1000), 1e-3)
	for _, c := range []struct{ look, hour float64 }{{1e9, 1e-9}, {1000, 1}, {0, 1}, {1, 0}} {
		if at, ok := w.LookEvery(c.look, c.hour); ok {
			t.Errorf("a look of %v for an hour of %v: every %v", c.look, c.hour, at)
		}
	}
}

// No time near the cheapest one is cheaper, whatever the shape: the cost is worked out in steps.
func TestLookEveryIsTheCheapest(t *testing.T) {
	cost := func(w Weibull, look, hour, every float64) float64 {
		const steps = 20000
		bad := 0.0
		for i := range steps {
			bad += w.Ended(every*(float64(i)+0.5)/steps) * every / steps
		}
		return (look + hour*bad) / every
	}
	for _, shape := range []float64{0.8, 1, 1.7, 3.2, 5} {
		w := must(NewWeibull(shape, 4000))
		at, ok := w.LookEvery(8, 0.05)
		if !ok {
			t.Fatalf("shape %v: no time between looks", shape)
		}
		least := cost(w, 8, 0.05, at)
		for _, other := range []float64{0.97, 0.995, 1.005, 1.03} {
			if c := cost(w, 8, 0.05, other*at); c <= least {
				t.Errorf("shape %v: %v h cost %v an hour, %v h only %v", shape, at, least, other*at, c)
			}
		}
	}
}
