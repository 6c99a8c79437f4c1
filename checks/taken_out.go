package checks

import (
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
)

var takenOut = &Check{
	Name:    "taken-out",
	Subject: OfRecord,
	Ends:    &End{Ways: only("the file is put back as it was"), Never: true, Answer: Ashore},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A file that a signer of the book had signed is not in the book any more. A record is corrected, or said to be " +
		"void in its own text, and never taken out: whoever reads the book afterwards cannot know what it said, and what " +
		"was found in it is found no longer. Of a record that was countersigned, of a deferral and of a part it is a stop. " +
		"A file of which no text is left is taken out too. A " +
		"countersignature counts all the same, whoever takes out its file. A file that is there under another name is " +
		"none of these, and neither is one of two alike. Put the file back as it was, or let the superintendent look at " +
		"it and answer.",
	Source:  "common practice, no source: a page of a logbook is struck through, never torn out",
	Example: "deferrals/d-07.md was taken out of the book",
	Grade:   Stop,
	Whole: func(c *Case) {
		for _, v := range c.Trail.Vanished {
			c.vanished(v, "taken out of the book")
		}
		for _, name := range slices.Sorted(maps.Keys(c.Trail.Records)) {
			t := c.Trail.Records[name]
			if n := len(t.Versions); n > 1 && t.Now().Blob == emptyText {
				c.vanished(logbook.Vanished{Path: name, Stem: t.Stem, Commit: t.Versions[n-1].Commit,
					LastBlob: t.Versions[n-2].Blob}, "emptied")
			}
		}
	},
}

// emptyText is the id that git gives to a text of no bytes.
const emptyText = "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391"

// vanished reports a file whose text is not in the book any more; how says what became of it.
func (c *Case) vanished(v logbook.Vanished, how string) {
	k := c.Trail.At(v.Commit)
	for _, t := range c.Trail.Records {
		if t.Now().Blob == v.LastBlob {
			return // it has another name
		}
	}
	if k == nil {
		return
	}
	top, _, _ := strings.Cut(v.Path, "/")
	f := Finding{Place: logbook.Place{Path: v.Path, Line: 1, Column: 1}, Facts: []string{v.Path, v.LastBlob},
		Grade: Action, Since: logbook.DayOf(k.Stated),
		Message: v.Path + " was " + how,
		Evidence: []string{strings.TrimSuffix(how, " of the book") + " " + moment(k) + " " + writtenBy(k),
			"its last text: git cat-file blob " + short(v.LastBlob)},
		Next: "put it back as it was, or let the superintendent look at it and answer"}
	switch seers := c.seersOf(v.Stem); {
	case top == "overhauls" && len(seers) > 0:
		f.Grade = Stop
		f.Evidence = append(f.Evidence, "countersigned before that by "+strings.Join(seers, " and by "))
	case top == "deferrals" || top == "parts": // what it forbade is not forbidden any more
		f.Grade = Stop
	case (top == "photos" || top == "logs") && k.State.Speaks():
		f.Grade = Advice
	}
	c.Report(f)
}

// seersOf are the persons who have seen a record that is gone, by the names of their files.
func (c *Case) seersOf(stem string) (all []string) {
	take := func(name string) {
		top, _, _ := strings.Cut(name, "/")
		person, ok := strings.CutPrefix(strings.TrimSuffix(path.Base(name), ".md"), stem+".")
		if ok && (top == "countersigned" || top == "reviews") {
			all = append(all, person)
		}
	}
	for _, s := range c.Book.Countersigned {
		take(s.Path)
	}
	for _, s := range c.Book.Reviews {
		take(s.Path)
	}
	for _, v := range c.Trail.Vanished {
		take(v.Path)
	}
	return all
}
