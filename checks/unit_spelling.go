package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var unitSpelling = &Check{
	Name:    "unit-spelling",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A unit is spelled in another way than the book spells it. The value is read and judged; one spelling only " +
		"makes files easy to search and " +
		"compare. The tool can put it right without touching the number.",
	Source:  "our own advice; unit symbols after the SI Brochure, chapter 5; from memory",
	Example: `assembled.nozzle_nut.torque "Nm": the book spells it N·m`,
	Slips:   []string{measure.SlipUnitSpelling},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": the book spells it " + p.Expected
		if !p.Read { // another slip of the same value is in the way
			f.Next = "write " + p.Expected
		}
	},
	Grade:  Note,
	Yields: true,
}
