package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var effectiveLiftSum = &Check{
	Name:    "effective-lift-sum",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The effective lift that was written is not the lift and the holder wear together. The sum decides whether the " +
		"parts may go back, and a slip of a few " +
		"hundredths can hide a needle that travels too far. The book judges by its own sum; correct the written one, or " +
		"leave it out.",
	Source:  "common practice, no source; the rounding allowed is a setting of the book",
	Example: `lift 0.91 mm + holder wear 0.03 mm is 0.94 mm, written 0.92 mm`,
	Holds:   wasMeasured,
	Each: func(c *Case, o *logbook.Overhaul) {
		lift, wear, sum := o.Measured.Lift.Value, o.Measured.HolderWear.Value, o.Measured.Effective.Value
		for _, a := range []logbook.Amount{lift, wear, sum} {
			if !a.Quantity.Valid() || a.Kind() != measure.Length {
				return
			}
		}
		right, allowed := lift.Plus(wear.Quantity), c.Settings.SumWithin.Quantity
		if sum.Compare(right.Plus(allowed)) <= 0 && sum.Plus(allowed).Compare(right) >= 0 {
			return
		}
		c.Report(Finding{Place: sum.Place, Message: fmt.Sprintf("lift %s + holder wear %s is %s, written %s", lift, wear,
			right, sum), About: about(o),
			Next: "correct the written sum or one of its parts, or leave the sum out"})
	},
	Grade: Advice,
}
