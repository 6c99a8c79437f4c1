package checks

import (
	"fmt"

	"needlebook/logbook"
)

var rings = &Check{
	Name:    "rings",
	Subject: OfPocket,
	Ends:    pocketCleared,
	Version: 1,
	Level:   Record,
	Doc: "The sealing rings that came out of the pocket, or went in, are not as many as belong there, or were not " +
		"counted. With an old ring left in, the nozzle " +
		"stands short, sprays on the head and chokes in carbon; with none, gas blows past. Look into this pocket with a " +
		"lamp, and at the others of the same fitting.",
	Source:  "common practice, no source; how many belong there is a setting of the book",
	Example: `2 rings came out of the pocket at ME2-6, 1 belongs there`,
	Holds:   wasRemovedOrFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		count := func(engine, cylinder logbook.Serial, n logbook.Number, block logbook.Leaf, did, next string) {
			at := logbook.Position{Engine: engine.Written, Cylinder: cylinder.Written}.String()
			switch {
			case !n.Present():
				c.Report(Finding{Place: block.Place, Message: "rings that " + did + " the pocket at " + at + " were not counted",
					About: about(o), Lacks: "number of rings",
					Next: "look whether a ring is left in, and write the number, or why it is not known: not counted (why)"})
			case n.Valid && n.Value != c.Settings.Rings.Value:
				c.Report(Finding{Place: n.Place, Message: fmt.Sprintf("%s rings %s the pocket at %s, %s belongs there", n.Written,
					did, at, number(c.Settings.Rings)), About: about(o), Next: next})
			}
		}
		if r := o.Removed; r.Stated() {
			count(r.Engine, r.Cylinder, r.RingsOut, r.Leaf, "came out of",
				"look into the pocket with a lamp; a ring too many means that the last fitting left the old one in: check the "+
					"other pockets fitted then")
		}
		if f := o.Fitted; f.Stated() {
			count(f.Engine, f.Cylinder, f.RingsIn, f.Leaf, "went into", "pull the valve and look into the pocket")
		}
	},
	Grade: Action,
}

// number is a bare number as written, or as its default has it.
func number(n logbook.Number) string { return fmt.Sprintf("%g", n.Value) }
