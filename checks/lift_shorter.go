package checks

import (
	"fmt"

	"needlebook/logbook"
)

var liftShorter = &Check{
	Name:    "lift-shorter",
	Subject: OfNozzle,
	Ends:    nozzleMeasured,
	Version: 3,
	Level:   History,
	Doc: "The lift of a nozzle is shorter than it was measured before, or than that of any new one, and nothing was " +
		"ground off it. A seat wears " +
		"deeper, never shallower: another nozzle was measured than the record names, there was dirt under the gauge or " +
		"carbon in the seat, or a digit was misread. " +
		"Clean, measure again, read the serial. A lift read too short hides one that is over its limit.",
	Source:  "from memory",
	Example: "lift 0.79 mm of N-2024 is 0.05 mm shorter than the 0.84 mm measured before, and nothing was ground",
	Grade:   Action,
	Whole: func(c *Case) {
		lost(c, lifts(c), c.Settings.LiftLess,
			"lift %s of %s is %s shorter than the %s measured before, and nothing was ground",
			"lift %s before", "clean, measure again, and read the serial of the nozzle")
		c.belowNew()
	},
}

// belowNew reports the lift of a nozzle measured for the first time that is below that of the shortest new one.
func (c *Case) belowNew() {
	again := map[*logbook.Overhaul]bool{}
	for _, m := range lifts(c) {
		again[m.record] = true
	}
	for _, o := range c.Book.Overhauls {
		is, e := o.Measured.Lift.Value, c.inForce(o, o.AsFound.Date.Day)
		if again[o] || e == nil || !is.Valid() || !e.Lift.New.Low.Valid() || is.Kind() != e.Lift.New.Kind() ||
			mistaken(c, o)[is.Place] || o.Decided.Nozzle.Is("grind", "lap") {
			continue
		}
		if low := e.Lift.New.Low; low.Minus(is.Quantity).Compare(c.Settings.LiftLess.Quantity) >= 0 {
			c.Report(Finding{Place: is.Place, About: about(o), Grade: Advice, Limit: c.limitAt(e.Lift.New.Leaf),
				Message: fmt.Sprintf("lift %s is %s below that of the shortest new nozzle, %s", is, low.Apart(is.Quantity), low),
				Next:    "clean, measure again; was the nozzle ground before the book began?"})
		}
	}
}
