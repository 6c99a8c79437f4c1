package checks

import "needlebook/logbook"

var connectionNotClean = &Check{
	Name:    "connection-not-clean",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   Record,
	Doc: "The connection to the test bench was dirty or leaked. A leaking connection takes the pressure away that the " +
		"leak-down time is read from, and dirt from it " +
		"goes into the valve. Clean it and test again; the times of this test say little.",
	Source:  "common practice, no source",
	Example: `test connection leaking as found: the leak-down time is not the valve's`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			w := t.Connection
			switch {
			case w.Is("leaking"):
				c.Report(Finding{Place: w.Place, Message: "test connection leaking " + state +
					": the leak-down time is not the valve's", About: about(o), Next: "clean the faces, tighten, and test again"})
			case w.Is("dirty"):
				c.Report(Finding{Place: w.Place, Message: "test connection dirty " + state, About: about(o),
					Next: "clean it before the next test: what is in it goes into the valve"})
			}
		})
	},
	Grade: Advice,
}
