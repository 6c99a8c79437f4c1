package checks

import (
	"slices"
	"strings"

	"needlebook/logbook"
)

var stepMissing = &Check{
	Name:    "step-missing",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Record,
	Doc: "A record claims a later step and holds nothing of an earlier one: fitted but never tested, tested but never " +
		"measured or decided; or it names no holder. Once the valve is set, a gap looks the same as work not done. Fill " +
		"it in, or write not done (why): of a valve only moved as_left.",
	Source:  "our own rule",
	Example: `the valve is fitted; nothing is said of: decided, as_left`,
	Each: func(c *Case, o *logbook.Overhaul) {
		unread := func(p logbook.Problem) bool { return p.Place.Path == o.Path && !p.Read } // the reader has said why
		if !o.Holder.Stated() && !slices.ContainsFunc(c.Book.Problems, unread) {
			c.Report(Finding{Place: o.Opening, Message: "no holder is named: the record belongs to no valve", About: about(o),
				Next: `name it, as holder: "H-101"`})
		}
		reached, place := "set and tested", o.AsLeft.Place
		switch {
		case o.Fitted.Stated():
			reached, place = "fitted", o.Fitted.Place
		case o.Stored.Stated():
			reached, place = "in the spares rack", o.Stored.Place
		case !o.AsLeft.Stated():
			return
		}
		built := !c.Lives.FromOpening(o)
		moved := o.Removed.Stated() && !o.Worked() && o.AsFound.Excused() // and not opened
		worked := o.Removed.Stated() && !moved
		var missing []string
		for _, b := range []struct {
			name string
			leaf logbook.Leaf
			due  bool
		}{
			{"measured", o.Measured.Leaf, worked}, {"decided", o.Decided.Leaf, worked},
			{"assembled", o.Assembled.Leaf, !o.Received.Stated() && built && !moved}, {"as_left", o.AsLeft.Leaf, built},
		} {
			if b.due && !b.leaf.Present() {
				missing = append(missing, b.name)
			}
		}
		if len(missing) > 0 {
			c.Report(Finding{Place: place, Message: "the valve is " + reached + "; nothing is said of: " + strings.Join(missing,
				", "), About: about(o), Lacks: "steps of the work",
				Next: "fill it in, or write why: " + missing[0] + ": not done (why)"})
		}
	},
	Grade: Action,
}
