package facts

import (
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// Findings are the findings of the report, sorted out; each list in the order of the report. What a finding is about is
// its subject alone; the other lists hold whatever names a thing, for who wants to know what else was said.
type Findings struct {
	Subject    map[checks.Subject][]*checks.Finding
	Record     map[*logbook.Overhaul][]*checks.Finding // those on no record under nil
	Position   map[logbook.Position][]*checks.Finding
	Holder     map[string][]*checks.Finding
	Nozzle     map[string][]*checks.Finding
	Instrument map[string][]*checks.Finding
	Round      map[string][]*checks.Finding
	File       map[string][]*checks.Finding // by path
	Grade      map[checks.Grade][]*checks.Finding
}

func sortOut(k *Facts) Findings {
	type byText = map[string][]*checks.Finding
	all := Findings{Subject: map[checks.Subject][]*checks.Finding{}, Record: map[*logbook.Overhaul][]*checks.Finding{},
		Position: map[logbook.Position][]*checks.Finding{}, Holder: byText{}, Nozzle: byText{}, Instrument: byText{},
		Round: byText{}, File: byText{}, Grade: map[checks.Grade][]*checks.Finding{}}
	for i := range k.Report.Findings {
		f := &k.Report.Findings[i]
		o := k.RecordOf(f)
		all.Subject[f.Subject] = append(all.Subject[f.Subject], f)
		all.Record[o] = append(all.Record[o], f)
		all.Position[f.About.Position] = append(all.Position[f.About.Position], f)
		all.Holder[f.About.Holder] = append(all.Holder[f.About.Holder], f)
		all.Nozzle[f.About.Nozzle] = append(all.Nozzle[f.About.Nozzle], f)
		all.Instrument[f.About.Instrument] = append(all.Instrument[f.About.Instrument], f)
		all.Round[f.About.Round] = append(all.Round[f.About.Round], f)
		all.File[f.Place.Path] = append(all.File[f.Place.Path], f)
		all.Grade[f.Grade] = append(all.Grade[f.Grade], f)
	}
	return all
}

// RecordOf is the record that a finding concerns; nil for none. Of several of one name, which is a finding itself, it
// is the one that the finding stands in.
func (k *Facts) RecordOf(f *checks.Finding) *logbook.Overhaul {
	all := k.byStem[f.About.Record]
	for _, o := range all {
		if o.Path == f.Place.Path {
			return o
		}
	}
	if len(all) > 0 {
		return all[0]
	}
	return nil
}

// Open are those of some findings that nothing has ended.
func (k *Facts) Open(list []*checks.Finding) []*checks.Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f *checks.Finding) bool { return !k.Report.IsOpen(f) })
}

// Ended are those of some findings that something has ended, or covers.
func (k *Facts) Ended(list []*checks.Finding) []*checks.Finding {
	return slices.DeleteFunc(slices.Clone(list), k.Report.IsOpen)
}

// EndedSince are the findings that something ended after a day, the latest first.
func (k *Facts) EndedSince(day logbook.Day) []*checks.Finding {
	list := slices.DeleteFunc(k.Ended(k.Ordered), func(f *checks.Finding) bool { return f.Ended.Day <= day })
	slices.SortStableFunc(list, func(a, b *checks.Finding) int { return int(b.Ended.Day) - int(a.Ended.Day) })
	return list
}

// Gravest is the gravest grade of some findings; 0 for none.
func Gravest(list []*checks.Finding) checks.Grade {
	var g checks.Grade
	for _, f := range list {
		g = max(g, f.Grade)
	}
	return g
}

// ByGrade orders findings, the gravest first, otherwise as they stand.
func ByGrade(list []*checks.Finding) []*checks.Finding {
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b *checks.Finding) int { return int(b.Grade) - int(a.Grade) })
	return sorted
}

// About are the findings about some things themselves, the gravest first.
func (k *Facts) About(things ...checks.Subject) []*checks.Finding {
	var list []*checks.Finding
	for _, s := range things {
		list = append(list, k.Found.Subject[s]...)
	}
	return ByGrade(list)
}

