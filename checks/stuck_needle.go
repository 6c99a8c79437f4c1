package checks

import (
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var stuckNeedle = &Check{
	Name:    "stuck-needle",
	Subject: OfNozzle,
	Ends:    nozzleInspected,
	Version: 1,
	Level:   Record,
	Doc: "A needle was stuck, and its guide was not looked at, its fall or how it was freed not noted; or a part was " +
		"freed in oil of " +
		"another temperature than the book allows. What made " +
		"it stick leaves marks in the guide, and a needle that falls unevenly sticks again. Oil too cool frees nothing; " +
		"too hot, it softens the part and may catch fire.",
	Source:  "common practice, no source; the temperature of the bath is the book's own",
	Example: `needle was stuck: guide not inspected, needle fall not noted`,
	Holds:   wasStripped,
	Each: func(c *Case, o *logbook.Overhaul) {
		s := o.Stripped
		if s.Needle.Is("stuck") && (o.NozzleReturns() || !o.Decided.Nozzle.Stated()) {
			var lacking []string
			if !o.Inspected.NeedleGuide.Present() && !o.Inspected.Excused() {
				lacking = append(lacking, "guide not inspected")
			}
			if !s.NeedleFall.Present() {
				lacking = append(lacking, "needle fall not noted")
			}
			if !s.NeedleFreed.Present() {
				lacking = append(lacking, "how it was freed not noted")
			}
			if len(lacking) > 0 {
				c.Report(Finding{Place: s.Needle.Place, Message: "needle was stuck: " + strings.Join(lacking, ", "),
					About: about(o),
					Next:  "look at the guide, wet the needle with clean oil and note how it falls: free, slow or sticks"})
			}
		}
		for _, key := range []string{keys.StrippedNeedleFreedBath, keys.StrippedNozzleFreedBath} {
			if v := c.Judged.Find(o, key); v.Result.Out() {
				c.Report(onVerdict(o, v, beyond(v),
					"keep a thermometer in the oil, well below its flash point, and look at the part for tempering colours"))
			}
		}
	},
	Grade: Action,
}
