package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var reuseAgainstFindings = &Check{
	Name:    "reuse-against-findings",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The valve failed its test as found, the nozzle is reused, and the record says neither why nor what was done. " +
		"What made it fail is still in it, and comes back " +
		"sooner. Record the lap, the cleaning or the renewal that answers it, or the reason.",
	Source:  "common practice, no source",
	Example: "nozzle reused after seat as found drop, with neither reason nor cleaning nor renewal",
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		d := o.Decided
		if !d.Nozzle.Is("reuse") || d.Why.Stated() || o.Cleaned.Stated() {
			return
		}
		var failed []string
		var related []Related
		for _, key := range []string{keys.AsFoundOpeningPressure, keys.AsFoundSeatState, keys.AsFoundLeakDownTime,
			keys.AsFoundSpray} {
			v := c.Judged.Find(o, key)
			if !v.Result.Out() || key == keys.AsFoundOpeningPressure &&
				(d.Spring.Is("renew") || d.Holder.Is("renew", "condemn")) {
				continue
			}
			failed = append(failed, v.Name+" "+v.Written)
			related = append(related, Related{v.Place, "beyond " + v.LimitText})
		}
		if len(failed) > 0 {
			c.Report(Finding{Place: d.Nozzle.Place, Message: "nozzle reused after " + failed[0] +
				", with neither reason nor cleaning nor renewal", Evidence: failed[1:],
				Next: "record what was done about it, or why the nozzle goes back", Related: related, About: about(o)})
		}
	},
	Grade: Action,
}
