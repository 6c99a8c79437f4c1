package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var unitUnknown = &Check{
	Name:    "unit-unknown",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A value carries a unit that is not one of its kind. A pressure in mm or a unit nobody knows cannot be held " +
		"against a limit, so nothing is read. " +
		"Look whether the value stands at the wrong key, or write one of the units that the finding lists.",
	Source:  "common practice, no source",
	Example: `measured.lift "mn": expected a unit of length: mm, µm, inch, m`,
	Slips:   []string{measure.SlipUnitUnknown},
	Words: func(p logbook.Problem, f *Finding) {
		f.Next = "write " + p.Expected + "; nothing was read"
	},
	Grade: Action,
}
