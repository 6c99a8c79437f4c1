package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var decimalComma = &Check{
	Name:    "decimal-comma",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A number is written with a decimal comma. The comma is read as a point for now, because only one digit group " +
		"stands behind it and nothing " +
		"has to be guessed; but the next program that reads the file may cut the number at the comma. Write a decimal point.",
	Source:  "common practice, no source",
	Example: `measured.lift "0,72": written with a decimal comma`,
	Slips:   []string{measure.SlipDecimalComma},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": written with a decimal comma"
		if p.Read {
			f.Next += "; read as that for now"
		} else if f.Next == "" {
			f.Next = "write it with a decimal point; nothing was read"
		}
	},
	Grade: Action,
}
