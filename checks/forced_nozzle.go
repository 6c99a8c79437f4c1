package checks

import "needlebook/logbook"

var forcedNozzle = &Check{
	Name:    "forced-nozzle",
	Subject: OfNozzle,
	Ends:    nozzleInspected,
	Version: 1,
	Level:   Record,
	Doc: "Force was used to free a part of the nozzle, and the tip was not looked at for cracks. The hardened tip takes " +
		"pressing and blows badly; a crack from the bench " +
		"opens in the engine. Look at the tip under a lens, or by dye, before it goes back.",
	Source:  "common practice, no source",
	Example: `force was used on the nozzle, and the tip was not inspected for cracks`,
	Holds:   wasStripped,
	Each: func(c *Case, o *logbook.Overhaul) {
		if o.Decided.Nozzle.Is("renew", "condemn") || o.Inspected.Tip.Present() || o.Inspected.Excused() {
			return
		}
		for _, f := range []struct {
			part  string
			freed logbook.Freed
		}{{"needle", o.Stripped.NeedleFreed}, {"nozzle", o.Stripped.NozzleFreed}} {
			by := f.freed.How
			if f.freed.Force.Is("yes") || by.Is("press", "blows") && !f.freed.Force.Is("no") {
				place := by.Place
				if f.freed.Force.Is("yes") {
					place = f.freed.Force.Place
				}
				c.Report(Finding{Place: place, Message: "force was used on the " + f.part +
					", and the tip was not inspected for cracks", About: about(o),
					Next: "look at the tip under a lens, or by dye, before it goes back"})
			}
		}
	},
	Grade: Action,
}
