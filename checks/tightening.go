package checks

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var tightening = &Check{
	Name:    "tightening",
	Subject: OfPosition,
	Ends:    valveOut,
	Version: 2,
	Level:   Record,
	Doc: "A valve was fitted without torque or steps of its clamp nuts, or they lie outside the limits. Clamped " +
		"unevenly the valve leaks gas past its ring, the " +
		"nozzle overheats, and the head may crack; a loose pressure pipe sprays fuel. Check the nuts with a wrench before " +
		"the engine starts, and record torque and steps.",
	Source:  "common practice, no source; torque and steps are the book's own",
	Example: `clamp nuts at ME2-5: no torque and no steps recorded`,
	Holds:   wasFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		if !o.Fitted.Stated() {
			return
		}
		e := c.inForceAsLeft(o, o.Fitted.Date.Day)
		tightened(c, o, "clamp nuts", keys.FittedClampNuts, o.Fitted.ClampNuts, true)
		tightened(c, o, "nut of the pressure pipe", keys.FittedPipeNut, o.Fitted.PipeNut, e.PipeNut.Torque.Present() ||
			o.Fitted.PipeNut.Told())
	},
	Grade: Stop,
}

func tightened(c *Case, o *logbook.Overhaul, name, key string, t logbook.Tightened, due bool) {
	torque, steps := c.Judged.Find(o, key+".torque"), c.Judged.Find(o, key+".steps")
	at := name + " at " + logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}.String()
	var lacking []string
	if due && !t.Excused() {
		if !t.Torque.Present() {
			lacking = append(lacking, "no torque")
		}
		if steps.Result == judging.NotMeasured && !t.Steps.Present() {
			lacking = append(lacking, "no steps")
		}
	}
	if len(lacking) > 0 {
		place := t.Place
		if !t.Present() {
			place = o.Fitted.Place
		}
		c.Report(Finding{Place: place, Message: at + ": " + strings.Join(lacking, " and ") + " recorded", About: about(o),
			Lacks: "torque and steps of the " + name,
			Next:  "check the nuts with the wrench and record torque and steps, or why they are not known"})
	}
	for _, v := range []*judging.Verdict{torque, steps} {
		if v.Result.Out() {
			c.Report(onVerdict(o, v, beyond(v), "slacken and tighten again, in steps and evenly, to the torque of the manual"))
		}
	}
}
