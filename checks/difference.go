package checks

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

// Changes is what became of the findings of a book between two states of it. New and Gone keep the order of the
// findings that were compared; Changed has the gravest first, then by place and check.
type Changes struct {
	New     []Finding // said now, not before
	Changed []Change  // said of the same thing before, in other words or with another grade or limit
	Gone    []Finding // said before, not any more; their places are those of then
}

// Change is a finding as it was said before and as it is said now.
type Change struct{ Was, Is Finding }

// Difference compares the findings of two states of one book. A finding that only stands on another line, or in a
// record that was moved to another folder, is the same, and so is one that only counts more hours or days since; one of
// the same check on the same thing, with other figures, has changed, and one that has another state. Neither slice is
// touched.
func Difference(before, now []Finding) Changes {
	gone, fresh := slices.Clone(before), slices.Clone(now)
	var c Changes
	changed := func(was, is Finding) { c.Changed = append(c.Changed, Change{was, is}) }
	pair(&gone, &fresh, func(f Finding) string { return cmp.Or(f.Text, said(f)) }, true, func(was, is Finding) {
		if aged(was) != aged(is) {
			changed(was, is)
		}
	})
	pair(&gone, &fresh, said, true, func(was, is Finding) {
		if under(was) != under(is) { // more is told under it, or less
			changed(was, is)
		}
	})
	pair(&gone, &fresh, wording, true, changed)
	pair(&gone, &fresh, matter, false, changed)
	c.New, c.Gone = fresh, gone
	slices.SortStableFunc(c.Changed, func(a, b Change) int {
		p, q := a.Is.Place, b.Is.Place
		return cmp.Or(cmp.Compare(b.Is.Grade, a.Is.Grade), cmp.Compare(p.Path, q.Path), cmp.Compare(p.Line, q.Line),
			cmp.Compare(p.Column, q.Column), cmp.Compare(a.Is.Check, b.Is.Check))
	})
	return c
}

// pair takes out of both lists what has the same key, in order; without several, only where the key stands once in
// each.
func pair(gone, fresh *[]Finding, key func(Finding) string, several bool, made func(was, is Finding)) {
	was := map[string][]int{}
	for i, f := range *gone {
		was[key(f)] = append(was[key(f)], i)
	}
	times := map[string]int{}
	for _, f := range *fresh {
		times[key(f)]++
	}
	taken := map[int]bool{}
	*fresh = slices.DeleteFunc(*fresh, func(f Finding) bool {
		k := key(f)
		at := was[k]
		if len(at) == 0 || !several && (len(at) > 1 || times[k] > 1) {
			return false
		}
		was[k], taken[at[0]] = at[1:], true
		if made != nil {
			made((*gone)[at[0]], f)
		}
		return true
	})
	i := -1
	*gone = slices.DeleteFunc(*gone, func(Finding) bool { i++; return taken[i] })
}

// subject is the check and what it speaks of: the record and part, or where it speaks of no record the file.
func subject(f Finding) string {
	a := f.About
	a.Round = "" // a round is named after its first removal, and a record more may rename it
	what := []string{f.Check, a.Record, a.Position.String(), a.Holder, a.Nozzle, a.Instrument, a.Bunker, a.Person}
	if a.Record == "" {
		what = append(what, f.Place.Path)
	}
	return strings.Join(what, "\x00")
}

// said is a finding in full but for its lines.
func said(f Finding) string { return saidAs(f, f.inFull()) }

// aged is a finding in full but for its lines and figures: what the facts of the book are is in its digest, and a count
// of days or hours grows without them.
func aged(f Finding) string { return saidAs(f, figures.ReplaceAllString(f.inFull(), "#")) }

func saidAs(f Finding, message string) string {
	s := strings.Join([]string{subject(f), f.Grade.String(), f.State.String(), message, f.Next}, "\x00")
	if f.Limit != nil {
		s += "\x00" + f.Limit.Text + "\x00" + f.Limit.Source + "\x00" + f.Limit.Revision.String()
	}
	return s
}

var figures = regexp.MustCompile(`"[^"]*"|[0-9]+(?:[.,][0-9]+)*`)

// under is what is told under a finding, without its figures.
func under(f Finding) string {
	var all []string
	for _, r := range f.Related {
		if message, told := r.Follows(); told {
			all = append(all, figures.ReplaceAllString(message, "#"))
		}
	}
	slices.Sort(all)
	return strings.Join(all, "\x00")
}

// wording is a finding without its figures.
func wording(f Finding) string { return subject(f) + "\x00" + figures.ReplaceAllString(f.Message, "#") }

// matter is the subject; of a slip of writing also the key it stands at, since each value is put right by itself.
func matter(f Finding) string {
	if k := Named(f.Check); k != nil && len(k.Slips) > 0 {
		key, _, _ := strings.Cut(f.Message, " ")
		return subject(f) + "\x00" + key
	}
	return subject(f)
}
