package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
)

var fileNotRead = &Check{
	Name:    "file-not-read",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "A file of the book is not read: it lies in no known place, has a name that some system cannot hold, is too " +
		"large or cannot be opened. What is in " +
		"it counts for nothing here, and may be the record somebody misses. What has the keys of a record, a part, a table " +
		"or another kind of file, or a record's name, " +
		"is told the place it belongs to. Move it there, or keep it outside the book. A file that is missing, empty or cut " +
		"and was whole at the last commit is read as it was there, so that nothing that it shows is lost; bring it back, " +
		"or commit that it is taken out.",
	Source:  "our own rule",
	Example: `2024-06-11-h-119.txt looks like an overhaul and is not read here`,
	Slips: []string{logbook.SlipNotARecord, logbook.SlipMisplaced, logbook.SlipLeftBehind, logbook.SlipSecondBook,
		logbook.SlipPathName, logbook.SlipTooLarge,
		logbook.SlipUnreadable, logbook.SlipFolderCrowded, logbook.SlipLost},
	Words: func(p logbook.Problem, f *Finding) {
		f.Next = "move it to where it belongs, or keep it outside the book"
		switch p.Slip {
		case logbook.SlipNotARecord:
			f.Grade = Advice
		case logbook.SlipMisplaced:
			f.Message = kindInWords(p.Found) + " at the wrong place: nothing of it is read"
			f.Next = "move it to " + p.Expected
			if logbook.UnreadByEditors(p.Place.Path) {
				f.Next = "save it as plain text: " + p.Expected
			}
		case logbook.SlipLeftBehind:
			f.Grade, f.Message = Note, "left behind by an editor, "+p.Found
			f.Next = "look whether the record lacks something, then delete it"
			f.Related[0].Words = "the record"
		case logbook.SlipSecondBook:
			f.Message = "a whole book inside this one: nothing of it is read"
			f.Next = "keep " + p.Found + " outside the book"
		case logbook.SlipTooLarge:
			f.Next = "nothing of it was read: part it, or look what it really is"
		case logbook.SlipUnreadable:
			f.Next = "nothing of it was read: look at the disk and at the rights of the file"
		case logbook.SlipLost:
			what := "is " + p.Found
			if strings.HasPrefix(p.Found, "the ") {
				what = "holds " + p.Found
			}
			f.Grade, f.Message = Action, fmt.Sprintf("this file %s, the last commit had %s", what, p.Expected)
			f.Evidence = []string{"read as it was committed"}
			f.Next = "bring it back: git checkout -- " + p.Place.Path
		case logbook.SlipFolderCrowded:
			f.Grade, f.Next = Advice, "make a folder for each cylinder"
		}
	},
	Grade: Action,
}

// kindInWords is a kind of file with its article.
func kindInWords(kind string) string {
	switch kind {
	case "overhaul":
		return "a record of an overhaul"
	case "limits", "hours", "running":
		return "a file of " + kind
	case "bunkers", "stock", "crew":
		return "the table of " + kind
	case "instrument":
		return "an " + kind
	}
	return "a " + kind
}
