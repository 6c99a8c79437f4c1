package evidence

import (
	"math"
	"testing"

	"needlebook/checks/survival"
)

// Dead time of a unit that fails at a constant rate of 1 in 20000 h and is looked at every 2069.58 h is 5 %: closed form
// 1-(1-e^-λT)/(λT), any text on availability.
func TestDeadShare(t *testing.T) {
	w, err := survival.NewWeibull(1, 20000)
	if err != nil {
		t.Fatal(err)
	}
	if got := deadShare(w, 2069.57663092); math.Abs(got-0.05) > 1e-8 {
		t.Errorf("deadShare = %v, want 0.05", got)
	}
}

// The cheapest time between looks is where the dead time saved no longer pays for a look; with a constant small rate λ it is near
// √(2·look/(λ·hour)), the first term of the series. From memory.
func TestInspectEvery(t *testing.T) {
	w, _ := survival.NewWeibull(1, 100000)
	at, ok := inspectEvery(w, 1, 0.02)
	if want := math.Sqrt(2 * 1 * 100000 / 0.02); !ok || math.Abs(at-want) > 0.05*want {
		t.Errorf("inspectEvery = %v, %v, want about %.0f", at, ok, want)
	}
	if _, ok := inspectEvery(w, 1e9, 1e-9); ok {
		t.Error("inspectEvery finds a time where looking never pays")
	}
}
