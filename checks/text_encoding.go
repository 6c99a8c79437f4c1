package checks

import (
	"strings"

	"needlebook/logbook"
)

var textEncoding = &Check{
	Name:    "text-encoding",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A file is not plain UTF-8 text. Characters that cannot be seen, or that turn the order of the others, can " +
		"make a record read differently on the " +
		"screen than it is stored; bytes of another encoding cannot be read at all, " +
		"and letters that a program read in another encoding are other letters. Save the file as UTF-8 and take such " +
		"characters out.",
	Source:  "The Unicode Standard, section 23.2, layout controls; from memory",
	Example: `"hidden character '\u202e'": expected visible characters only`,
	Slips:   []string{logbook.SlipEncoding, logbook.SlipControl, logbook.SlipHidden},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = p.Found + ": expected " + p.Expected
		f.Next = "take it out"
		if p.Slip == logbook.SlipEncoding {
			f.Next = "save the file again as UTF-8"
			if strings.HasPrefix(p.Found, `"`) {
				f.Next = "take the file from the history or from a copy, or type such letters again"
			}
			if strings.Contains(p.Found, "NUL") {
				f.Next = "take it from the history or from a copy; nothing was read"
			}
		}
	},
	Grade: Action,
}
