package checks

import (
	"fmt"

	"needlebook/logbook"
)

// onTheClock are the numbers on a clock's face.
const onTheClock = 12

var sprayHoles = &Check{
	Name:    "spray-holes",
	Subject: OfNozzle,
	Ends:    sprayRight,
	Version: 1,
	Level:   Record,
	Doc: "More spray holes are open or weak than the nozzle has, or a weak hole is named by a number that is not on a " +
		"clock. The count was mistyped, or the nozzle is another type; " +
		"either way the spray proves nothing of this nozzle. Fewer holes as found contradict an even pattern. " +
		"Count again; a weak hole is named by where it stands as on a clock, 1 to 12, with the dowel at 12.",
	Source:  "the number of holes is the book's own; that a nozzle has no more holes than holes needs none",
	Example: "10 holes open as left, the nozzle has 9",
	Grade:   Action,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			count := c.inForce(o, t.Date.Day).Holes.Count
			if state == "as left" {
				count = c.inForceAsLeft(o, t.Date.Day).Holes.Count
			}
			if !count.Valid {
				return
			}
			limit := c.limitAt(count.Leaf)
			if open := t.Spray.Open; open.Valid && open.Value > count.Value {
				c.Report(Finding{Place: open.Place, About: about(o), Limit: limit,
					Message: fmt.Sprintf("%s holes open %s, the nozzle has %s", open.Written, state, count.Written),
					Next:    "count again; is it a nozzle of another type?"})
			} else if open.Valid && open.Value < count.Value && state == "as found" && t.Spray.Form.Is("even") {
				c.Report(Finding{Place: open.Place, About: about(o), Grade: Note, Limit: limit,
					Message: fmt.Sprintf("%s of %s holes open as found, and the pattern is even", open.Written, count.Written),
					Next:    "a shut hole leaves a gap: count again, or write pattern: uneven"})
			}
			weak := t.Spray.Weak
			for _, h := range weak.Each {
				if h.Valid && (h.Value < 1 || h.Value > onTheClock) {
					c.Report(Finding{Place: h.Place, About: about(o),
						Message: fmt.Sprintf("weak hole at %s o'clock %s: a clock has 1 to %d", h.Written, state, onTheClock),
						Next:    "write where it is as on a clock, the dowel at 12"})
				}
			}
			if n := len(weak.Each); float64(n) > count.Value {
				c.Report(Finding{Place: weak.Place, About: about(o), Limit: limit,
					Message: fmt.Sprintf("%s %s, the nozzle has %s",
						numbered(n, "weak hole", "weak holes"), state, count.Written), Next: "count again"})
			}
		})
	},
}
