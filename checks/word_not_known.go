package checks

import "needlebook/logbook"

var wordNotKnown = &Check{
	Name:    "word-not-known",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A word is not on the list of words for its key. Closed lists keep damp apart from dripping for every reader " +
		"and every rule; a word that is not " +
		"on the list is not read, unless it is plainly another spelling of one that is. Write one of the words that the " +
		"finding lists.",
	Source:  "our own rule",
	Example: `as_left.seat.state "ok": expected one of: dry, damp, drop, runs`,
	Slips:   []string{logbook.SlipWord},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Read:
			f.Next += "; read as that for now"
		case p.Type != "":
			f.Next += " if that is meant; nothing was read"
		default:
			f.Next = "write one of the words, or why there is none: not looked at (why); nothing was read"
		}
	},
	Grade: Action,
}
