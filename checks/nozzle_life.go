package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var nozzleLife = &Check{
	Name:    "nozzle-life",
	Subject: OfNozzle,
	Ends:    nozzleReplaced,
	Version: 1,
	Level:   Record,
	Doc: "The nozzle has run longer than its life and goes back. Holes widen, the guide wears and the metal tires where " +
		"nobody can measure it; the maker counts hours " +
		"because the last failure comes without a sign. Renew it; beyond the hours that are never to be run, do not fit " +
		"it. An approved deferral with an end makes this a note.",
	Source:  "common practice, no source; the hours are the book's own",
	Example: `running hours of the nozzle 9062 h is 1262 h above the limit 7800 h, and it goes back`,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, "nozzle_hours")
		if !v.Result.Out() || !o.NozzleReturns() {
			return
		}
		f := onVerdict(o, v, beyond(v)+", and it goes back", "renew the nozzle at this overhaul")
		f.Grade = Action
		never := c.inForce(o, o.AsFound.Date.Day).NozzleLife.Never
		if never.Quantity.Valid() && never.Kind() == measure.Hours && v.Value.Compare(never.Quantity) > 0 {
			f.Grade, f.Next = Stop, "never to run beyond "+never.Quantity.String()+": renew the nozzle"
			f.Limit = c.limitAt(never.Leaf)
		}
		f.defers = "nozzle_life"
		c.Report(f)
	},
	Grade: Stop,
}
