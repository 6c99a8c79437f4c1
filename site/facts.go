package site

import (
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// findings are the findings of the report, sorted out by what they concern; each list in the order of the report.
type findings struct {
	record     map[*logbook.Overhaul][]*checks.Finding // those on no record under nil
	position   map[logbook.Position][]*checks.Finding
	holder     map[string][]*checks.Finding
	nozzle     map[string][]*checks.Finding
	instrument map[string][]*checks.Finding
	round      map[string][]*checks.Finding
	path       map[string][]*checks.Finding // by file
	grade      map[checks.Grade][]*checks.Finding
}

func sortOut(s *site) findings {
	f := findings{record: map[*logbook.Overhaul][]*checks.Finding{}, position: map[logbook.Position][]*checks.Finding{}, holder: map[string][]*checks.Finding{},
		nozzle: map[string][]*checks.Finding{}, instrument: map[string][]*checks.Finding{}, round: map[string][]*checks.Finding{},
		path: map[string][]*checks.Finding{}, grade: map[checks.Grade][]*checks.Finding{}}
	for i := range s.Report.Findings {
		one := &s.Report.Findings[i]
		o := s.recordOf(one)
		f.record[o] = append(f.record[o], one)
		f.position[one.About.Position] = append(f.position[one.About.Position], one)
		f.holder[one.About.Holder] = append(f.holder[one.About.Holder], one)
		f.nozzle[one.About.Nozzle] = append(f.nozzle[one.About.Nozzle], one)
		f.instrument[one.About.Instrument] = append(f.instrument[one.About.Instrument], one)
		f.round[one.About.Round] = append(f.round[one.About.Round], one)
		f.path[one.Place.Path] = append(f.path[one.Place.Path], one)
		f.grade[one.Grade] = append(f.grade[one.Grade], one)
	}
	return f
}

// recordOf is the record that a finding concerns; nil for none. Of several of one name, which is a finding itself, it is the one that the
// finding stands in.
func (s *site) recordOf(f *checks.Finding) *logbook.Overhaul {
	all := s.byStem[f.About.Record]
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

// gravest is the gravest grade of some findings; 0 for none.
func gravest(list []*checks.Finding) checks.Grade {
	var g checks.Grade
	for _, f := range list {
		g = max(g, f.Grade)
	}
	return g
}

// byGrade orders findings, the gravest first, otherwise as they stand.
func byGrade(list []*checks.Finding) []*checks.Finding {
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b *checks.Finding) int { return int(b.Grade) - int(a.Grade) })
	return sorted
}

// concerns are the findings that concern a valve as it sits in a cylinder today: those on the record that put it there, and
// those on the cylinder, the holder or the nozzle as such. What a former life left behind stands on its own pages.
func (s *site) concerns(stay *logbook.Stay) []*checks.Finding {
	var list []*checks.Finding
	seen := map[*checks.Finding]bool{}
	take := func(more []*checks.Finding, ok func(*checks.Finding) bool) {
		for _, f := range more {
			if !seen[f] && ok(f) {
				seen[f] = true
				list = append(list, f)
			}
		}
	}
	atLarge := func(f *checks.Finding) bool { return f.About.Record == "" }
	if stay.Opened != nil {
		take(s.found.record[stay.Opened], func(*checks.Finding) bool { return true })
	}
	take(s.found.position[stay.Position], atLarge)
	if stay.Holder != "" {
		take(s.found.holder[stay.Holder], atLarge)
	}
	if stay.Nozzle != "" {
		take(s.found.nozzle[stay.Nozzle], atLarge)
	}
	return list
}

// use is one value of a record that an instrument stands behind.
type use struct {
	record *logbook.Overhaul
	key    string // where the record names the instrument
	day    logbook.Day
}

// uses are the records that each instrument touched, oldest first.
func (s *site) uses() map[string][]use {
	all := map[string][]use{}
	for _, o := range s.Book.Overhauls {
		eachLeaf(o, func(l leafAt) {
			if l.field.as == "instrument" && l.leaf.Stated() {
				id := l.leaf.Written
				all[id] = append(all[id], use{o, l.leaf.Key, dayOf(o, l.leaf.Key)})
			}
		})
	}
	return all
}

// dayOf is the day on which the value at a key was taken, as near as the record tells.
func dayOf(o *logbook.Overhaul, key string) logbook.Day {
	block, _, _ := strings.Cut(key, ".")
	days := []logbook.Date{o.AsFound.Date, o.Removed.Date}
	switch block {
	case "as_left", "assembled", "tries", "racked":
		days = []logbook.Date{o.AsLeft.Date, o.Racked.Date, o.AsFound.Date}
	case "fitted", "after":
		days = []logbook.Date{o.Fitted.Date}
	}
	for _, d := range days {
		if d.Day != 0 {
			return d.Day
		}
	}
	return o.Day()
}

// person is a hand in words: name and rank on a day, as the crew list has them, or the id as written.
func (s *site) person(id string, day logbook.Day) string {
	if id == "" {
		return ""
	}
	var last *logbook.CrewStay
	for i, c := range s.Book.Crew {
		if c.ID.Written != id {
			continue
		}
		if last == nil || c.From.Day <= day {
			last = &s.Book.Crew[i]
		}
	}
	if last == nil || last.Name.Written == "" {
		return id
	}
	if last.Rank.Written == "" {
		return last.Name.Written
	}
	return last.Name.Written + ", " + last.Rank.Written
}

// findingsOfRound are the findings on a round as such and on its records.
func (s *site) findingsOfRound(r logbook.Round) []*checks.Finding {
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
		take(s.found.round[r.Name])
	}
	for _, o := range r.Overhauls {
		take(s.found.record[o])
	}
	return list
}
