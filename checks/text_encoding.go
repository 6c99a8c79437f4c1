package checks

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"needlebook/logbook"
)

var textEncoding = &Check{
	Name:    "text-encoding",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Field,
	Doc: "A file is not plain UTF-8 text. Characters that cannot be seen, or that turn the order of the others, can " +
		"make a record read differently on the " +
		"screen than it is stored; bytes of another encoding cannot be read at all, " +
		"and letters that a program read in another encoding are other letters, " +
		"or question marks. Save the file as UTF-8 and take such " +
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
	Whole: func(c *Case) {
		for _, p := range c.Book.Crew {
			if lostLetters(p.Name.Written) {
				c.Report(Finding{Place: p.Name.Place, Message: fmt.Sprintf("name %q has ? in the place of letters", p.Name.Written),
					Next: "take the file from the history or from a copy, or type them again and save it as UTF-8"})
				return // all of one file
			}
		}
	},
	Grade: Action,
}

// lostLetters says that a name has a question mark before a letter: a program wrote it for a letter that its encoding
// has not.
func lostLetters(name string) bool {
	_, after, found := strings.Cut(name, "?")
	for found {
		r, _ := utf8.DecodeRuneInString(after)
		if unicode.IsLetter(r) {
			return true
		}
		_, after, found = strings.Cut(after, "?")
	}
	return false
}
