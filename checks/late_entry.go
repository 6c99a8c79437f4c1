package checks

import (
	"fmt"

	"needlebook/logbook"
)

var lateEntry = &Check{
	Name:    "late-entry",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "A record was written long after the work. Days between the bench and the keyboard are normal; weeks later " +
		"values come from notes or memory, and a reader " +
		"should know. Mark the record as reconstructed and say from what; marked so, this is a note.",
	Source:  "our own advice; the number of days is a setting of the book",
	Example: `entered 2023-09-27, 22 days after the test of 2023-09-05`,
	Each: func(c *Case, o *logbook.Overhaul) {
		work := firstDate(o.Received.Date, o.AsFound.Date, o.AsLeft.Date, o.Removed.Date, o.Stored.Date, o.Fitted.Date)
		entered, how := enteredOn(c, o, work.Day)
		if work.Day == 0 || entered == 0 || entered.Days(work.Day) <= int(c.Settings.LateEntry.Float()) {
			return
		}
		f := Finding{Place: work.Place, Message: fmt.Sprintf("entered %s, %s after the work of %s", entered,
			daysText(entered.Days(work.Day)), work.Written), About: about(o), Since: entered,
			Next: "mark it as reconstructed, and say from what, if values come from notes or memory"}
		if r := o.Reconstructed; r.Stated() {
			f.Grade, f.Next, f.Lacks = Note, "", "an entry in time"
			f.Message += ", marked as reconstructed"
			if r.From.Stated() {
				f.Evidence = append(f.Evidence, "reconstructed from "+r.From.Written)
			}
		}
		f.Message += how
		c.Report(f)
	},
	Grade: Advice,
}

func firstDate(dates ...logbook.Date) logbook.Date {
	for _, d := range dates {
		if d.Day != 0 {
			return d
		}
	}
	return logbook.Date{}
}

// enteredOn is the day a record was first written: as its history shows, or as the record says itself. Records that
// came with the founding of the book, or are of work before it, were brought over from older papers and count as never
// late.
func enteredOn(c *Case, o *logbook.Overhaul, work logbook.Day) (day logbook.Day, how string) {
	if o.Reconstructed.Stated() && o.Reconstructed.Date.Day != 0 {
		return o.Reconstructed.Date.Day, ""
	}
	r := c.Trail.Records[o.Path]
	if r == nil || len(r.Versions) == 0 || r.Versions[0].Commit <= c.Trail.Founding {
		return 0, ""
	}
	if founding := c.Trail.At(c.Trail.Founding); founding != nil && work < logbook.DayOf(founding.Stated) {
		return 0, ""
	}
	return logbook.DayOf(c.Trail.Commits[r.Versions[0].Commit].Stated), " (first commit)"
}
