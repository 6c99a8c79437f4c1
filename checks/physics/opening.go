package physics

import (
	"fmt"
	"math"
)

// Needle is the geometry that turns a spring's force into an opening pressure.
type Needle struct {
	GuideMM float64 // diameter in the guide
	SeatMM  float64 // diameter at which the needle closes on its seat
}

// RingMM2 returns the area in mm² on which the fuel pushes while the needle sits: guide area less seat area.
func (n Needle) RingMM2() (float64, error) {
	if err := positive(given{"guide diameter", n.GuideMM, "mm"}, given{"seat diameter", n.SeatMM, "mm"}); err != nil {
		return 0, err
	}
	if n.SeatMM >= n.GuideMM {
		return 0, fmt.Errorf("seat diameter %v mm is not smaller than the guide's %v mm: are they exchanged?", n.SeatMM,
			n.GuideMM)
	}
	return circle(n.GuideMM) - circle(n.SeatMM), nil
}

// Closing returns the pressure in bar at which the lifted needle falls, for the spring force in N at that lift: the
// fuel then pushes on the whole guide area, p = F / guide area. With the force of the closed valve it is the least, 1 -
// (seat/guide)² of the opening pressure; at full lift the spring pushes harder by its rate times the lift.
func (n Needle) Closing(forceN float64) (float64, error) {
	if _, err := n.RingMM2(); err != nil {
		return 0, err
	}
	if err := positive(given{"spring force", forceN, "N"}); err != nil {
		return 0, err
	}
	return 10 * forceN / circle(n.GuideMM), nil
}

// Force returns the spring force in N that an opening pressure in bar implies.
//
// Source: balance of forces, p = F / (guide area - seat area). Friction and the pressure behind the needle are left
// out.
func (n Needle) Force(openingBar float64) (float64, error) {
	ring, err := n.RingMM2()
	if err != nil {
		return 0, err
	}
	if err := positive(given{"opening pressure", openingBar, "bar"}); err != nil {
		return 0, err
	}
	return openingBar * ring / 10, nil
}

// Shift splits a change of opening pressure into what the seat explains and what is left for the spring and what it
// rests on.
type Shift struct {
	Total  float64 // found less left, bar: below zero when pressure was lost
	Seat   float64 // what the change of seat diameter alone would have done, bar: above zero when the seat has widened
	Spring float64 // the rest, bar: spring set, loose lock nut, worn spindle end or shim, or the gauge
	Force  float64 // the rest as spring force, N
}

// SeatShift splits the change of opening pressure, in bar, between the setting and a later test, during which the
// needle's seat went from one diameter to another. A seat that widens raises the opening pressure: a loss is therefore
// never explained by a wider seat, and the spring has then lost more than the gauge shows.
//
// Source: balance of forces at constant spring force, p₂ = p₁ (A_g - A_s1) / (A_g - A_s2).
func (n Needle) SeatShift(leftBar, foundBar, seatNowMM float64) (Shift, error) {
	before, err := n.RingMM2()
	if err != nil {
		return Shift{}, err
	}
	after, err := Needle{n.GuideMM, seatNowMM}.RingMM2()
	if err != nil {
		return Shift{}, err
	}
	if err := positive(given{"opening pressure as left", leftBar, "bar"}, given{"opening pressure as found", foundBar,
		"bar"}); err != nil {
		return Shift{}, err
	}
	alone := leftBar * before / after
	return Shift{
		Total:  foundBar - leftBar,
		Seat:   alone - leftBar,
		Spring: foundBar - alone,
		Force:  (foundBar - alone) * after / 10,
	}, nil
}

func circle(diameterMM float64) float64 { return math.Pi / 4 * diameterMM * diameterMM }
