package physics

import (
	"fmt"
	"math"
)

// Window is the band in bar in which a valve is set.
type Window struct{ Low, High float64 }

// Marks returns the lowest and the highest mark of a gauge with divisions of so many bar that lie in the window, to say
// what to aim at: 345.6 to 355.6 bar is 350 to 355 on a gauge of 5-bar divisions. It returns an error when no mark
// does.
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

// hundredth rounds to 0.01 bar, finer than any gauge, so that sums of written decimals land on the decimals a file
// would hold.
func hundredth(bar float64) float64 { return math.Round(bar*100) / 100 }
