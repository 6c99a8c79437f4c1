package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var numberForm = &Check{
	Name:    "number-form",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A number is not written in plain digits. Leading zeros, underscores, exponents, digits of another script and " +
		"words such as nan pass through " +
		"many programs as other numbers than the writer meant: 012 is ten to some. Write the digits 0 to 9 with a decimal " +
		"point where one is needed.",
	Source:  "YAML 1.1, types int and float: the older reading of such texts; from memory",
	Example: `as_left.leak_down.time "012 s": expected a number without leading zeros`,
	Slips:   []string{measure.SlipNumberForm, measure.SlipLeadingZero, measure.SlipForeignDigits, measure.SlipNotANumber},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Read:
			f.Next += "; read as that for now"
		case p.Type != "":
			f.Next += " if that is meant; nothing was read"
		default:
			f.Next = "write " + p.Expected + ", or not measured (why); nothing was read"
		}
	},
	Grade: Action,
}
