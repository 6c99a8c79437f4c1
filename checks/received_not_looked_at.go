package checks

import (
	"strings"

	"needlebook/checks/deciding"
	"needlebook/logbook"
)

var receivedNotLookedAt = &Check{
	Name:    "received-not-looked-at",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Record,
	Doc: "A valve came on board with a certificate and went into an engine, and nothing says that its marking and its " +
		"caps were looked at, that it was opened once on board, or what its lift is; or what was looked at was not as it " +
		"should be. A certificate tells how the valve left the workshop: " +
		"not which nozzle is in it, nor what got in on the way. A wrong nozzle, or dirt behind a lost cap, is found on the " +
		"bench in five minutes and in the cylinder by its damage. Read the marking at the next chance, and write what was " +
		"looked at; or answer why not.",
	Source:  "common practice, no source",
	Example: "fitted with certificate WC-118, not looked at on board: marking, caps",
	Holds:   wasReceived,
	Each: func(c *Case, o *logbook.Overhaul) {
		r := &o.Received
		if !r.Stated() || !o.Fitted.Stated() {
			return
		}
		var missing []string
		for _, l := range []struct {
			name string
			leaf logbook.Leaf
		}{{"marking", r.Marking.Leaf}, {"caps", r.Caps.Leaf}, {"opening", r.Opened.Leaf}} {
			if !l.leaf.Present() {
				missing = append(missing, l.name)
			}
		}
		for _, l := range []struct {
			word logbook.Word
			bad  string
			says string
		}{{r.Marking, "differs", "its marking differs from the certificate"}, {r.Caps, "missing", "its caps were missing"}} {
			if l.word.Is(l.bad) {
				c.Report(Finding{Place: o.Fitted.Place, About: about(o), Message: "fitted " + r.By() + ", though " + l.says,
					Related: []Related{{l.word.Place, "as looked at on board"}},
					Next:    "take it out and open it at the next chance, or answer why it may run"})
			}
		}
		if !deciding.LiftStated(c.Book, o) {
			missing = append(missing, "lift")
		}
		if len(missing) == 0 {
			return
		}
		c.Report(Finding{Place: o.Fitted.Place, About: about(o), Lacks: "what was looked at on board",
			Message: "fitted " + r.By() + ", not looked at on board: " + strings.Join(missing, ", "),
			Related: []Related{{r.Place, "received"}},
			Next:    "write what was looked at, or why not: not done (why)"})
	},
	Grade: Action,
}
