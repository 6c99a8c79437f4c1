package checks

import (
	"strconv"

	"needlebook/logbook"
)

var frontMatter = &Check{
	Name:    "front-matter",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Field,
	Doc: "The keys of a record do not stand between two lines of three dashes at its beginning. Without both lines the " +
		"record looks empty to every reader, " +
		"dashes inside a text end it too early, and a key below them is not read. Put the dashes alone on their lines, the " +
		"first at the top of the file.",
	Source:  "our own rule",
	Example: `"an opening --- and no closing one": expected --- on a line of its own after the last key (about line 30)`,
	Slips:   []string{logbook.SlipNoFrontMatter, logbook.SlipNotClosed, logbook.SlipDelimiter, logbook.SlipKeyBelow},
	Words: func(p logbook.Problem, f *Finding) {
		f.Message = strconv.Quote(p.Found) + ": expected " + p.Expected
		if !p.Read {
			f.Next = "put --- on a line of its own there; nothing was read"
		}
		if p.Expected == logbook.EndsAmongKeys {
			f.Next = "take the whole text from the history or a copy; where all keys are there, end it with ---"
		}
	},
	Grade: Action,
}
