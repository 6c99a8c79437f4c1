package checks

var hoursAboveCounter = &Check{
	Name:    "hours-above-counter",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   History,
	Doc: "A valve is said to have run longer since its overhaul than its engine's counter shows in all, on the day the " +
		"book begins. Two figures are exchanged, or a separator made thousands of one of them; " +
		"every service life counted from it would be wrong, so the hours count as not known. Correct the figure " +
		"that is wrong.",
	Source:  "no valve runs longer than its engine",
	Example: "H-101 in ME1-1 had run 91250 h since its overhaul, its counter showed 41250 h",
	Grade:   Action,
	Whole: func(c *Case) {
		for i := range c.Book.Vessel.Opening.Fitted {
			f := &c.Book.Vessel.Opening.Fitted[i]
			if !f.SinceAboveCounter() {
				continue
			}
			at := f.Engine.Written + "-" + f.Cylinder.Written
			c.Report(Finding{Place: f.Since.Place, About: About{Holder: f.Holder.Written, Nozzle: f.Nozzle.Written},
				Related: []Related{{f.Counter.Place, "the counter"}},
				Message: f.Holder.Written + " in " + at + " had run " + f.Since.String() +
					" since its overhaul, its counter showed " + f.Counter.String(), Next: "correct the figure that is wrong"})
		}
	},
}
