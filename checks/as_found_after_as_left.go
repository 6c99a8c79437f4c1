package checks

import (
	"fmt"

	"needlebook/logbook"
)

var asFoundAfterAsLeft = &Check{
	Name:    "as-found-after-as-left",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The as-found test is dated after the as-left test. As found is what the valve showed before anything was done " +
		"to it, and cannot come second: either a " +
		"date is wrong, or the two blocks are exchanged. Compare with the sheet. One day may be the ship's clock crossing " +
		"the date line: then it is advice only.",
	Source:  "common practice, no source",
	Example: `as found 2024-04-06, 2 days after as left 2024-04-04`,
	Holds:   bothTests,
	Each: func(c *Case, o *logbook.Overhaul) {
		found, left := o.AsFound.Date, o.AsLeft.Date
		if found.Day == 0 || left.Day == 0 {
			return
		}
		f := Finding{Place: found.Place, Related: []Related{{left.Place, "as left"}}, About: about(o),
			Next: "compare with the sheet: is a date wrong, or are the two blocks exchanged?"}
		days := found.Day.Days(left.Day)
		switch {
		case days > 0:
			f.Message = fmt.Sprintf("as found %s, %s after as left %s", found.Written, daysText(days), left.Written)
			if days == 1 {
				f.Grade, f.Next = Advice, f.Next+" or did the ship cross the date line that day?"
			}
		case days == 0 && found.Time != "" && left.Time != "" && found.Time >= left.Time:
			f.Message = fmt.Sprintf("as found at %s, as left at %s on the same day", found.Time, left.Time)
		default:
			return
		}
		c.Report(f)
	},
	Grade: Action,
}
