package physics

import (
	"fmt"
	"math"
)

// ShimEffect returns by how many bar the opening pressure moves when the spring is pressed together by mm more (below zero: less), for
// a spring rate in N/mm. The same arithmetic turns a spindle or shim worn by so much into lost pressure. The effect differs between
// types of valve by a factor of two and more, so a maker's own figure comes first.
//
// Source: p = F / ring area and F = k·s.
func (n Needle) ShimEffect(rateNPerMM, mm float64) (float64, error) {
	ring, err := n.RingMM2()
	if err != nil {
		return 0, err
	}
	if err := positive(given{"spring rate", rateNPerMM, "N/mm"}); err != nil {
		return 0, err
	}
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("shim of %v mm: a number is needed", mm)
	}
	return 10 * rateNPerMM * mm / ring, nil
}
