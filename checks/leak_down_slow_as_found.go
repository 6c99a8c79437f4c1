package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var leakDownSlowAsFound = &Check{
	Name:    "leak-down-slow-as-found",
	Subject: OfNozzle,
	Ends:    leakDownRight,
	Version: 2,
	Level:   Record,
	Doc: "The pressure fell very slowly as found, slower than a valve may be left. Heavy or cold oil does it, and so " +
		"does a needle that lacquer has made tight. " +
		"Check that the wetted needle falls freely before the valve goes back.",
	Source:  "common practice, no source; the limit is the book's own for valves as left",
	Example: `leak-down as found 62 s is longer than 40 s, the most as left`,
	Holds:   wasFound,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.AsFoundLeakDownTime)
		if v.Result.Out() && v.Side > 0 {
			c.Report(onVerdict(o, v, beyond(v), "heavy oil, cold bench or a tight needle: check that the needle falls freely"))
			return
		}
		e := c.inForce(o, o.AsFound.Date.Day)
		most := e.LeakDown.AsLeft
		if !v.Value.Valid() || v.Value.Kind() != measure.Time || !most.Span.High.Valid() ||
			v.Value.Compare(most.Span.High) <= 0 {
			return
		}
		f := onVerdict(o, v, v.Name+" "+v.Shown()+" is longer than "+most.Span.High.String()+", the most as left",
			"heavy oil, cold bench or a tight needle: check that the needle falls freely")
		f.Limit = c.limitOf(most)
		c.Report(f)
	},
	Grade: Advice,
}
