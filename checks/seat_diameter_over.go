package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var seatDiameterOver = &Check{
	Name:    "seat-diameter-over",
	Subject: OfNozzle,
	Ends:    seatWorn,
	Version: 1,
	Level:   Record,
	Doc: "The seat of the needle is wider than allowed and the nozzle goes back. When the uppermost contact moves " +
		"outward, the pressure acts on another area: " +
		"opening pressure and tightness can no longer be trusted. Renew the nozzle.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: `seat diameter 5.3 mm is 0.2 mm above the limit 5.1 mm`,
	Holds:   wasMeasured,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.MeasuredSeatDiameter)
		if !o.NozzleReturns() || !v.Result.Out() && !v.Unaccepted() {
			return
		}
		f := onVerdict(o, v, beyond(v), "renew the nozzle: setting it up again does not narrow the seat")
		if v.Unaccepted() {
			unaccepted(&f, v)
		}
		f.defers = "seat_diameter"
		c.Report(f)
	},
	Grade: Stop,
}
