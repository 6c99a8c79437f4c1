package checks

import "needlebook/logbook"

var serialUnreadable = &Check{
	Name:    "serial-unreadable",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A serial has characters that could not be read, and nothing helps to read them later. Half a serial can be " +
		"two parts, and the hours and wear of both " +
		"become doubtful. Add a photograph, or say under confidence how well it could be read or that a tag was assigned " +
		"aboard; never guess.",
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
	Grade: Action,
}
