package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var effectiveStrokeSum = &Check{
	Name:  "effective-stroke-sum",
	Level: Record,
	Doc: "The effective stroke that was written is not the stroke and the holder wear together. The sum decides whether the parts may go back, and a slip of a few " +
		"hundredths can hide a needle that travels too far. The book judges by its own sum; correct the written one, or leave it out.",
	Source:  "common practice, no source; the rounding allowed is a setting of the book",
	Example: `stroke 0.91 mm + holder wear 0.03 mm is 0.94 mm, written 0.92 mm`,
	Each: func(c *Case, o *logbook.Overhaul) {
		stroke, wear, sum := o.Measured.Stroke.Value, o.Measured.HolderWear.Value, o.Measured.Effective.Value
		for _, a := range []logbook.Amount{stroke, wear, sum} {
			if !a.Quantity.Valid() || a.Kind() != measure.Length {
				return
			}
		}
		right, allowed := stroke.Plus(wear.Quantity), c.Settings.SumWithin.Quantity
		if sum.Compare(right.Plus(allowed)) <= 0 && sum.Plus(allowed).Compare(right) >= 0 {
			return
		}
		c.Report(Finding{Place: sum.Place, Message: fmt.Sprintf("stroke %s + holder wear %s is %s, written %s", stroke, wear, right, sum), About: about(o),
			Next: "correct the written sum or one of its parts, or leave the sum out"})
	},
	Grade: Advice,
}
