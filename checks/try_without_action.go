package checks

import (
	"fmt"

	"needlebook/logbook"
)

var tryWithoutAction = &Check{
	Name:    "try-without-action",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "A setting and test that failed was followed by another, and nothing says what was done in between. A valve " +
		"does not get better by being tested again: either " +
		"something was done, or one of the two tests is wrong, and the good one is not proven. Write what changed.",
	Source:  "common practice, no source",
	Example: `try 1 failed (joint weeping) and the next was made without anything done`,
	Holds:   wasTried,
	Each: func(c *Case, o *logbook.Overhaul) {
		for i, t := range o.Tries {
			last := i == len(o.Tries)-1
			if t.Done.Present() || last && !o.AsLeft.Stated() {
				continue
			}
			why := ""
			if t.Why.Stated() {
				why = " (" + t.Why.Written + ")"
			}
			c.Report(Finding{Place: t.Place, Message: fmt.Sprintf("try %d failed%s and the next was made without anything done",
				i+1, why), About: about(o), Next: "what changed? write it under done"})
		}
	},
	Grade: Action,
}
