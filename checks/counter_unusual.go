package checks

import (
	"fmt"

	"needlebook/checks/recurring"
)

var counterUnusual = &Check{
	Name:    "counter-unusual",
	Subject: OfEngine,
	Ends:    writing,
	Version: 1,
	Level:   History,
	Doc: "An engine ran far fewer or far more hours a day between two readings than it usually does. Either the ship's " +
		"trade changed, or a digit was lost. Every forecast rests on the running rate, so it is worth a look: " +
		"declare a lay-up in book.md under stopped, or correct the reading. The habit is the middle of the engine's " +
		"earlier rates over spans of two weeks or more; their number stands in the finding.",
	Source:  "from memory",
	Example: "ME1 ran 4.1 h a day from 2023-11-20 to 2023-12-24, its habit is 15.1 h a day (12 spans)",
	Grade:   Advice,
	Whole:   eachCounter(unusualRates),
}

func unusualRates(c *Case, engine string, list []counted) {
	if len(list) == 0 {
		return
	}
	odd := backwards(list, c.Settings.CounterWithin.Float())
	least, from := int(c.Settings.RateOver.Float()), 0
	var rates []float64
	for i := 1; i < len(list); i++ {
		a, b := list[from], list[i]
		if _, known := odd[i]; known {
			continue
		}
		days := b.day.Days(a.day) - stoppedDays(c.Book, engine, a.day, b.day)
		if days < least {
			continue
		}
		from = i
		rate := (b.total - a.total) / float64(days)
		earlier := rates[max(0, len(rates)-c.Settings.NormalOver.Int()):]
		rates = append(rates, rate)
		if len(earlier) < c.Settings.SetBaseline.Int() {
			continue
		}
		habit := recurring.Habit(earlier, 0).Median
		if rate*100 >= c.Settings.RateLow.Float()*habit && rate*100 <= c.Settings.RateHigh.Float()*habit {
			continue
		}
		c.Report(Finding{Place: b.place, About: b.about, Related: []Related{{a.place, "the reading before"}},
			Message: fmt.Sprintf("%s ran %.1f h a day from %s to %s, its habit is %.1f h a day (%s)", engine, rate, a.day,
				b.day, habit, numbered(len(earlier), "span", "spans")),
			Next: "correct the reading, or declare the stop in book.md"})
	}
}
