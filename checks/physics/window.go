package physics

import (
	"fmt"
	"math"
)

// Window is the band in bar in which a valve is set.
type Window struct{ Low, High float64 }

// SettingWindow returns the window of a nominal pressure in bar with its tolerances as manuals write them: 320 +10/-0 bar. Both
// tolerances are given without sign.
func SettingWindow(nominalBar, plusBar, minusBar float64) (Window, error) {
	if err := positive(given{"nominal opening pressure", nominalBar, "bar"}); err != nil {
		return Window{}, err
	}
	if err := within(given{"tolerance upward", plusBar, "bar"}, 0, nominalBar); err != nil {
		return Window{}, err
	}
	if err := within(given{"tolerance downward", minusBar, "bar"}, 0, nominalBar); err != nil {
		return Window{}, err
	}
	return Window{hundredth(nominalBar - minusBar), hundredth(nominalBar + plusBar)}, nil
}

// SettingAbove returns the window of a part that is set a percentage above another, as some manuals state the setting of a new nozzle,
// with tolerances in bar that apply to the raised pressure.
func SettingAbove(nominalBar, percent, plusBar, minusBar float64) (Window, error) {
	if err := within(given{"percentage above", percent, "%"}, 0, 100); err != nil {
		return Window{}, err
	}
	return SettingWindow(hundredth(nominalBar*(1+percent/100)), plusBar, minusBar)
}

// Contains reports whether a pressure in bar lies in the window, its ends included.
func (w Window) Contains(bar float64) bool {
	bar = hundredth(bar)
	return bar >= w.Low && bar <= w.High
}

// Marks returns the lowest and the highest mark of a gauge with divisions of so many bar that lie in the window, to say what to aim
// at: 345.6 to 355.6 bar is 350 to 355 on a gauge of 5-bar divisions. It returns an error when no mark does.
func (w Window) Marks(divisionBar float64) (Window, error) {
	if err := positive(given{"division of the gauge", divisionBar, "bar"}); err != nil {
		return Window{}, err
	}
	const slip = 1e-9 // a mark exactly on the end counts, whatever binary fractions make of the quotient
	low := hundredth(math.Ceil(w.Low/divisionBar-slip) * divisionBar)
	high := hundredth(math.Floor(w.High/divisionBar+slip) * divisionBar)
	if !(low <= high) {
		return Window{}, fmt.Errorf("no mark of a gauge with %v bar divisions lies between %v and %v bar: use a finer gauge",
			divisionBar, w.Low, w.High)
	}
	return Window{low, high}, nil
}

// hundredth rounds to 0.01 bar, finer than any gauge, so that sums of written decimals land on the decimals a file would hold.
func hundredth(bar float64) float64 { return math.Round(bar*100) / 100 }
