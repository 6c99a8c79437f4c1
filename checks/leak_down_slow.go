package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var leakDownSlow = &Check{
	Name:    "leak-down-slow",
	Subject: OfNozzle,
	Ends:    leakDownRight,
	Version: 2,
	Level:   Record,
	Doc: "The pressure falls too slowly in the test after setting. The needle is tight or fouled, in new nozzles as in " +
		"used ones, and may stick in the heat of the " +
		"engine. Clean and test again before it is fitted; cold or thick oil makes any valve look slow, so look at " +
		"the oil first.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: `leak-down as left 44 s is 4 s above the band 6.0 to 40 s`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		if v := c.Judged.Find(o, keys.AsLeftLeakDownTime); v.Result.Out() && v.Side > 0 {
			c.Report(onVerdict(o, v, beyond(v),
				"fouled or tight needle: look at the oil temperature, clean, and test again before fitting"))
		}
	},
	Grade: Action,
}
