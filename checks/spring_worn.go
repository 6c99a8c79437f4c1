package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var springWorn = &Check{
	Name:    "spring-worn",
	Subject: OfHolder,
	Ends:    springDone,
	Version: 1,
	Level:   Record,
	Doc: "The spring is shorter than its least free length, or its ends are damaged, and it goes back. A spring that " +
		"has set loses more in the next service life, and " +
		"one with bad ends breaks; the valve then opens at hardly any pressure. Renew it, and set the valve as one " +
		"with new parts.",
	Source:  "common practice, no source; the length is the book's own",
	Example: `free length of the spring 49.4 mm is 0.1 mm below the limit 49.5 mm, and it is used again`,
	Holds:   wasMeasuredOrInspected,
	Each: func(c *Case, o *logbook.Overhaul) {
		if !o.SpringReturns() {
			return
		}
		const next = "renew the spring, and set the valve as one with new parts"
		if v := c.Judged.Find(o, keys.MeasuredSpringLength); v.Result.Out() || v.Unaccepted() {
			f := onVerdict(o, v, beyond(v)+", and it is used again", next)
			if v.Unaccepted() {
				unaccepted(&f, v)
			}
			c.Report(f)
		}
		if w := o.Inspected.Spring; w.Is("damaged") {
			c.Report(Finding{Place: w.Place, Message: "spring or its ends damaged, and it is used again", About: about(o),
				Next: next})
		}
	},
	Grade: Action,
}
