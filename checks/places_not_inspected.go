package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
)

var placesNotInspected = &Check{
	Name:    "places-not-inspected",
	Subject: OfHolder,
	Ends:    inspectedAgain,
	Version: 2,
	Level:   Record,
	Doc: "Places of the inspection list were not looked at, and no reason is given. The list is short and closed so " +
		"that no place is forgotten; the one nobody looked at " +
		"is where the next failure begins; a spring whose length was measured was looked at. Look, or write why not: not " +
		"looked at (why). Places of a part that does not go " +
		"back do not count.",
	Source:  "our own advice",
	Example: `3 of 14 places not looked at: needle end, push rod, drillings`,
	Holds:   wasRemoved,
	Each: func(c *Case, o *logbook.Overhaul) {
		shut := !o.Worked() || o.Assembled.Excused() && !o.Opened() // moved, or set again, and not taken apart
		if !o.Removed.Stated() || !o.Built() || o.Inspected.Excused() || shut {
			return
		}
		if !o.Inspected.Stated() {
			c.Report(Finding{Place: o.Holder.Place, Message: "no place of the inspection list was looked at", About: about(o),
				Lacks: listOfInspection,
				Next:  "write what was seen at each place, or why not: inspected: not done (why)"})
			return
		}
		if length := o.Measured.SpringLength.Value; o.Inspected.Spring.Excused() && length.Valid() {
			c.Report(Finding{Place: o.Inspected.Spring.Place, About: about(o), Related: []Related{{length.Place, "measured"}},
				Message: fmt.Sprintf("spring %s, and its length was measured, %s", o.Inspected.Spring.Not, length),
				Next:    "write what was seen; are two lines exchanged?"})
		}
		if missed := placesMissed(o); len(missed) > 0 {
			c.Report(Finding{Place: o.Inspected.Place, Message: fmt.Sprintf("%d of %d places not looked at: %s", len(missed),
				len(o.Inspected.Places()), strings.Join(missed, ", ")), About: about(o), Lacks: listOfInspection,
				Next: "write what was seen there, or why not: not looked at (why)"})
		}
	},
	Grade: Advice,
}

// placesMissed are the places of the inspection list of which a record says nothing, but for those of parts that are
// not used again.
func placesMissed(o *logbook.Overhaul) (missed []string) {
	for _, p := range o.Inspected.Places() {
		gone := p.Part == "nozzle" && o.Decided.Nozzle.Is("renew", "condemn") || p.Part == "spring" &&
			o.Decided.Spring.Is("renew")
		if !p.Word.Present() && !gone {
			missed = append(missed, p.Name)
		}
	}
	return missed
}

// listOfInspection is what a record lacks that says nothing of some places.
const listOfInspection = "places of the inspection list"
