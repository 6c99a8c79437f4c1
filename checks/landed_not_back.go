package checks

import (
	"fmt"

	"needlebook/logbook"
)

var landedNotBack = &Check{
	Name:    "landed-not-back",
	Subject: OfHolder,
	Ends: &End{Grows: true,
		Ways: only("the valve, or another in its place, is received; or the promised day is put off")},
	Version: 1,
	Level:   History,
	Doc: "A valve that was landed has not come back by the day that was promised, or is on board again and no record " +
		"says that it was received. Until it is back the ship is one spare short, and what is short is often found out " +
		"with an engine stopped. Ask the workshop, and write the new day; or write the receipt with its certificate " +
		"(received), with in_place_of where another valve came for it.",
	Source:  "common practice, no source",
	Example: "H-103 landed 2024-02-01 was promised for 2024-03-15, 18 days ago",
	Grade:   Action,
	Needs:   func(b *logbook.Book, _ *logbook.Trail) bool { return len(b.Landed(b.Today())) > 0 },
	Whole: func(c *Case) {
		for _, a := range c.Book.Landed(c.Today) {
			l, of := &a.Landed, about(a.Overhaul)
			of.Position = logbook.Position{} // it went away from there
			late := c.Today.Days(l.Promised.Day)
			switch {
			case a.Unsaid:
				at := l.Place
				if l.Promised.Stated() {
					at = l.Promised.Place
				}
				c.Report(Finding{Place: at, Grade: Action, About: of,
					Message: fmt.Sprintf("%s, landed %s, is on board again and its receipt is missing", a.Holder.Written, a.Since),
					Related: []Related{{a.Back.Opening, "on board again"}},
					Next:    "write how it came back: received, with its certificate"})
			case a.Waits() && l.Promised.Day != 0 && late > 0:
				c.Report(Finding{Place: l.Promised.Place, Grade: Advice, About: of, Since: l.Promised.Day,
					Message: fmt.Sprintf("%s landed %s was promised for %s, %s ago", a.Holder.Written, a.Since,
						l.Promised.Written, daysText(late)),
					Next: "ask the workshop, and write the new day or the receipt"})
			}
		}
	},
}
