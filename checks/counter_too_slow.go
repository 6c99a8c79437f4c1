package checks

import (
	"fmt"

	"needlebook/logbook"
)

var counterTooSlow = &Check{
	Name:    "counter-too-slow",
	Subject: OfEngine,
	Ends:    writing,
	Version: 1,
	Level:   History,
	Doc: "An engine's hour counter goes up by less than an engine in service can run. Thousands parted by a point are " +
		"read as a fraction by a spreadsheet: 18.340 becomes 18.34, the readings still go up, and no valve is ever due. " +
		"Write the readings of the counter without a separator, or declare in book.md that the engine stands.",
	Source:  "from memory; the least hours a day are a setting",
	Example: "counter of ME1 gained 0.4 h from 2024-01-01 to 2024-02-04: an engine in service runs 0.1 h a day",
	Grade:   Action,
	Whole:   eachCounter(tooSlow),
}

// tooSlow looks at the last readings of an engine that went up at all, over a time that is long enough to tell.
func tooSlow(c *Case, engine string, list []counted) {
	if len(list) < 2 {
		return
	}
	last := list[len(list)-1]
	from := -1
	for i := len(list) - 2; i >= 0 && from < 0; i-- {
		if inService(c.Book, engine, list[i].day, last.day) >= 2*int(c.Settings.RateOver.Float()) {
			from = i
		}
	}
	if from < 0 {
		return
	}
	first := list[from]
	days := inService(c.Book, engine, first.day, last.day)
	if gained := last.total - first.total; gained > 0 && gained < c.Settings.RateLeast.Float()*float64(days) {
		c.Report(Finding{Place: last.place, About: last.about, Related: []Related{{first.place, "the reading before"}},
			Message: fmt.Sprintf("counter of %s gained %.3g h from %s to %s: an engine in service runs %s a day", engine, gained,
				first.day, last.day, c.Settings.RateLeast),
			Next: "write the readings without a separator, or declare the stop in book.md"})
	}
}

// inService are the days of a span during which an engine was not declared stopped.
func inService(b *logbook.Book, engine string, from, to logbook.Day) int {
	return to.Days(from) - stoppedDays(b, engine, from, to)
}
