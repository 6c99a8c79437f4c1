package checks

import (
	"path"
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
		"was found in it is found no longer. Of a record that was countersigned, and of a deferral, it is a stop. A " +
		"countersignature counts all the same, whoever takes out its file. A file that is there under another name is " +
		"none of these, and neither is one of two alike. Put the file back as it was, or let the superintendent look at " +
		"it and answer.",
	Source:  "common practice, no source: a page of a logbook is struck through, never torn out",
	Example: "deferrals/d-07.md was taken out of the book",
	Grade:   Stop,
	Whole: func(c *Case) {
		for _, v := range c.Trail.Vanished {
			c.vanished(v)
		}
	},
}

func (c *Case) vanished(v logbook.Vanished) {
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
		Message: v.Path + " was taken out of the book",
		Evidence: []string{"taken out " + moment(k) + " " + writtenBy(k),
			"its last text: git cat-file blob " + short(v.LastBlob)},
		Next: "put it back as it was, or let the superintendent look at it and answer"}
	switch seers := c.seersOf(v.Stem); {
	case top == "overhauls" && len(seers) > 0:
		f.Grade = Stop
		f.Evidence = append(f.Evidence, "countersigned before that by "+strings.Join(seers, " and by "))
	case top == "deferrals":
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
