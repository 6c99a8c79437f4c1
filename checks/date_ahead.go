package checks

import (
	"fmt"
	"maps"
	"slices"

	"needlebook/logbook"
)

// editionAhead is how many days before it is in force an edition of limits is laid into a book at most: from memory.
const editionAhead = 366

var dateAhead = &Check{
	Name:    "date-ahead",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Vessel,
	Doc: "A date does not fit the days of the book. A counter reading far from its neighbours, where they come every " +
		"week, has a wrong year: it would move the day of the whole book, and with it everything that is due; it is not " +
		"used until it is right. " +
		"A long gap is believed once three days of readings or overhauls lie behind it, as after a lay-up. A delivery, a " +
		"handover or another entry that lies after the day of the book, or sixty years before it, has a wrong year too. " +
		"Correct the date, or enter the next counter reading.",
	Source:  "common practice, no source",
	Example: `date "2042-03-05": expected a day soon after the reading before, 2024-02-28: it is 6580 d later`,
	Grade:   Action,
	Slips:   []string{logbook.SlipDayAstray},
	Words: func(p logbook.Problem, f *Finding) {
		f.Grade = Action
		f.Next = "correct the date: the reading is not used, and does not move the day of the book"
	},
	Whole: func(c *Case) {
		if c.Today == 0 {
			return
		}
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				if d := e.From; d.Day > c.Book.Until()+editionAhead {
					c.Report(Finding{Place: d.Place, Message: fmt.Sprintf("limits from %s: the day of the book is %s", d.Written,
						c.Book.Today()), Next: "correct the year: until that day they judge nothing"})
				}
			}
		}
		last, first := c.Book.Until(), c.Book.Today()-60*365
		for _, d := range c.datesPast() {
			switch {
			case d.Day == 0:
			case d.Day > last:
				c.Report(Finding{Place: d.Place, Message: fmt.Sprintf("%s is after the day of the book, %s", d.Written,
					c.Book.Today()),
					Next: "correct the year or the month, or enter the counter reading of that time"})
			case d.Day < first:
				c.Report(Finding{Place: d.Place, Message: fmt.Sprintf("%s is over 60 years before the day of the book, %s",
					d.Written, c.Book.Today()), Next: "correct the year"})
			}
		}
	},
}

// datesPast are the dates, outside of the overhauls, of what has happened by the time it is written.
func (c *Case) datesPast() []logbook.Date {
	var all []logbook.Date
	add := func(d ...logbook.Date) { all = append(all, d...) }
	b := c.Book
	for i := range b.Bunkers {
		add(b.Bunkers[i].Received, b.Bunkers[i].From, b.Bunkers[i].To)
	}
	for i := range b.Stock {
		add(b.Stock[i].Date)
	}
	for i := range b.Running {
		add(b.Running[i].Date)
	}
	for i := range b.Vessel.Heads {
		add(b.Vessel.Heads[i].Date)
	}
	for _, h := range b.Handovers {
		add(h.Date)
	}
	for _, d := range b.Decisions {
		add(d.Date)
	}
	for _, d := range b.Deferrals {
		add(d.From, d.Approved.Date, d.Closed.Date)
	}
	for _, p := range b.Parts {
		add(p.Received, p.Condemned.Date, p.Scrapped.Date)
		for _, g := range p.Regrinds {
			add(g.Date)
		}
	}
	for _, i := range b.Instruments {
		add(i.Calibrated)
		for _, x := range i.Comparisons {
			add(x.Date)
		}
	}
	return all
}
