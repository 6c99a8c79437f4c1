package checks

import (
	"fmt"
	"slices"
	"sort"

	"needlebook/logbook"
)

var writerUnknown = &Check{
	Name:    "writer-unknown",
	Subject: OfRecord,
	Ends:    &End{Ways: only("a signer answers for the commit: adopt"), Never: true, Answer: Ashore},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A file of the book was written or changed by a commit that no person of the book answers for: unsigned, under " +
		"a key that nobody enrolled, or with a key that was not in force. The name in such a commit is a name that " +
		"anyone may type. " +
		"The finding says what was written, when and under which name, and nothing more. Let a signer of the book look at " +
		"the text and answer for it (adopt the commit, with the reason), or put right what was changed. Where nothing that " +
		"it wrote stands any more it is a note.",
	Source:  "common practice, no source",
	Example: `written 2023-05-10 23:41 UTC in the name of workshop, unsigned ("typo")`,
	Grade:   Action,
	Whole: func(c *Case) {
		paths := make([]string, 0, len(c.Trail.Records))
		for p := range c.Trail.Records {
			paths = append(paths, p)
		}
		sort.Strings(paths)
		for _, p := range paths {
			notAnsweredFor(c, c.Trail.Records[p])
		}
	},
}

func notAnsweredFor(c *Case, t *logbook.RecordTrail) {
	for i, v := range t.Versions {
		k := c.Trail.At(v.Commit)
		if k == nil || v.State.Speaks() || v.State == logbook.NotJudged {
			continue
		}
		f := Finding{Place: logbook.Place{Path: t.Path, Line: 1, Column: 1}, About: aboutPath(c.Book, t.Path),
			Facts: []string{k.ID}, Since: logbook.DayOf(k.Stated),
			Message: "written " + moment(k) + " " + writtenBy(k),
			Next:    "let a signer of the book look at the text and answer for it, or put right what was changed"}
		stands, o := standing(t, v.Commit), c.Book.Overhaul(f.About.Record)
		called := slices.Clone(stands)
		for i, key := range called {
			if o != nil {
				called[i] = keyInWords(inList.ReplaceAllString(key, ""))
			}
		}
		switch {
		case i == t.Current:
			f.Evidence = []string{"the text is still so"}
		case len(stands) > 0:
			f.Evidence = []string{"of what it wrote is still there: " + first3(slices.Compact(called))}
		case t.Values != nil:
			f.Grade, f.Next = Note, "nothing that it wrote is there any more"
		}
		if o != nil && len(stands) > 0 {
			f.Place = o.PlaceOf(stands[0])
		}
		c.Report(f)
	}
}

// standing lists the values at the tip that a commit set, by path.
func standing(t *logbook.RecordTrail, commit int) []string {
	var paths []string
	for path, s := range t.Values {
		if s.Commit == commit {
			paths = append(paths, path)
		}
	}
	sort.Strings(paths)
	return paths
}

func first3(paths []string) string {
	words := ""
	for i, p := range paths {
		if i == 3 {
			return words + fmt.Sprintf(" and %d more", len(paths)-3)
		}
		if i > 0 {
			words += ", "
		}
		words += p
	}
	return words
}
