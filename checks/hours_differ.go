package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
)

var hoursDiffer = &Check{
	Name:    "hours-differ",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The service hours that a record states are not those that fitting and removal give. Typed hours are often the " +
		"interval, the nozzle's hours in all, or " +
		"the other engine's; wear lines and intervals rest on the true ones. The book works with its own: correct the " +
		"typed figure, or the counter reading that is wrong.",
	Source:  "common practice, no source",
	Example: `service hours 1250 h, but fitted 2021-06-23 and pulled 2021-11-03 give 1964 h: 714 h apart`,
	Holds:   wasRemoved,
	Each: func(c *Case, o *logbook.Overhaul) {
		typed := o.Removed.Hours
		s := c.Lives.ClosedBy(o)
		if !typed.Quantity.Valid() || s == nil || !s.HoursKnown {
			return
		}
		ran := s.Hours
		apart := math.Abs(typed.Float() - ran)
		if apart <= c.Settings.HoursWithin.Float() {
			return
		}
		f := Finding{Place: typed.Place,
			Message: fmt.Sprintf("service hours %s, but fitted %s and pulled %s give %.0f h: %.0f h apart", typed.Quantity,
				s.From, s.To, ran, apart),
			Next:    "correct the typed hours, or the counter reading that is wrong",
			Related: []Related{{s.FromPlace, "fitted"}},
			About:   about(o)}
		if all, known := c.Lives.NozzleHours(o.Nozzle.Found.Written, s.To); known &&
			math.Abs(all-typed.Float()) <= c.Settings.HoursWithin.Float() {
			f.Next = "these are the hours of the nozzle in all; strike them"
		}
		c.Report(f)
	},
	Grade: Action,
}
