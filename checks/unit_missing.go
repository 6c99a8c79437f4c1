package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var unitMissing = &Check{
	Name:    "unit-missing",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A value stands without its unit. 320 may be bar or kgf/cm², 0.72 may be millimetres or hundredths of an inch, " +
		"and nobody can tell a year later; " +
		"so nothing is read; the rated power of an engine is asked for its own. " +
		"Write the unit behind the number.",
	Source:  "common practice, no source",
	Example: `as_left.opening_pressure[0] "320": no unit`,
	Slips:   []string{measure.SlipUnitMissing},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": no unit"
		if f.Next += " if that is the unit; nothing was read"; p.Type == "" {
			f.Next = "write " + p.Expected + "; nothing was read"
		}
	},
	Whole: func(c *Case) {
		for i := range c.Book.Vessel.Engines {
			e := &c.Book.Vessel.Engines[i]
			for _, x := range []struct {
				is   logbook.Text
				unit string
			}{{e.Power, "kW"}, {e.Speed, "rpm"}} {
				if number, slips := measure.ParseNumber(x.is.Written, 0); number != "" && len(slips) == 0 {
					c.Report(Finding{Place: x.is.Place, Grade: Advice, Message: fmt.Sprintf("%s %q: no unit", x.is.Key, x.is.Written),
						Next: "write the unit behind it: " + x.is.Written + " " + x.unit + ", if that is the unit"})
				}
			}
		}
	},
	Grade: Action,
}
