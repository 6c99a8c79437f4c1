package checks

import (
	"strings"

	"needlebook/logbook"
)

var recordName = &Check{
	Name:    "record-name",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "The name or the folder of a file does not say which record it holds, or the file repeats another. A record is " +
		"known by <date of removal>-<holder>, once in the " +
		"book, in the folder of the cylinder it came out of: photographs, countersignatures and deferrals find it by that. " +
		"A copy is held against its original, value by value, and not read; " +
		"a second overhaul of one valve on one day ends in -2. Rename or move the file, or delete the copy.",
	Source:  "our own rule",
	Example: `"2024-04-02-h-15": expected 2024-04-02-h-115, the date of removal and the holder`,
	Slips: []string{logbook.SlipStem, logbook.SlipSameStem, logbook.SlipFolder, logbook.SlipCopy,
		logbook.SlipCopiedOver},
	Words: func(p logbook.Problem, f *Finding) {
		switch p.Slip {
		case logbook.SlipStem:
			f.Next += ", or correct what is written in it"
		case logbook.SlipFolder:
			f.Grade = Action
			f.Message = "folder " + strings.TrimPrefix(p.Found, "overhauls/") + " does not match the record: " + p.Expected
			f.Next += ", or correct the record"
		case logbook.SlipCopy, logbook.SlipCopiedOver:
			f.Message, f.Next = p.Found, p.Expected
			f.Related[0].Words = "the original"
			if p.Read {
				f.Related[0].Words, f.Grade = "the other", Action
			}
		default:
			f.Next = "look which of the two is the record, and strike the other"
		}
	},
	Grade: Action,
}
