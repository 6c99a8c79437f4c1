package physics

import (
	"fmt"
	"math"
)

// Spring is a helical compression spring of round wire.
type Spring struct {
	WireMM      float64 // diameter of the wire
	CoilMM      float64 // mean diameter of the coil
	ActiveCoils float64 // coils that move
	ShearGPa    float64 // shear modulus of the wire, about 79 GPa for spring steel
}

// Rate returns the spring rate in N/mm.
//
// Source: k = G d⁴ / (8 D³ n), the usual formula for helical springs (Shigley's Mechanical Engineering Design).
func (s Spring) Rate() (float64, error) {
	if err := positive(given{"wire diameter", s.WireMM, "mm"}, given{"coil diameter", s.CoilMM, "mm"},
		given{"active coils", s.ActiveCoils, ""}, given{"shear modulus", s.ShearGPa, "GPa"}); err != nil {
		return 0, err
	}
	if s.WireMM >= s.CoilMM {
		return 0, fmt.Errorf("wire diameter %v mm is not smaller than the coil's %v mm", s.WireMM, s.CoilMM)
	}
	return s.ShearGPa * 1e3 * math.Pow(s.WireMM, 4) / (8 * math.Pow(s.CoilMM, 3) * s.ActiveCoils), nil
}

// ShimEffect returns by how many bar the opening pressure moves when the spring is pressed together by mm more (below
// zero: less), for a spring rate in N/mm. The same arithmetic turns a spindle or shim worn by so much into lost
// pressure. The effect differs between types of valve by a factor of two and more, so a maker's own figure comes first.
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
