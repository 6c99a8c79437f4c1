package checks

import (
	"fmt"
	"maps"
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
	Doc: "A limit was changed inside a revision by which records had been judged already, or taken out of it. Those " +
		"records are judged by another limit now than when they were signed, or by none. A limit that changes belongs in a " +
		"new " +
		"revision with its day and its source; the old revision stands as it was. " +
		"If the old figure was a mistake of copying, say so in the revision's source, and look at the records that the " +
		"finding counts.",
	Source:  "common practice, no source",
	Example: "leak_down.as_left of the revision from 2021-01-01 was 5.0 to 40 s, is 6.0 to 40 s",
	Grade:   Action,
	Whole: func(c *Case) {
		names := make([]string, 0, len(c.Book.Limits))
		for n := range c.Book.Limits {
			names = append(names, n)
		}
		sort.Strings(names)
		for _, n := range names {
			if t := c.Trail.Records[c.Book.Limits[n].Path]; t != nil {
				rewritten(c, c.Book.Limits[n], t)
				limitsGone(c, c.Book.Limits[n], t)
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
	days := map[string]bool{}
	for _, e := range l.Revisions {
		days[e.From.Written] = true
	}
	for i, e := range l.Revisions {
		revision := fmt.Sprintf("revisions[%d].", i)
		if from := t.Values[revision+"from"].Before; len(from) > 0 && days[from[len(from)-1].Written] {
			continue // a revision was put in before it: the list moved, not the limit
		}
		for _, p := range paths {
			set := t.Values[p]
			if key := strings.TrimPrefix(p, revision); key != p && len(set.Before) > 0 {
				c.rewrote(l, i, e, key, set.Before[len(set.Before)-1].Written, set.Written, set.Commit)
			}
		}
	}
	if !slices.ContainsFunc(c.Trail.WorkTree, func(w logbook.WorkChange) bool { return w.Path == t.Path }) {
		return
	}
	was, is := limitValues(t.Now().Text), limitValues(l.Text)
	for i, e := range l.Revisions {
		revision := fmt.Sprintf("revisions[%d].", i)
		if from := was[revision+"from"].Written; from == "" || from != e.From.Written && days[from] {
			continue
		}
		for _, p := range slices.Sorted(maps.Keys(is)) {
			before, stood := was[p]
			if key := strings.TrimPrefix(p, revision); key != p && stood && before.Written != is[p].Written {
				c.rewrote(l, i, e, key, before.Written, is[p].Written, -1)
			}
		}
	}
}

// rewrote reports a value of a revision that was changed after records were judged by it; commit is -1 where that is
// not committed.
func (c *Case) rewrote(l *logbook.Limits, revision int, e logbook.Revision, key, was, is string, commit int) {
	asked := slices.ContainsFunc(c.loosened, func(x loosening) bool { return x.commit == commit })
	n := judgedBefore(c, l, revision, commit)
	if asked || strings.HasPrefix(key, "source") || n == 0 {
		return
	}
	f := Finding{Place: e.Place, Grade: Advice, Facts: []string{key, orGone(is)},
		Next:     "put the new limit into a revision of its own, with its day and source; look at those records",
		Message:  fmt.Sprintf("%s of the revision from %s was %s, is %s", key, e.From, orGone(was), orGone(is)),
		Evidence: []string{numbered(n, "record", "records") + " of its time entered before"}}
	if key == "from" {
		f.Message = fmt.Sprintf("first day of a revision was %s, is %s", was, orGone(is))
		f.Next = "write the day of its source again; a new limit is a revision of its own"
	}
	if k := c.Trail.At(commit); k != nil {
		f.Facts, f.Since = append(f.Facts, k.ID), logbook.DayOf(k.Stated)
		f.Evidence = slices.Insert(f.Evidence, 0, "changed "+moment(k)+" "+writtenBy(k))
	} else {
		f.Evidence = slices.Insert(f.Evidence, 0, "changed since the last commit")
	}
	c.Report(f)
}

// limitsGone reports the limits that an earlier text of the file holds for a revision and the present one does not: a
// line that is lost takes every verdict with it in silence.
func limitsGone(c *Case, l *logbook.Limits, t *logbook.RecordTrail) {
	now, told := byRevision(l.Text), map[string]bool{}
	for i := t.Current; i >= 0; i-- {
		commit := -1 // changed since the last commit
		if i < t.Current {
			commit = t.Versions[i+1].Commit
		}
		was := byRevision(t.Versions[i].Text)
		for k, e := range l.Revisions {
			day := e.From.Written
			for _, limit := range slices.Sorted(maps.Keys(was[day])) {
				gone := missingKeys(was[day][limit], now[day][limit])
				n := judgedBefore(c, l, k, commit)
				if len(gone) == 0 || told[day+limit] || limit == "source" || n == 0 {
					continue
				}
				told[day+limit] = true
				name, values := limit, []string(nil)
				if len(now[day][limit]) > 0 && gone[0] != "" {
					name += "." + gone[0]
				}
				for _, part := range gone {
					values = append(values, strings.TrimSpace(part+" "+was[day][limit][part]))
				}
				f := Finding{Place: e.Place, Facts: []string{limit, day},
					Next:    "put it back; where it does not hold any more, put that into a revision of its own",
					Message: fmt.Sprintf("%s was taken out of the revision from %s", name, day),
					Evidence: []string{"it was " + strings.Join(values, ", "),
						numbered(n, "record", "records") + " of its time entered before"}}
				if by := c.Trail.At(commit); by != nil {
					f.Since, f.Evidence = logbook.DayOf(by.Stated), append(f.Evidence, "taken out "+moment(by)+" "+writtenBy(by))
				} else {
					f.Evidence = append(f.Evidence, "taken out since the last commit")
				}
				c.Report(f)
			}
		}
	}
}

// missingKeys are the keys of one map that another has not, in order.
func missingKeys(of, in map[string]string) (keys []string) {
	for _, key := range slices.Sorted(maps.Keys(of)) {
		if _, there := in[key]; !there {
			keys = append(keys, key)
		}
	}
	return keys
}

// byRevision are the limits of a file by the first day of their revision and their name, each with what it states.
func byRevision(text string) map[string]map[string]map[string]string {
	values, all := limitValues(text), map[string]map[string]map[string]string{}
	for _, path := range slices.Sorted(maps.Keys(values)) {
		revision, rest, _ := strings.Cut(path, ".")
		day := values[revision+".from"].Written
		if day == "" || rest == "from" {
			continue
		}
		rest, _, _ = strings.Cut(rest, "[")
		limit, part, _ := strings.Cut(rest, ".")
		if all[day] == nil {
			all[day] = map[string]map[string]string{}
		}
		if all[day][limit] == nil {
			all[day][limit] = map[string]string{}
		}
		all[day][limit][part] = strings.TrimSpace(all[day][limit][part] + " " + values[path].Written)
	}
	return all
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
		if k == nil && commit >= 0 || t == nil || len(t.Versions) == 0 || c.Book.LimitsFor(o) != l || o.Day() < from ||
			to != 0 && o.Day() >= to {
			continue
		}
		if first := c.Trail.At(t.Versions[0].Commit); k == nil || first != nil && first.Stated.Before(k.Stated) {
			n++
		}
	}
	return n
}
