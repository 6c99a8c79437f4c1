package facts

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// Change is one thing that came into the book on a day: a record, another file, or a finding.
type Change struct {
	Day     logbook.Day
	Words   string
	Record  *logbook.Overhaul
	File    string          // of another file, its path
	Finding *checks.Finding // nil for a record or another file
}

// Grade is that of a finding; 0 for a record or another file.
func (c Change) Grade() checks.Grade {
	if c.Finding == nil {
		return 0
	}
	return c.Finding.Grade
}

// YearOfChanges are the changes of a year, the newest first, month by month.
type YearOfChanges struct {
	Year   int
	Months []MonthOfChanges
}

// MonthOfChanges are those of one month.
type MonthOfChanges struct {
	ID   string // "2024-06"
	List []Change
}

// gatherChanges dates everything by the commit that brought it: a record or another file by each of its versions, a
// finding by the newest commit that set one of the lines it rests on. In a plain folder nothing has a commit, and the
// record's own day stands in for it.
func (k *Facts) gatherChanges() []YearOfChanges {
	var all []Change
	for _, o := range k.Book.Overhauls {
		all = append(all, k.versionsOf(o.Path, Change{Record: o}, o.Day())...)
	}
	for _, f := range k.Texts {
		if !strings.HasPrefix(f, "hours/") && !strings.HasPrefix(f, "running/") { // they grow every day
			all = append(all, k.versionsOf(f, Change{File: f}, 0)...)
		}
	}
	keys := k.keysOfLines()
	for _, f := range k.Ordered {
		if f.Grade < checks.Action {
			continue
		}
		if d := k.daySince(f, keys); d != 0 {
			k.Since[f] = d
			all = append(all, Change{Day: d, Words: f.Message, Finding: f})
		}
	}
	slices.SortStableFunc(all, func(a, b Change) int {
		return cmp.Or(int(b.Day)-int(a.Day), int(b.Grade())-int(a.Grade()), strings.Compare(a.Words, b.Words))
	})
	return byYear(all)
}

// byYear parts changes in their order into years and months.
func byYear(all []Change) []YearOfChanges {
	var years []YearOfChanges
	for _, c := range all {
		t := c.Day.Time()
		if n := len(years); n == 0 || years[n-1].Year != t.Year() {
			years = append(years, YearOfChanges{Year: t.Year()})
		}
		y := &years[len(years)-1]
		id := t.Format("2006-01")
		if n := len(y.Months); n == 0 || y.Months[n-1].ID != id {
			y.Months = append(y.Months, MonthOfChanges{ID: id})
		}
		m := &y.Months[len(y.Months)-1]
		m.List = append(m.List, c)
	}
	return years
}

// versionsOf are the days on which a file was brought or changed; of several on one day the last is named.
func (k *Facts) versionsOf(path string, of Change, plain logbook.Day) []Change {
	r := k.Trail.Records[path]
	if r == nil {
		if plain == 0 || k.Trail.UnderGit {
			return nil
		}
		of.Day, of.Words = plain, "record of that day"
		return []Change{of}
	}
	var all []Change
	for i, v := range r.Versions {
		c := k.Trail.At(v.Commit)
		if c == nil {
			continue
		}
		words := "changed"
		if i == 0 {
			words = "written"
		}
		if c.State.Speaks() {
			words += " by " + c.Person
		} else {
			words += ", " + string(c.State)
		}
		of.Day, of.Words = logbook.DayOf(c.Stated), words
		if n := len(all); n > 0 && all[n-1].Day == of.Day {
			if all[n-1].Words != words {
				all[n-1].Words += "; " + words
			}
			continue
		}
		all = append(all, of)
	}
	return all
}

// keysOfLines are the keys that stand on each line of the overhauls that findings concern.
func (k *Facts) keysOfLines() map[string]map[int]string {
	all := map[string]map[int]string{}
	for _, o := range k.Book.Overhauls {
		if len(k.Found.Record[o]) == 0 {
			continue
		}
		lines := map[int]string{}
		EachLeaf(o, func(l LeafAt) { lines[l.Leaf.Place.Line] = l.Leaf.Key })
		all[o.Path] = lines
	}
	return all
}

// daySince is the stated day of the newest commit that set a line the finding rests on; 0 where there is none to name.
func (k *Facts) daySince(f *checks.Finding, keys map[string]map[int]string) logbook.Day {
	newest := logbook.Day(0)
	take := func(p logbook.Place) {
		r := k.Trail.Records[p.Path]
		if r == nil || strings.HasSuffix(p.Path, ".csv") { // a table grows line by line, and no line of it is traced
			return
		}
		c := k.SetBy(p.Path, keys[p.Path][p.Line])
		switch {
		case c != nil:
		case strings.HasPrefix(p.Path, "overhauls/"):
			c = k.Trail.At(r.Versions[0].Commit)
		default:
			c = k.Trail.At(r.Now().Commit)
		}
		if c != nil {
			newest = max(newest, logbook.DayOf(c.Stated))
		}
	}
	take(f.Place)
	for _, r := range f.Related {
		take(r.Place)
	}
	if newest == 0 && !k.Trail.UnderGit {
		if o := k.RecordOf(f); o != nil {
			newest = o.Day()
		}
	}
	return newest
}
