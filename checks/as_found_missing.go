package checks

import "needlebook/logbook"

var asFoundMissing = &Check{
	Name:    "as-found-missing",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "A valve was taken apart and set again, and nothing says how it was found. After dismantling that test can " +
		"never be made again, and without it nobody " +
		"knows what the last service life did to the valve. Give the reason: tip broken, seized, dismantled by mistake.",
	Source:  "common practice, no source",
	Example: `no as-found test, and no reason`,
	Holds:   wasRemoved,
	Each: func(c *Case, o *logbook.Overhaul) {
		if !o.Removed.Stated() || !o.Built() {
			return
		}
		place := o.AsLeft.Place
		if !o.AsLeft.Stated() {
			place = o.Removed.Place
		}
		f := Finding{Place: place, Message: "no as-found test, and no reason", About: about(o),
			Lacks: "test as found", Next: "write why: as_found: not done (why)"}
		switch t := o.AsFound; {
		case !t.Present():
		case t.Stated() && !t.Opening.Present():
			f.Place, f.Message, f.Next = t.Place, "no opening pressure as found, and no reason",
				"write why: opening_pressure: not measured (why)"
		default:
			return
		}
		c.Report(f)
	},
	Grade: Action,
}
