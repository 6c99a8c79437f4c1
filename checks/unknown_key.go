package checks

import (
	"unicode/utf8"

	"needlebook/logbook"
)

var unknownKey = &Check{
	Name:    "unknown-key",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A key is none that its group has. What stands under it is not read and not judged, which looks the same as " +
		"not measured. Write the key that the " +
		"finding names, or move the value to the remarks below the front matter.",
	Source:  "our own rule",
	Example: `as_found.leakdown: no such key here, expected leak_down`,
	Slips:   []string{logbook.SlipUnknownKey},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = p.Key + ": no such key here, expected " + p.Expected
		if utf8.RuneCountInString(f.Message) > longest {
			f.Message, f.Evidence = p.Key+": no such key here", []string{"expected " + p.Expected}
		}
		if f.Next += " if that is meant; nothing was read"; p.Type == "" {
			f.Next = "write one of the keys, or put it in words below the front matter; nothing was read"
		}
	},
	Grade: Action,
}
