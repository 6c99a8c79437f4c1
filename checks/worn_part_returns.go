package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var wornPartReturns = &Check{
	Name:    "worn-part-returns",
	Subject: OfNozzle,
	Ends:    wornOut,
	Version: 1,
	Level:   Record,
	Doc: "A measured wear is beyond its limit and the part goes back: the lift of the nozzle, the wear of the holder's " +
		"face, or spray holes that the no-go wire enters. A worn face leaks " +
		"and lengthens the lift, wide holes feed this cylinder more than the others. Renew or regrind the part; if it must " +
		"run, an approved deferral with an end makes this a note. At a safety limit, and where the limits file names the " +
		"guarded rule, the uncertainty of the gauge counts against the part.",
	Source:  "common practice, no source; the limits are the book's own",
	Example: `holder wear 0.06 mm is 0.01 mm above the limit 0.05 mm, and the holder goes back`,
	Holds:   wasMeasured,
	Each: func(c *Case, o *logbook.Overhaul) {
		slips := mistaken(c, o)
		for _, x := range []struct {
			key, part, limit string
			returns          bool
		}{
			{keys.MeasuredLift, "nozzle", "lift", o.NozzleReturns()},
			{keys.MeasuredHolderWear, "holder", "holder_wear", o.HolderReturns()},
			{keys.MeasuredNoGo, "nozzle", "holes", o.NozzleReturns()},
		} {
			v := c.Judged.Find(o, x.key)
			if !x.returns || !v.Result.Out() && !v.Unaccepted() || slips[v.Place] {
				continue
			}
			f := onVerdict(o, v, beyond(v)+", and the "+x.part+" goes back",
				"renew or regrind the "+x.part+"; if it must run, an approved deferral is needed")
			if v.Unaccepted() {
				unaccepted(&f, v)
			}
			f.defers = x.limit
			c.Report(f)
		}
	},
	Grade: Action,
}
