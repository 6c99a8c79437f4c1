package checks

import "needlebook/logbook"

var partsNotAsDecided = &Check{
	Name:    "parts-not-as-decided",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The nozzle that went back is not the one that the decision says: it was to be reused, cleaned, lapped or " +
		"ground, and another serial went back. " +
		"Two serials that differ by one digit look like this, and hours, wear and life are then counted for the wrong " +
		"nozzle. Read the stamp, and correct the serial or the decision.",
	Source:  "our own rule",
	Example: `nozzle decided reuse, but 327E6 went back where 327E8 came out`,
	Grade:   Action,
	Yields:  true,
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		found, left, d := o.Nozzle.Found, o.Nozzle.Left, o.Decided.Nozzle
		if !o.AsLeft.Stated() || !found.Stated() || !left.Stated() || found.Unreadable() || left.Unreadable() {
			return
		}
		if found.Written == left.Written || lookAlike(found.Written, left.Written) ||
			!d.Is("reuse", "clean", "lap", "grind") {
			return
		}
		c.Report(Finding{Place: left.Place, About: about(o), Message: "nozzle decided " + d.Written + ", but " +
			left.Written + " went back where " + found.Written + " came out",
			Related: []Related{{d.Place, "the decision"}}, Next: "read the stamp; correct the serial or the decision"})
	},
}

// lookAlike says that two serials differ only in how one is written: a letter for a digit, a dash. Another digit is
// another serial.
func lookAlike(a, b string) bool {
	x, y := digitsOf(a), digitsOf(b)
	return foldSerial(a) == foldSerial(b) && (x == y || len(x) != len(y))
}
