package checks

import "needlebook/logbook"

var leakOutside = &Check{
	Name:    "leak-outside",
	Subject: OfHolder,
	Ends:    builtAgain,
	Version: 1,
	Level:   Record,
	Doc: "The joint of nozzle and holder, or the fuel inlet, leaks at test pressure after setting. The valve is not " +
		"ready: it will leak in the engine, and the " +
		"leak-down time measured is the joint's, not the needle guide's. Clean the faces, tighten to the torque, and " +
		"test again.",
	Source:  "common practice, no source",
	Example: `nozzle joint weeping as left`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		for _, joint := range []struct {
			name string
			word logbook.Word
		}{{"nozzle joint", o.AsLeft.Leaks.NozzleJoint}, {"inlet", o.AsLeft.Leaks.Inlet}} {
			if joint.word.Is("weeping", "runs") {
				said := joint.word.Written
				if said == "runs" {
					said = "running"
				}
				c.Report(Finding{Place: joint.word.Place, Message: joint.name + " " + said + " as left", About: about(o),
					Next: "not ready, and the leak-down time is the joint's: clean the faces, tighten to the torque, test again"})
			}
		}
	},
	Grade: Stop,
}
