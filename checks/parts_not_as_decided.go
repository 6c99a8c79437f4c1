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
		"Two serials that differ by one digit look like this, and hours, wear and life are counted for the wrong " +
		"nozzle. Read the stamp, and correct the serial or the decision.",
	Source:  "our own rule",
	Example: `nozzle decided reuse, but 327E6 went back where 327E8 came out`,
	Grade:   Action,
	Yields:  true,
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		if !otherWentBack(o) {
			return
		}
		found, left, d := o.Nozzle.Found, o.Nozzle.Left, o.Decided.Nozzle
		f := Finding{Place: left.Place, About: about(o), Message: "nozzle decided " + d.Written + ", but " +
			left.Written + " went back where " + found.Written + " came out",
			Related: []Related{{d.Place, "the decision"}}, Next: "read the stamp; correct the serial or the decision"}
		if logbook.OneApart(found.Written, left.Written) {
			f.Next = "is " + found.Written + " meant? " + f.Next
		}
		c.Report(f)
	},
}

// otherWentBack says that another nozzle went back than the decision says. Whichever of the two is wrong, what follows
// from that serial, its state, its hours and its place in the stores, is not believed.
func otherWentBack(o *logbook.Overhaul) bool {
	found, left := o.Nozzle.Found, o.Nozzle.Left
	return o.AsLeft.Stated() && found.Stated() && left.Stated() && !found.Unreadable() && !left.Unreadable() &&
		found.Written != left.Written && !lookAlike(found.Written, left.Written) &&
		o.Decided.Nozzle.Is("reuse", "clean", "lap", "grind")
}

// lookAlike says that two serials differ only in how one is written: a letter for a digit, a dash. Another digit is
// another serial.
func lookAlike(a, b string) bool {
	x, y := digitsOf(a), digitsOf(b)
	return foldSerial(a) == foldSerial(b) && (x == y || len(x) != len(y))
}
