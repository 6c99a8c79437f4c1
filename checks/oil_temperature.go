package checks

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var oilTemperature = &Check{
	Name:    "oil-temperature",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   Record,
	Doc: "The test oil was warmer or colder than leak-down times compare well at. Warm oil is thin and makes a good " +
		"guide look worn, cold oil makes a worn one look good. Every time is judged as it would be at the oil temperature " +
		"of the limits, where they state one; the " +
		"further away, the less well it is known, and better is to test again with oil in the range.",
	Source:  "from memory; the range is the limits file's, or a setting of the book",
	Example: `test oil 38 °C as found is outside 15 to 30 °C; 11.2 s there is 14.6 s at 20 °C`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			e := c.inForce(o, t.Date.Day)
			span, text := c.Settings.OilRange.Span, c.Settings.OilRange.Span.String()
			var lim *Limit
			if e.Oil.Span.Valid() {
				span, text = e.Oil.Span, e.Oil.String()
				lim = c.limitOf(e.Oil)
			}
			if !t.Oil.Quantity.Valid() || span.Side(t.Oil.Quantity) == 0 || !t.LeakDown.Time.Quantity.Valid() {
				return
			}
			message := "test oil " + t.Oil.String() + " " + state + " is outside " + text
			if seconds, ok := judging.AtOil(c.Book, t, e.LeakDown.Oil.Float()); ok && e.LeakDown.Oil.Quantity.Valid() {
				message += fmt.Sprintf("; %s there is %.1f s at %s", t.LeakDown.Time, seconds, e.LeakDown.Oil)
			}
			c.Report(Finding{Place: t.Oil.Place, Message: message, Limit: lim, About: about(o),
				Next: "bring the oil into the range and time the fall again"})
		})
	},
	Grade: Advice,
}
