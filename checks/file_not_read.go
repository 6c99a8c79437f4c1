package checks

import "needlebook/logbook"

var fileNotRead = &Check{
	Name:  "file-not-read",
	Level: Vessel,
	Doc: "A file of the book is not read: it stands in no known place, has a name that some system cannot hold, is too large or cannot be opened. What is in " +
		"it counts for nothing here, and may be the record somebody misses. Move it to its folder, or keep it outside the book.",
	Source:  "our own rule",
	Example: `"overhauls/me1/c3/notes.txt": expected a .md or .csv file here; pictures belong under photos/`,
	Slips:   []string{logbook.SlipNotARecord, logbook.SlipPathName, logbook.SlipTooLarge, logbook.SlipUnreadable, logbook.SlipFolderCrowded},
	Words: func(p logbook.Problem, f *Finding) {
		switch p.Slip {
		case logbook.SlipNotARecord, logbook.SlipFolderCrowded:
			f.Grade = Advice
		}
		f.Next = "move it to where it belongs, or keep it outside the book"
		switch p.Slip {
		case logbook.SlipTooLarge:
			f.Next = "nothing of it was read: part it, or look what it really is"
		case logbook.SlipUnreadable:
			f.Next = "nothing of it was read: look at the disk and at the rights of the file"
		case logbook.SlipFolderCrowded:
			f.Next = "make a folder for each cylinder"
		}
	},
	Grade: Answer,
}
