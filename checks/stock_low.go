package checks

import (
	"fmt"

	"needlebook/checks/stores"
)

var stockLow = &Check{
	Name:    "stock-low",
	Subject: OfBook,
	Ends:    &End{Ways: only("nozzles have come on board, or are on order"), Grows: true},
	Version: 1,
	Needs:   stock,
	Level:   Vessel,
	Doc: "Fewer nozzles are on board than the ship is likely to need until those ordered at the next monthly look can " +
		"come. What is needed is counted from each fitted nozzle's own age at the present running rate, since nozzles " +
		"bought together wear out together, " +
		"and from how often nozzles were rejected before their life was over; the spread of such counts comes on top. A " +
		"ship without a nozzle runs on a worn one. Order, or say why not; where what is on order will do, it is a note. " +
		"Books that keep no nozzles in their stores, or state no lead time or life, are not asked.",
	Source:  "common practice, no source; a count of rare events varies by its square root (Poisson)",
	Example: "nozzles on board 3, minimum 6",
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, it := range stores.Count(c.Book, c.Today) {
			if !it.Nozzle || !it.Short() {
				continue
			}
			n := it.Need
			f := Finding{Place: it.Last.Place, Next: "order nozzles",
				Message: fmt.Sprintf("nozzles on board %g, minimum %.0f", it.OnBoard, n.Minimum),
				Evidence: []string{fmt.Sprintf("in a lead time of %d d and %d d until the next look %d reach their life and %.1f "+
					"more are likely to be rejected", it.Lead, stores.ReviewDays, n.Life, n.Rejected)}}
			if it.OnOrder > 0 {
				order := fmt.Sprintf("on order %g", it.OnOrder)
				if it.Due.Stated() {
					order += ", due " + it.Due.Written
				}
				f.Evidence = append(f.Evidence, order)
			}
			if it.ToOrder() == 0 {
				f.Grade, f.Next = Note, "see that what is on order comes in time"
			}
			c.Report(f)
		}
	},
}
