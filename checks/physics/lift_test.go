package physics

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Common practice, no source: the sum lands on the decimal that a file would hold, so that a value on its limit stays on it.
func TestEffectiveLiftLandsOnDecimals(t *testing.T) {
	for _, r := range []struct{ lift, wear, want float64 }{{0.91, 0.03, 0.94}, {0.87, 0.03, 0.90}, {0.7, 0.1, 0.8}, {0.765, 0.005, 0.77}} {
		if got := must(EffectiveLift(r.lift, r.wear)); got != r.want {
			t.Errorf("EffectiveStroke(%v, %v) = %v, want exactly %v", r.lift, r.wear, got, r.want)
		}
	}
}

// Common practice, no source: after grinding, the lift is the one wanted, or the nozzle's own where that is shorter.
func TestRegrindReachesTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		um := func(name string, low, high int) float64 {
			return float64(rapid.IntRange(low, high).Draw(t, name)) / 1000
		}
		lift, wear, target := um("lift", 300, 1200), um("wear", 0, 120), um("target", 300, 1200)
		g := must(RegrindTo(target, lift, wear))
		if want := math.Min(lift, target); math.Abs(g.Lift-want) > 1e-9 {
			t.Errorf("lift after grinding %v, want %v", g.Lift, want)
		}
		effective := must(EffectiveLift(lift, wear))
		if math.Abs(effective-g.HolderFace-g.NozzleFace-g.Lift) > 1e-9 {
			t.Errorf("%v less %v less %v is not %v", effective, g.HolderFace, g.NozzleFace, g.Lift)
		}
		if g.NozzleOnly > 0 && math.Abs(effective-g.NozzleOnly-target) > 1e-9 {
			t.Errorf("grinding the nozzle alone by %v from %v misses %v", g.NozzleOnly, effective, target)
		}
	})
}

// Common practice, no source: only marks inside the window are aimed at, its own ends included.
func TestMarksOfTheWindow(t *testing.T) {
	for _, r := range []struct {
		window   Window
		division float64
		want     Window
	}{
		{Window{345.6, 355.6}, 5, Window{350, 355}},
		{Window{320, 330}, 5, Window{320, 330}},
		{Window{0.3, 0.6}, 0.1, Window{0.3, 0.6}},
	} {
		if m := must(r.window.Marks(r.division)); m != r.want {
			t.Errorf("marks of %v bar in %v are %v, want %v", r.division, r.window, m, r.want)
		}
	}
	if _, err := (Window{321, 324}).Marks(5); err == nil {
		t.Error("a window between two marks was found to hold one")
	}
}

func TestLiftRefusesNonsense(t *testing.T) {
	if _, err := EffectiveLift(math.NaN(), 0); err == nil {
		t.Error("a lift that is not a number was accepted")
	}
	if _, err := RegrindTo(0, 0.9, 0.03); err == nil {
		t.Error("grinding to no lift was accepted")
	}
}
