package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var protrusion = &Check{
	Name:    "protrusion",
	Subject: OfPocket,
	Ends:    pocketCleared,
	Version: 1,
	Level:   Record,
	Doc: "The nozzle does not protrude from the head as far as it should. Short by a ring's thickness, an old sealing " +
		"ring lies under the new one: the spray strikes the head, " +
		"and carbon closes the pocket. Too far out, the ring may be missing, and the valve lets gas past. Pull the valve " +
		"and look into the pocket.",
	Source:  "common practice, no source; the band is the book's own",
	Example: `protrusion 16.0 mm is 1.7 mm below the band 17.7 to 18.3 mm: about one ring of 2.0 mm`,
	Holds:   wasFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.FittedProtrusion)
		if !v.Result.Out() {
			return
		}
		f := onVerdict(o, v, beyond(v), "pull the valve and look into the pocket: is the ring missing, or the wrong one?")
		if v.Side < 0 {
			f.Next = "pull the valve: is an old ring still in the pocket?"
			if ring := c.inForceAsLeft(o, o.Fitted.Date.Day).RingHeight.Quantity; ring.Valid() &&
				ring.Kind() == measure.Length && v.Span.Side(v.Value.Plus(ring)) == 0 {
				f.Message += ": about one ring of " + ring.String() // with one more it would stand in its band
			}
		}
		c.Report(f)
	},
	Grade: Action,
}
