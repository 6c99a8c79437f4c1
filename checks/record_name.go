package checks

import "needlebook/logbook"

var recordName = &Check{
	Name:  "record-name",
	Level: Record,
	Doc: "The name of a file does not say which record it holds, or says the same as another. A record is known by <date of removal>-<holder>, once in the " +
		"book: photographs, countersignatures and deferrals find it by that. Rename the file, or strike the second one.",
	Source:  "our own rule",
	Example: `"2024-04-02-h-15": expected 2024-04-02-h-115, the date of removal and the holder`,
	Slips:   []string{logbook.SlipStem, logbook.SlipSameStem},
	Words: func(p logbook.Problem, f *Finding) {
		if p.Slip == logbook.SlipStem {
			f.Next = "rename the file to " + p.Type + ", or correct the date or the holder in it"
			return
		}
		f.Next = "look which of the two is the record, and strike the other"
	},
	Grade: Answer,
}
