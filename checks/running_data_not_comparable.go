package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
)

var runningDataNotComparable = &Check{
	Name:    "running-data-not-comparable",
	Subject: OfPosition,
	Ends:    valveChanged,
	Version: 1,
	Level:   Record,
	Doc: "The cylinder's signs before and after the change of its valve were noted at different load or on another " +
		"fuel. Exhaust and pmax move with both, so the " +
		"difference says nothing of the valve. Note them again at like load, on the same fuel.",
	Source:  "common practice, no source; the difference of load is a setting of the book",
	Example: `ME1-3: before at 82 % load, after at 55 %: not comparable`,
	Holds:   wasFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		before, ok := signsBefore(c, o)
		after := o.RunningAfter
		if !ok || !after.Exhaust.Quantity.Valid() {
			return
		}
		at := logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}
		f := Finding{Place: after.Place, Next: "note the signs again at like load, on the same fuel",
			Related: []Related{{before.Place, "before"}}, About: about(o)}
		f.About.Position = at
		if before.Load.Quantity.Valid() && after.Load.Quantity.Valid() &&
			math.Abs(before.Load.Float()-after.Load.Float()) > c.Settings.LoadWithin.Float() {
			f.Place, f.Message = after.Load.Place, fmt.Sprintf("%s: before at %s load, after at %s: not comparable", at,
				before.Load.Quantity, after.Load.Quantity)
			c.Report(f)
		}
		if before.Fuel.Stated() && after.Fuel.Stated() && before.Fuel.Written != after.Fuel.Written {
			f.Place, f.Message = after.Fuel.Place, fmt.Sprintf("%s: before on %s, after on %s: not comparable", at, before.Fuel,
				after.Fuel)
			c.Report(f)
		}
	},
	Grade: Advice,
}