// Naming are those of some findings that are about something else than the things that name them here.
func Naming(list []*checks.Finding, things ...checks.Subject) []*checks.Finding {
	return slices.DeleteFunc(ByGrade(list), func(f *checks.Finding) bool { return slices.Contains(things, f.Subject) })
}

// Cylinder are the subjects of a cylinder today: the position, its pocket, and the valve that is in it.
func (k *Facts) Cylinder(p logbook.Position) []checks.Subject {
	things := checks.OfCylinder(p)
	if now := k.Lives.At(p, k.Today); now != nil {
		things = append(things, checks.OfValve(now.Holder, now.Nozzle)...)
	}
	return things
}

// OpenOn are the open findings about a cylinder and the valve that is in it today, and about nothing else: a slip is
// about its record, and what was found on a valve that has moved on is about that valve.
func (k *Facts) OpenOn(p logbook.Position) []*checks.Finding {
	return k.Open(k.About(k.Cylinder(p)...))
}

// OfRound are the findings on a round as such and on its records.
func (k *Facts) OfRound(r logbook.Round) []*checks.Finding {
	var list []*checks.Finding
	seen := map[*checks.Finding]bool{}
	take := func(more []*checks.Finding) {
		for _, f := range more {
			if !seen[f] {
				seen[f] = true
				list = append(list, f)
			}
		}
	}
	if r.Name != "" {
		take(k.Found.Round[r.Name])
	}
	for _, o := range r.Overhauls {
		take(k.Found.Record[o])
	}
	return list
}

// listed are all findings in the order of their pages: the open ones, then those that have ended; of each the gravest
// first, within a grade check by check in the order of the manual, within a check in the order of the report.
func (k *Facts) listed() []*checks.Finding {
	place := map[string]int{}
	for i, c := range checks.All() {
		place[c.Name] = i + 1
	}
	var all []*checks.Finding
	for i := range k.Report.Findings {
		all = append(all, &k.Report.Findings[i])
	}
	slices.SortStableFunc(all, func(a, b *checks.Finding) int {
		if x, y := k.Report.IsOpen(a), k.Report.IsOpen(b); x != y {
			if x {
				return -1
			}
			return 1
		}
		if a.Grade != b.Grade {
			return int(b.Grade) - int(a.Grade)
		}
		if place[a.Check] != place[b.Check] {
			return place[a.Check] - place[b.Check]
		}
		return strings.Compare(a.Check, b.Check)
	})
	return all
}

// LinesPointedAt are the lines of a file that a finding names, in order.
func (k *Facts) LinesPointedAt(path string) []int {
	var lines []int
	for _, f := range k.Found.File[path] {
		lines = append(lines, f.Place.Line)
	}
	slices.Sort(lines)
	return slices.Compact(lines)
}

// Compared are the findings that are new or graver since the state that the book is compared with, and those that are
// gone; the gravest first.
func (k *Facts) Compared() (fresh, gone []*checks.Finding) {
	if k.Before == nil {
		return nil, nil
	}
	d := checks.Difference(k.Before.Report.Findings, k.Report.Findings)
	for i := range d.New {
		fresh = append(fresh, &d.New[i])
	}
	for i := range d.Changed {
		if d.Changed[i].Is.Grade > d.Changed[i].Was.Grade {
			fresh = append(fresh, &d.Changed[i].Is)
		}
	}
	for i := range d.Gone {
		gone = append(gone, &d.Gone[i])
	}
	return ByGrade(fresh), ByGrade(gone)
}

// GravestNow is the newest of the gravest findings, as the day goes on which the newest line it rests on was set; nil
// for a quiet ship: a note asks nothing of anybody.
func (k *Facts) GravestNow() *checks.Finding {
	open := k.Open(k.Ordered)
	if len(open) == 0 || open[0].Grade <= checks.Note {
		return nil
	}
	one := open[0]
	for _, f := range open {
		if f.Grade == one.Grade && k.Since[f] > k.Since[one] {
			one = f
		}
	}
	return one
}
