package checks

import "needlebook/logbook"

var serialNotQuoted = &Check{
	Name:    "serial-not-quoted",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "An identity that looks like a number, a truth value or a date stands without quotes. This book reads it as " +
		"text, but other programs read 12E4 " +
		"as 120000 and 0451 as 297, and the part loses its history there. Put it in quotes.",
	Source:  "YAML 1.1, types int, float and bool; from memory",
	Example: `holder "12E4": without quotes it would be read as a number`,
	Slips:   []string{logbook.SlipUnquoted},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = atKey(p) + ": " + p.Expected
	},
	Grade: Advice,
}
