package checks

import (
	"strings"

	"needlebook/logbook"
)

var yamlForm = &Check{
	Name:    "yaml-form",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "The front matter has a form that cannot be read, or that a record does without. A bracket that is not closed, " +
		"a tab, an anchor or a tag makes the " +
		"group around it unreadable or lets one line change another; the rest of the record is read all the same. A value " +
		"behind # is a remark, and curly quotes, which word processors put in, become a part of the " +
		"value. Write it as the finding says.",
	Source:  "YAML 1.2.2; from memory",
	Example: `"reason: pulled: smoke": expected quotes around a text that holds a colon and a space`,
	Slips: []string{logbook.SlipYAML, logbook.SlipTab, logbook.SlipAnchor, logbook.SlipTag, logbook.SlipDocument,
		logbook.SlipShape, logbook.SlipCurly},
	Words: func(p logbook.Problem, f *Finding) {
		if p.Slip == logbook.SlipTab {
			what := "a tab"
			if !strings.HasPrefix(p.Found, "\t") {
				what = "a no-break space"
			}
			f.Message, f.Next = what+" before the key: expected "+p.Expected,
				"put "+p.Expected+" in its place; read as that for now"
			return
		}
		switch {
		case p.Slip == logbook.SlipCurly || p.Slip == logbook.SlipShape && p.Read:
			f.Next += "; read as that for now"
		case p.Read || f.Next != "":
		case strings.HasPrefix(p.Found, "<<<<<<<"):
			f.Next = "needlebook resolve shows what both sides wrote and takes what is to stand; nothing between the " +
				"marks was read"
		case p.Slip == logbook.SlipYAML && !strings.HasPrefix(p.Expected, "a line that can be read"):
			f.Next = "correct that line; nothing of its group was read"
		case p.Slip == logbook.SlipYAML:
			f.Next = "look for a bracket or quote that is not closed, a comma too few, a text with a colon, comma or # that " +
				"wants double quotes; nothing was read there"
		default:
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Action,
}
