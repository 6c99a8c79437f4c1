package checks

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var nutTorque = &Check{
	Name:    "nut-torque",
	Subject: OfHolder,
	Ends:    builtAgain,
	Version: 1,
	Level:   Record,
	Doc: "The nozzle nut or the end cap was tightened without recorded torque, steps, wrench or lubricant, or outside " +
		"the limits. Too little lets fuel past the joint and burns " +
		"the faces, too much squeezes the needle guide; and a torque says little when nobody knows the grease on the " +
		"thread. Tighten again as the manual says, and record it.",
	Source:  "common practice, no source; the torque is the book's own",
	Example: `nozzle nut: no wrench and no lubricant recorded`,
	Holds:   wasBuilt,
	Each: func(c *Case, o *logbook.Overhaul) {
		e := c.inForceAsLeft(o, o.LeftOn())
		if o.Received.Stated() { // what the certificate says of the build is judged, what it does not say is not asked for
			return
		}
		if o.Assembled.Stated() {
			nutTightened(c, o, "nozzle nut", keys.AssembledNozzleNut, o.Assembled.NozzleNut, e.NozzleNut, o.Assembled.Place)
		}
		if o.AsLeft.Stated() && (e.EndCap.Stated() || o.AsLeft.EndCap.Told()) {
			nutTightened(c, o, "end cap", keys.AsLeftEndCap, o.AsLeft.EndCap, e.EndCap, o.AsLeft.Place)
		}
	},
	Grade: Action,
}

func nutTightened(c *Case, o *logbook.Overhaul, name, key string, t logbook.Tightened, limits logbook.TorqueLimits,
	block logbook.Place) {
	if t.Excused() {
		return
	}
	steps := c.Judged.Find(o, key+".steps")
	var lacking []string
	for _, x := range []struct {
		name string
		due  bool
	}{
		{"torque", !t.Torque.Present()},
		{"steps", steps.Result == judging.NotMeasured && !t.Steps.Present()},
		{"wrench", !t.Wrench.Present()},
		{"lubricant", limits.Lubricant.Stated() && !t.Lubricant.Present() && !o.Assembled.Lubricants.Present()},
	} {
		if x.due {
			lacking = append(lacking, "no "+x.name)
		}
	}
	if len(lacking) > 0 {
		place := t.Place
		if !t.Present() {
			place = block
		}
		c.Report(Finding{Place: place, Message: name + ": " + strings.Join(lacking, " and ") + " recorded", About: about(o),
			Lacks: "torque and steps of the " + name,
			Next:  "record it, or why it is not known; in doubt slacken and tighten again"})
	}
	for _, v := range []*judging.Verdict{c.Judged.Find(o, key+".torque"), steps} {
		if v.Result.Out() {
			c.Report(onVerdict(o, v, beyond(v), "slacken and tighten again as the manual says"))
		}
	}
}
