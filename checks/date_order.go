package checks

import (
	"fmt"

	"needlebook/logbook"
)

var dateOrder = &Check{
	Name:    "date-order",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The dates of a record do not follow the work, or lie outside the book: fitted before it was tested, tested as " +
		"found before it was pulled, dated after " +
		"the day it was written or before the book begins. A wrong date gives the hours of one part to another. Compare " +
		"with the engine log. " +
		"One day may be the ship's clock crossing the date line: then it is advice only.",
	Source:  "common practice, no source",
	Example: `fitted 2024-04-02, 9 days before it was tested 2024-04-11`,
	Each: func(c *Case, o *logbook.Overhaul) {
		pulled, found := o.Removed.Date, o.AsFound.Date
		came, left, stored, fitted := o.Received.Date, o.AsLeft.Date, o.Stored.Date, o.Fitted.Date
		for _, p := range []struct {
			earlier, later logbook.Date
			did, before    string
		}{
			{pulled, found, "tested as found", "pulled"}, {pulled, left, "tested as left", "pulled"},
			{left, stored, "stored", "tested as left"}, {left, fitted, "fitted", "tested as left"},
			{stored, fitted, "fitted", "stored"}, {left, came, "received", "tested as left"},
			{came, o.Received.Opened.Date, "opened on board", "received"}, {came, stored, "stored", "received"},
			{pulled, o.Landed.Date, "landed", "pulled"}, {found, o.Landed.Date, "landed", "tested as found"},
			{left, o.Landed.Date, "landed", "tested as left"},
			{came, fitted, "fitted", "received"},
		} {
			if p.earlier.Day == 0 || p.later.Day == 0 || p.later.Day >= p.earlier.Day {
				continue
			}
			days := p.earlier.Day.Days(p.later.Day)
			f := Finding{Place: p.later.Place, Message: fmt.Sprintf("%s %s, %s before it was %s %s", p.did, p.later.Written,
				daysText(days), p.before, p.earlier.Written),
				Next: "compare with the engine log and correct the wrong date", Related: []Related{{p.earlier.Place, p.before}},
				About: about(o)}
			if days == 1 {
				f.Grade, f.Next = Advice, f.Next+"; or the ship crossed the date line that day"
			}
			c.Report(f)
		}
		if o.Received.Stated() { // the workshop's day: often before the book
			left = logbook.Date{}
		}
		for _, d := range []logbook.Date{pulled, found, came, o.Received.Opened.Date, left, stored, fitted} {
			outsideBook(c, o, d)
		}
	},
	Grade: Action,
}

func daysText(n int) string { return logbook.Counted(n, "day") }

// outsideBook reports a date before the book begins, or after it can have been written: after the commit that brought
// the text, or, where nothing is committed, long after the last counter reading.
func outsideBook(c *Case, o *logbook.Overhaul, d logbook.Date) {
	if d.Day == 0 {
		return
	}
	if open := c.Book.Vessel.Opening.Date; open.Day != 0 && d.Day < open.Day && !o.Reconstructed.Stated() {
		c.Report(Finding{Place: d.Place, origin: &logbook.Problem{}, Message: d.Written +
			" lies before the book begins, " + open.Written,
			About: about(o), Rests: Rests{Place: open.Place, Words: "first day of the book, " + open.Written},
			Next:    "is the year right? work from before belongs to the opening state",
			Related: []Related{{open.Place, "first day of the book"}}})
		return
	}
	last, what, says := c.Today+logbook.Day(c.Settings.LateEntry.Float()), "the last counter reading, "+c.Today.String(),
		afterReading
	if day, ok := committed(c, o); ok {
		last, what, says = day+1, "it was committed, "+day.String(), 0
	} else if c.unread["hours/"+logbook.FileName(o.Removed.Engine.Written)+".csv"] ||
		c.unread["hours/"+logbook.FileName(o.Fitted.Engine.Written)+".csv"] {
		return // the last reading may be one that could not be read, as is said there
	}
	if c.Today != 0 && d.Day > last {
		c.Report(Finding{Place: d.Place, origin: &logbook.Problem{}, Message: d.Written + " lies after " + what,
			About: about(o), says: says,
			Next: "is the year or the month right? correct the date"})
	}
}

// committed is the day of the commit that brought the text of a record as it stands; ok is false where it is not
// committed, or at no known time.
func committed(c *Case, o *logbook.Overhaul) (logbook.Day, bool) {
	r := c.Trail.Records[o.Path]
	if r == nil || len(r.Versions) == 0 {
		return 0, false
	}
	for _, w := range c.Trail.WorkTree {
		if w.Path == o.Path {
			return 0, false
		}
	}
	stated := c.Trail.Commits[r.Now().Commit].Stated
	return logbook.DayOf(stated), !stated.IsZero() // a malformed commit may state no date
}
