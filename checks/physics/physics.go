// Package physics holds the arithmetic of a fuel injection valve on the bench: lift, leak-down, opening pressure,
// spring, torque and the window a valve is set to.
//
// It knows formulas and their sources; it knows no limits, records or verdicts. Every function takes bare numbers whose
// unit stands in the name, refuses what is not a finite number in range, and never returns a not-a-number without an
// error. Values may be used by several goroutines at once: nothing here keeps state.
//
// Begin with [NewOil] for the test oil, [Guide] for leak-down, [Needle] for opening pressure. Numbers from here explain
// a measurement; what a valve must meet is in the maker's manual.
package physics

import (
	"fmt"
	"math"
)

// given is a number with the name and unit an error message needs.
type given struct {
	name  string
	value float64
	unit  string
}

// positive returns an error for the first number that is not finite and above zero.
func positive(all ...given) error {
	for _, g := range all {
		if !(g.value > 0) || math.IsInf(g.value, 1) {
			return fmt.Errorf("%s is %v %s: a number above zero is needed", g.name, g.value, g.unit)
		}
	}
	return nil
}

// within returns an error when the number is outside low to high, both included, or not a number.
func within(g given, low, high float64) error {
	if !(g.value >= low && g.value <= high) {
		return fmt.Errorf("%s is %v %s: outside %v to %v %s", g.name, g.value, g.unit, low, high, g.unit)
	}
	return nil
}
