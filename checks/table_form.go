package checks

import "needlebook/logbook"

var tableForm = &Check{
	Name:    "table-form",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A table has a column or a line that cannot be read as one. A line with a cell too many shifts every value " +
		"behind it to the wrong column, hours " +
		"become dates, and the running hours of every part rest on them. Put the commas right, or the name of the column.",
	Source:  "RFC 4180; from memory",
	Example: `hours/me1.csv: "2024-01-01,15400": expected as many cells as the first line has names`,
	Slips:   []string{logbook.SlipHeader, logbook.SlipRow},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Read && p.Slip == logbook.SlipHeader && p.Type == "":
			f.Next = "save it with commas, or needlebook fix --write; read all the same"
		case p.Read && p.Slip == logbook.SlipHeader:
			f.Next += "; read as that for now"
		case !p.Read && f.Next == "":
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Action,
}
