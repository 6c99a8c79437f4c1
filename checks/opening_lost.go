package checks

import (
	"fmt"

	"needlebook/logbook"
)

var openingLost = &Check{
	Name:    "opening-lost",
	Subject: OfHolder,
	Ends:    causeFound,
	Version: 2,
	Level:   History,
	Doc: "A valve has lost more opening pressure since it was set than wear explains. Wear of spindle and seats costs a " +
		"few bar; a larger loss is a spring that has set, a lock nut that " +
		"worked loose, a broken shim, or a seat whose contact has moved inward, and the setting screw only hides it until " +
		"it comes back. The first running of new parts costs more, so that valves set as new have a threshold of " +
		"their own. " +
		"Find the cause before setting again: spring length and ends, lock nut mark, shims, the seat under the lens. A " +
		"record that says what was wrong with the spring has answered it. " +
		"Valves set or tested while their gauge is on record as wrong are left out: they have one finding together.",
	Source:  "common practice, no source",
	Example: "opening pressure 265 bar as found is 55 bar (17.2 %) below 320 bar as left of 2021-01-11",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, s := range c.Recurring().Shifts {
			most := c.Settings.DropUsed
			if s.Left.Class == logbook.New {
				most = c.Settings.DropNew
			}
			// A share of two figures as written is compared as the product, so that one exactly on the threshold is not over it.
			if lost := s.Left.Opening.Minus(s.Found.Quantity); s.FoundWrong != nil || s.LeftWrong != nil ||
				lost.Float()*100 <= most.Float()*s.Left.Opening.Float() {
				continue
			}
			o := s.Overhaul
			f := Finding{Place: s.Found.Place, About: about(o), Related: []Related{{s.Left.Place,
				"left at " + s.Left.Opening.String()}},
				Message: fmt.Sprintf("opening pressure %s as found is %s (%.1f %%) below %s as left of %s", s.Found,
					s.Left.Opening.Apart(s.Found.Quantity), s.Loss(), s.Left.Opening, s.Left.Day),
				Evidence: []string{fmt.Sprintf("threshold %s (%s)", most.Written, s.Left.Class)},
				Next:     "find the cause before setting again: spring, lock nut, shims, seat contact"}
			if u, known := c.apart(s); known {
				f.Evidence = append(f.Evidence, fmt.Sprintf("the loss is known to ±%s (k = 2)", s.Left.Opening.Like(u)))
				if lost := s.Left.Opening.Float() - s.Found.Float() - u; lost*100 <= most.Float()*s.Left.Opening.Float() {
					f.Next = "in doubt: read it again with a second gauge, then find the cause"
				}
			}
			if o.Decided.Spring.Is("renew") || o.Inspected.Spring.Is("marked", "damaged", "cracked") {
				f.Grade, f.Next = Note, "answered: the record says what was found at the spring"
			}
			c.Report(f)
		}
	},
}
