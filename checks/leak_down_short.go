package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var leakDownShort = &Check{
	Name:    "leak-down-short",
	Subject: OfNozzle,
	Ends:    leakDownRight,
	Version: 2,
	Level:   Record,
	Doc: "The pressure falls too fast in the test after setting. Fuel slips past a worn needle guide: injection comes " +
		"late and soft, and the leak-off runs hot and " +
		"full. Wipe the tip and look: a dry tip means the guide is worn and the nozzle is renewed; a wet one, that the " +
		"seat weeps. The bench's own leak reads the same: try it on a blank plug. The time is judged at the oil " +
		"temperature of the limits; in doubt it is timed a second time.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: `leak-down as left 3.1 s is 2.9 s below the band 6.0 to 40 s`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		if v := c.Judged.Find(o, keys.AsLeftLeakDownTime); v.Result.Out() && v.Side < 0 {
			next := "wipe the tip and look: dry means a worn guide, renew the nozzle; wet means a weeping seat; try the bench " +
				"on a blank plug"
			if v.Result == judging.BeyondDoubt {
				next = "in doubt: pump the last 50 bar slowly and time it a second time; then " + next
			}
			c.Report(onVerdict(o, v, beyond(v), next))
		}
	},
	Grade: Action,
}
