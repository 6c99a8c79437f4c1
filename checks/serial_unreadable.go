package checks

import "needlebook/logbook"

var serialUnreadable = &Check{
	Name:    "serial-unreadable",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Field,
	Doc: "A serial has characters that could not be read, and nothing helps to read them later. Half a serial can be " +
		"two parts, and the hours and wear of both " +
		"become doubtful. Add a photograph, or say under confidence how well it could be read or that a tag was assigned " +
		"aboard; never guess. In the stores and the starting state a serial half read is asked about once: there " +
		"the part is " +
		"at hand, or a line of the stores says in its note why not.",
	Source:  "common practice, no source",
	Example: `holder H-1?4: characters not read, and neither photograph nor confidence given`,
	Each: func(c *Case, o *logbook.Overhaul) {
		if o.Nozzle.Confidence.Stated() || len(o.Photos.Each) > 0 {
			return
		}
		for _, s := range []struct {
			name   string
			serial logbook.Serial
		}{{"holder", o.Holder}, {"nozzle as found", o.Nozzle.Found}, {"nozzle as left", o.Nozzle.Left},
			{"holder as fitted", o.Fitted.Holder}, {"nozzle as fitted", o.Fitted.Nozzle}} {
			if s.serial.Stated() && s.serial.Unreadable() {
				c.Report(Finding{Place: s.serial.Place, Message: s.name + " " + s.serial.Written +
					": characters not read, and neither photograph nor confidence given", About: about(o),
					Next: "add a photograph under photos, or confidence: partly (or assigned aboard) under nozzle"})
			}
		}
	},
	Whole: func(c *Case) {
		ask := func(s logbook.Serial, a About) {
			if s.Stated() && s.Unreadable() {
				c.Report(Finding{Place: s.Place, About: a, Grade: Advice, Message: "serial " + s.Written + ": characters not read",
					Next: "read the stamp again, and complete the serial"})
			}
		}
		for _, x := range c.Book.Vessel.Opening.Fitted {
			a := About{Position: logbook.Position{Engine: x.Engine.Written, Cylinder: x.Cylinder.Written}}
			ask(x.Holder, a)
			ask(x.Nozzle, a)
		}
		for _, x := range c.Book.Vessel.Opening.Rack {
			ask(x.Holder, About{})
			ask(x.Nozzle, About{})
		}
		for _, m := range c.Book.Stock {
			if !m.Note.Stated() {
				ask(m.Serial, About{})
			}
		}
	},
	Grade: Action,
}
