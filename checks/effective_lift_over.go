package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
)

var effectiveLiftOver = &Check{
	Name:    "effective-lift-over",
	Subject: OfNozzle,
	Ends:    wornOut,
	Version: 1,
	Level:   Record,
	Doc: "The effective lift, the nozzle's lift with the wear of the holder's face, is beyond its limit and the parts " +
		"go back. A needle that travels too " +
		"far lands too hard: it hammers its seat and breaks the tip, and a broken tip lies in the cylinder. Renew the " +
		"nozzle, or have it ground and measure again; " +
		"if it must run, an approved deferral with an end is needed, and makes this a note. At a safety limit, and where " +
		"the limits file names the guarded rule, the uncertainty of the gauge counts against the part. A lift alone beyond " +
		"the limit is beyond it whatever the face has worn.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: "effective lift 0.94 mm is 0.04 mm above the limit 0.90 mm",
	Holds:   wasMeasured,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, judging.EffectiveLift)
		if !o.NozzleReturns() || !v.Result.Out() && !v.Unaccepted() {
			return
		}
		lift, wear := o.Measured.Lift.Value, o.Measured.HolderWear.Value
		if !o.HolderReturns() && (!lift.Quantity.Valid() || v.Span.Side(lift.Quantity) == 0) {
			return // the worn face does not go back, and the lift alone is within
		}
		if mistaken(c, o)[lift.Place] {
			return
		}
		f := onVerdict(o, v, beyond(v),
			"renew the nozzle, or have it ground and measure again; if it must run, an approved deferral is needed")
		if v.Unaccepted() {
			unaccepted(&f, v)
		}
		if lift.Quantity.Valid() && wear.Quantity.Valid() {
			f.Evidence = append(f.Evidence, "lift "+lift.String()+" + holder wear "+wear.String())
		}
		f.defers = judging.EffectiveLift
		c.Report(f)
	},
	Grade: Stop,
}
