package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var kilogramForce = &Check{
	Name:    "kilogram-force",
	Subject: OfRecord,
	Ends:    writing,
	Version: 3,
	Level:   Field,
	Doc: "A value is stated in kilogram-force. It is converted for judging and kept as written. The kgf/cm² and the bar " +
		"differ by two per cent only, so that one " +
		"read as the other is noticed by nobody: look whether gauge and record really use the same unit. An instrument " +
		"whose own file states its range in that unit has answered, and limits that are in it, for readings that name none.",
	Source:  "NIST SP 811, appendix B: 1 kgf/cm² = 0.980 665 bar; from memory",
	Example: `opening pressure as found 326 kgf/cm² is 319.7 bar; judged so, kept as written`,
	Each: func(c *Case, o *logbook.Overhaul) {
		for t := range o.Taken() {
			u := t.Amount.Unit()
			i := c.Book.Instruments[t.With.Written]
			if i != nil && i.Range.High.Unit() == u {
				continue // its own file says that it is read so
			}
			if !t.With.Stated() && (c.shownIn(u) || c.limitedIn(o, u)) {
				continue // of a gauge that is not named, most likely one of those; or as the manual has it
			}
			if i == nil && t.With.Stated() || i != nil && i.Range.Written != "" && !i.Range.High.Valid() {
				continue // in which unit it shows is not known, which other checks say
			}
			if u == measure.KgfPerCM2 || u == measure.KgfMetre {
				base := t.Amount.In(measure.BaseUnit(t.Amount.Kind())).Rounded(t.Amount.Decimals() + 1)
				c.Report(Finding{Place: t.Amount.Place, Message: t.Name + " " + t.Amount.String() + " is " + base.String() +
					"; judged so, kept as written", About: about(o), readWith: t.With.Written,
					Next: "look at the dial: is it truly in " + u.Name + "?"})
				return // once a record
			}
		}
	},
	Grade: Advice,
}

// limitedIn says that the limits of a record's valve state its setting in a unit.
func (c *Case) limitedIn(o *logbook.Overhaul, u *measure.Unit) bool {
	used := c.inForceAsLeft(o, o.BenchOn()).Opening.Used.Span
	return used.High.Valid() && used.High.Unit() == u
}

// shownIn says that an instrument of the book has a scale in a unit.
func (c *Case) shownIn(u *measure.Unit) bool {
	for _, i := range c.Book.Instruments {
		if i.Range.High.Valid() && i.Range.High.Unit() == u {
			return true
		}
	}
	return false
}
