package checks

import "needlebook/logbook"

var closingAboveOpening = &Check{
	Name:    "closing-above-opening",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The closing pressure is not below the opening pressure. Once the needle is off its seat the pressure acts on " +
		"a larger area, so it closes lower than it " +
		"opens, always: the two figures are exchanged, or one is misread. Compare with the sheet, exchange them, and keep " +
		"the old ones under corrections.",
	Source:  "common practice, no source; it follows from the areas at guide and seat",
	Example: `opens at 250 bar and closes at 325 bar as left: exchanged?`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			opening := t.Opening.Median()
			if !opening.Quantity.Valid() || !t.Closing.Quantity.Valid() || t.Closing.Compare(opening.Quantity) < 0 {
				return
			}
			c.Report(Finding{Place: t.Closing.Place, Message: "opens at " + opening.String() + " and closes at " +
				t.Closing.String() + " " + state + ": exchanged?", About: about(o),
				Next:    "compare with the sheet; exchange them, and keep the old ones under corrections",
				Related: []Related{{opening.Place, "opening pressure"}}})
		})
	},
	Grade: Action,
}

// eachTest calls f for the two tests of a record.
func eachTest(o *logbook.Overhaul, f func(state string, t *logbook.Test)) {
	f("as found", &o.AsFound)
	f("as left", &o.AsLeft)
}
