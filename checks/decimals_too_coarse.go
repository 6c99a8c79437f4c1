package checks

import (
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var decimalsTooCoarse = &Check{
	Name:    "decimals-too-coarse",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A length is written with fewer decimals than its instrument shows. 0.7 from a gauge that shows hundredths may " +
		"be 0.70 or a rounded 0.74, and rounding " +
		"hides the wear between two overhauls. Write the last zero too.",
	Source:  "common practice, no source",
	Example: `lift 0.7 mm from DG-2, whose divisions are 0.01 mm: 0.70 mm, or rounded?`,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachDivided(c, o, func(t logbook.Taken, division measure.Quantity) {
			if lack := division.Decimals() - t.Amount.Decimals(); lack > 0 && t.Amount.Kind() == measure.Length {
				full := t.Amount.Number() + strings.Repeat("0", lack)
				if t.Amount.Decimals() == 0 {
					full = t.Amount.Number() + "." + strings.Repeat("0", lack)
				}
				full += " " + t.Amount.Unit().Name
				f := Finding{Place: t.Amount.Place, About: about(o), Message: t.Name + " " + t.Amount.String() +
					" from " + t.With.Written + ", whose divisions are " + division.String() + ": " + full + ", or rounded?"}
				f.offer(typed(t.Amount.Leaf, full), " if that is what it showed")
				c.Report(f)
			}
		})
	},
	Grade: Advice,
}
