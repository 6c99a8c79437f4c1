package checks

import (
	"strings"

	"needlebook/logbook"
)

var leakDownNotComparable = &Check{
	Name:    "leak-down-not-comparable",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   Record,
	Doc: "A leak-down time stands without the temperature of the oil, or without the pressures between which it was " +
		"timed. Warm oil runs past the needle faster, and " +
		"a longer fall takes longer: without them the time compares with nothing, not even with this valve's own last one. " +
		"Write them, or why they are not known.",
	Source:  "common practice, no source; it follows from the flow through a narrow gap",
	Example: `leak-down 11.2 s as found without oil temperature`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			if !t.LeakDown.Time.Quantity.Valid() {
				return
			}
			var lacking []string
			for _, x := range []struct {
				name string
				leaf logbook.Leaf
			}{{"oil temperature", t.Oil.Leaf}, {"start pressure", t.LeakDown.From.Leaf}, {"end pressure", t.LeakDown.To.Leaf}} {
				if !x.leaf.Present() {
					lacking = append(lacking, x.name)
				}
			}
			if len(lacking) > 0 {
				c.Report(Finding{Place: t.LeakDown.Time.Place, Message: "leak-down " + t.LeakDown.Time.String() + " " + state +
					" without " + strings.Join(lacking, " and "), About: about(o),
					Next: "write it, or why it is not known: oil: not noted (why)"})
			}
		})
	},
	Grade: Advice,
}
