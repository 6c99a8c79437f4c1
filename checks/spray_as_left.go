package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var sprayAsLeft = &Check{
	Name:    "spray-as-left",
	Subject: OfNozzle,
	Ends:    sprayRight,
	Version: 1,
	Level:   Record,
	Doc: "The spray after setting is uneven, or fewer holes are open than the nozzle has. A blocked or weak hole burns " +
		"its share of the fuel elsewhere, on the " +
		"piston or the liner; such a nozzle is not refitted. Clear the holes with needles of the right size, flush and " +
		"test again, or renew the nozzle.",
	Source:  "common practice, no source",
	Example: `spray as left: 7 holes open, even; expected 9 holes open, even`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.AsLeftSpray)
		weak := len(o.AsLeft.Spray.Weak.Each)
		if !v.Result.Out() && weak == 0 {
			return
		}
		want := v.LimitText
		if want == "" {
			want = "even"
		}
		message := v.Name + ": " + v.Written + "; expected " + want
		if weak > 0 {
			var holes []string
			for _, h := range o.AsLeft.Spray.Weak.Each {
				holes = append(holes, h.Written)
			}
			message = fmt.Sprintf("%s, at clock number %s", message, strings.Join(holes, ", "))
		}
		c.Report(onVerdict(o, v, message,
			"not ready: clear the holes with needles of the right size, flush and test again, or renew the nozzle"))
	},
	Grade: Stop,
}
