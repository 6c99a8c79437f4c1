package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
)

var seatDiameterOver = &Check{
	Name:  "seat-diameter-over",
	Level: Record,
	Doc: "The seat of the needle is wider than allowed and the nozzle goes back. When the uppermost contact moves outward, the pressure acts on another area: " +
		"opening pressure and tightness can no longer be trusted. Renew the nozzle.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: `seat diameter 5.3 mm is 0.2 mm above the limit 5.1 mm`,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, "measured.seat_diameter")
		doubtful := v.Safety && v.Result == judging.WithinDoubt && !v.Accepted
		if !o.NozzleReturns() || !v.Result.Out() && !doubtful {
			return
		}
		f := onVerdict(o, v, beyond(v), "renew the nozzle: setting it up again does not narrow the seat")
		if doubtful {
			f.Message = v.Name + " " + v.Written + " is within the limit " + v.Span.High.String() + " by less than the doubt of the gauge"
			f.Next, f.Grade = "measure again, or with a better gauge: at a safety limit the doubt counts against the part", Answer
		}
		deferred(c, o, &f, "seat_diameter")
		c.Report(f)
	},
	Grade: Stop,
}
