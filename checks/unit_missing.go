package checks

import (
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
		"so nothing is read. Write the unit behind the number.",
	Source:  "common practice, no source",
	Example: `as_left.opening_pressure[0] "320": no unit`,
	Slips:   []string{measure.SlipUnitMissing},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": no unit"
		if f.Next += " if that is the unit; nothing was read"; p.Type == "" {
			f.Next = "write " + p.Expected + "; nothing was read"
		}
	},
	Grade: Action,
}
