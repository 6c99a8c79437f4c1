package checks

import (
	"fmt"

	"needlebook/logbook"
)

var sprayHoles = &Check{
	Name:  "spray-holes",
	Level: Record,
	Doc: "More spray holes are open than the nozzle has, or a weak hole bears a number that it has not. The count was mistyped, or the nozzle is another type; " +
		"either way the spray proves nothing of this nozzle. Count again, and number the holes clockwise from the dowel.",
	Source:  "the number of holes is the book's own; that a nozzle has no more holes than holes needs none",
	Example: "10 holes open as left, the nozzle has 9",
	Grade:   Answer,
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
				c.Report(Finding{Place: open.Place, About: about(o), Limit: limit, Message: fmt.Sprintf("%s holes open %s, the nozzle has %s", open.Written, state, count.Written),
					Next: "count again; is it a nozzle of another type?"})
			}
			for _, h := range t.Spray.Weak.Each {
				if h.Valid && (h.Value < 1 || h.Value > count.Value) {
					c.Report(Finding{Place: h.Place, About: about(o), Limit: limit, Message: fmt.Sprintf("weak hole %s %s, the nozzle has %s holes", h.Written, state, count.Written),
						Next: "number the holes from 1 clockwise from the dowel"})
				}
			}
		})
	},
}
