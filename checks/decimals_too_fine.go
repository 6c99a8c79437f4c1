package checks

import (
	"math"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var decimalsTooFine = &Check{
	Name:    "decimals-too-fine",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A value is written with more decimals than its instrument can show. Such digits were worked out, copied from " +
		"a nominal or made up, not read; and a " +
		"reader takes them for precision. So is a value in another unit than the scale's that is less than half " +
		"a division: " +
		"0.01 µm read on hundredths of a millimetre. Write what the scale showed.",
	Source:  "common practice, no source",
	Example: `opening pressure as left 321.7 bar from PG-01, whose divisions are 5 bar`,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachDivided(c, o, func(t logbook.Taken, division measure.Quantity) {
			if t.Amount.Decimals() > division.Decimals() {
				c.Report(Finding{Place: t.Amount.Place, Message: t.Name + " " + t.Amount.String() + " from " + t.With.Written +
					", whose divisions are " + division.String(),
					About: about(o), Next: "write what the scale showed"})
			}
		})
		slips := mistaken(c, o)
		for t := range o.Taken() {
			i := c.Book.Instruments[t.With.Written]
			if i == nil || !i.Division.Valid() || i.Division.Kind() != t.Amount.Kind() || slips[t.Amount.Place] {
				continue
			}
			if i.Division.Unit() == t.Amount.Unit() {
				continue // told by its decimals
			}
			if v := math.Abs(t.Amount.Float()); v > 0 && v < i.Division.Float()/2-rounding {
				what := t.Name + " " + t.Amount.String()
				c.Report(Finding{Place: t.Amount.Place, About: about(o),
					Message: what + " is less than half a division of " + t.With.Written + ", " + i.Division.String(),
					Next:    "write what the scale showed, in its unit"})
			}
		}
	},
	Grade: Action,
}

// eachDivided calls f for every quantity of a record whose instrument states its division, once for each name, with the
// division in the unit of the value.
func eachDivided(c *Case, o *logbook.Overhaul, f func(t logbook.Taken, division measure.Quantity)) {
	last, slips := "", mistaken(c, o) // readings of one name follow one another
	for t := range o.Taken() {
		i := c.Book.Instruments[t.With.Written]
		if i == nil || t.Name == last || !i.Division.Quantity.Valid() || i.Division.Kind() != t.Amount.Kind() ||
			i.Division.Unit() != t.Amount.Unit() || slips[t.Amount.Place] {
			continue // in another unit than its scale the value was converted, or is mistaken for it: its decimals say nothing
		}
		last = t.Name
		f(t, i.Division.Quantity)
	}
}
