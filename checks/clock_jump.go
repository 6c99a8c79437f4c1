package checks

import (
	"fmt"

	"needlebook/logbook"
)

var clockJump = &Check{
	Name:    "clock-jump",
	Subject: OfBook,
	Ends:    &End{Ways: only("it is answered: what the clock was off by"), Never: true},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A commit states a time well before that of the commit it builds on. The computer's clock had stopped or was " +
		"set back; the order of the entries is sound, since each commit names the one before it, but their times are not. " +
		"Nobody can prove a time from a clock that jumps. " +
		"Set the clock, and write in the log what it was off by. The ship's own days in the records stand on their own.",
	Source:  "common practice, no source",
	Example: "clock went back 72.0 h at commit 3f2a90c1b7de",
	Grade:   Action,
	Whole: func(c *Case) {
		for i := range c.Trail.Commits {
			k := &c.Trail.Commits[i]
			if p := latestParent(c.Trail, k); p != nil && !k.Stated.IsZero() &&
				p.Stated.Sub(k.Stated).Hours() > c.Settings.ClockBack.Float() {
				f := Finding{Place: logbook.Place{Path: "book.md", Line: 1, Column: 1}, About: About{Person: k.Person},
					Facts: []string{k.ID}, Since: logbook.DayOf(k.Stated),
					Next:     "set the clock of the computer, and write in the log what it was off by",
					Message:  fmt.Sprintf("clock went back %.1f h at commit %s", p.Stated.Sub(k.Stated).Hours(), short(k.ID)),
					Evidence: []string{"it states " + moment(k) + ", the one it builds on " + moment(p)}}
				if len(k.Changes) > 0 {
					f.Place.Path = k.Changes[0].Path
					f.About = aboutPath(c.Book, f.Place.Path)
					f.About.Person = k.Person
				}
				c.Report(f)
			}
		}
	},
}

// latestParent is the parent of a commit that states the latest time; nil for a root.
func latestParent(t *logbook.Trail, k *logbook.Commit) *logbook.Commit {
	var latest *logbook.Commit
	for _, i := range k.Parents {
		if p := t.At(i); p != nil && (latest == nil || p.Stated.After(latest.Stated)) {
			latest = p
		}
	}
	return latest
}
