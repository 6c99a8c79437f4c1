package checks

import "needlebook/logbook"

var attachment = &Check{
	Name:    "attachment",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Record,
	Doc: "A picture that a record names is not in the book, is larger than agreed, or is no picture that can be shown: " +
		"neither JPEG nor PNG, one that breaks off before its end, or one that unfolds to a size no camera takes. A " +
		"photograph of the tip is the evidence of a claim, and one that never " +
		"came along is none; a very large one makes every exchange over a thin line slow for good, since history keeps it. " +
		"Add the file, or make it smaller before it is committed. A name with blanks or strange signs, or with the " +
		"ending of another format, is told too: fix gives the picture a fit one.",
	Source:  "common practice, no source",
	Example: `photos[0] "photos/tip-c4.jpg": named but not in the book`,
	Slips: []string{logbook.SlipAttachment, logbook.SlipAttachmentLarge, logbook.SlipNoPicture,
		logbook.SlipPictureName},
	Words: func(p logbook.Problem, f *Finding) {
		f.Grade = Action
		switch p.Slip {
		case logbook.SlipPictureName:
			f.Grade, f.Next = Advice, "needlebook fix --write renames it, in the record too"
		case logbook.SlipAttachment:
			f.Message, f.Next = atKey(p)+": named but not in the book",
				"add the file, named from the top of the book (photos/…, logs/…), or take the line out"
		case logbook.SlipNoPicture:
			f.Next = "copy it again whole, or save it as JPEG, PNG or PDF and name that file"
		default:
			f.Next = "make the picture smaller before it is committed"
		}
	},
	Grade: Action,
}
