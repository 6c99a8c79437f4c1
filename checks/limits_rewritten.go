package checks

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
)

var limitsRewritten = &Check{
	Name:    "limits-rewritten",
	Subject: OfLimits,
	Ends:    figuresAshore,
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A limit was changed inside a revision by which records had been judged already. Those records are judged by " +
		"another limit now than when they were signed, and nothing shows it. A limit that changes belongs in a new " +
		"revision with its day and its source; the old revision stands as it was. " +
		"If the old figure was a mistake of copying, say so in the revision's source, and look at the records that the " +
		"finding counts.",
	Source:  "common practice, no source",
	Example: "leak_down.as_left of the revision from 2021-01-01 was 5.0 to 40 s, is 6.0 to 40 s",
	Grade:   Advice,
	Whole: func(c *Case) {
		names := make([]string, 0, len(c.Book.Limits))
		for n := range c.Book.Limits {
			names = append(names, n)
		}
		sort.Strings(names)
		for _, n := range names {
			if t := c.Trail.Records[c.Book.Limits[n].Path]; t != nil {
				rewritten(c, c.Book.Limits[n], t)
			}
		}
	},
}

func rewritten(c *Case, l *logbook.Limits, t *logbook.RecordTrail) {
	paths := make([]string, 0, len(t.Values))
	for p := range t.Values {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	for i, e := range l.Revisions {
		revision := fmt.Sprintf("revisions[%d].", i)
		if len(t.Values[revision+"from"].Before) > 0 {
			continue // a revision was put in before it: the list moved, not the limit
		}
		for _, p := range paths {
			set := t.Values[p]
			key := strings.TrimPrefix(p, revision)
			asked := slices.ContainsFunc(c.loosened, func(x loosening) bool { return x.commit == set.Commit })
			if key == p || asked || len(set.Before) == 0 || strings.HasPrefix(key, "source") {
				continue
			}
			if n := judgedBefore(c, l, i, set.Commit); n > 0 {
				k := c.Trail.At(set.Commit)
				c.Report(Finding{Place: e.Place, Facts: []string{key, orGone(set.Written), k.ID},
					Since: logbook.DayOf(k.Stated),
					Next:  "put the new limit into a revision of its own, with its day and source; look at those records",
					Message: fmt.Sprintf("%s of the revision from %s was %s, is %s", key, e.From,
						orGone(set.Before[len(set.Before)-1].Written), orGone(set.Written)),
					Evidence: []string{"changed " + moment(k) + " " + writtenBy(k),
						numbered(n, "record", "records") + " of its time entered before"}})
			}
		}
	}
}

// judgedBefore counts the records of the time of a revision that were entered before a commit.
func judgedBefore(c *Case, l *logbook.Limits, revision, commit int) int {
	from, to := l.Revisions[revision].From.Day, logbook.Day(0)
	for _, e := range l.Revisions {
		if e.From.Day > from && (to == 0 || e.From.Day < to) {
			to = e.From.Day
		}
	}
	k, n := c.Trail.At(commit), 0
	for _, o := range c.Book.Overhauls {
		t := c.Trail.Records[o.Path]
		if k == nil || t == nil || len(t.Versions) == 0 || c.Book.LimitsFor(o) != l || o.Day() < from || to != 0 &&
			o.Day() >= to {
			continue
		}
		if first := c.Trail.At(t.Versions[0].Commit); first != nil && first.Stated.Before(k.Stated) {
			n++
		}
	}
	return n
}
