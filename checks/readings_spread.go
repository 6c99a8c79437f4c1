package checks

import "needlebook/logbook"

var readingsSpread = &Check{
	Name:    "readings-spread",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   Record,
	Doc: "The readings of one opening pressure lie far apart, or the first opening came well above the others, or below " +
		"them all. A needle that sticks opens late the first time and freely after; air, " +
		"a loose lock nut or a hurried hand spread the rest. Bleed and read again; where it stays, look at the guide and " +
		"note how the needle falls.",
	Source:  "common practice, no source; how far is a setting of the book",
	Example: `readings of the opening pressure as found lie 15 bar apart, 290 bar to 305 bar; usual at most 10 bar`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		most, slips := c.Settings.ReadingSpread.Quantity, mistaken(c, o)
		eachTest(o, func(state string, t *logbook.Test) {
			low, high := ends(t.Opening.Valid())
			if high.Quantity.Valid() && !slips[high.Place] && !slips[low.Place] && high.Compare(low.Plus(most)) > 0 {
				c.Report(Finding{Place: t.Opening.Place, Message: "readings of the opening pressure " + state + " lie " +
					high.Apart(low.Quantity).String() + " apart, " + low.String() + " to " + high.String() + "; usual at most " +
					most.String(),
					Next: "bleed and read again: air, a loose lock nut or a needle that sticks", About: about(o)})
			}
			least := low.Float() * (1 - c.Settings.FirstBelow.Float()/100)
			if first := t.FirstOpening; first.Valid() && low.Valid() && !slips[first.Place] && first.Kind() == low.Kind() &&
				first.Float() < least-rounding {
				c.Report(Finding{Place: first.Place, Message: "first opening pressure " + state + " " + first.Quantity.String() +
					" is below all readings, from " + low.Quantity.String() + " up",
					Next: "the first is the highest where they differ: look at the sheet", About: about(o)})
			}
			if median := t.Opening.Median(); t.FirstOpening.Quantity.Valid() && median.Quantity.Valid() &&
				t.FirstOpening.Compare(median.Plus(most)) > 0 {
				c.Report(Finding{Place: t.FirstOpening.Place, Message: "first opening " + state + " at " + t.FirstOpening.String() +
					", " + t.FirstOpening.Apart(median.Quantity).String() + " above the readings after it",
					Next: "the needle sticks: clean, look at the guide, and note how it falls", About: about(o)})
			}
		})
	},
	Grade: Advice,
}

// ends are the lowest and the highest of some readings; invalid where there are none.
func ends(readings []logbook.Amount) (low, high logbook.Amount) {
	for i, r := range readings {
		if i == 0 || r.Compare(low.Quantity) < 0 {
			low = r
		}
		if i == 0 || r.Compare(high.Quantity) > 0 {
			high = r
		}
	}
	return low, high
}
