package site

import (
	"fmt"
	"slices"

	"needlebook/checks"
	"needlebook/checks/evidence"
	"needlebook/checks/paper"
	"needlebook/logbook"
)

// together is one thing that several records show together.
type together struct {
	what, words string
	to          ref
}

// pattern is what a reader ashore asks after the exceptions: which part, fuel or gauge explains what no single record can, and which
// promise was overrun. Everything was worked out before; here it is named in a line with the way to its page.
func (s *site) pattern(e *evidence.Evidence) []together {
	var all []together
	for _, a := range s.associated() {
		if a.Kind != "holder" && a.Kind != "position" && a.Kind != "bunker" && a.Kind != "nozzle batch" && a.Kind != "engine" {
			continue // gauges have their own line below, seasons and hands stand on the page of what goes together
		}
		to := pageCauses
		switch p := s.positionNamed(a.Which); {
		case a.Kind == "holder" && s.pages.holder[a.Which] != "":
			to = s.pages.holder[a.Which]
		case a.Kind == "position" && s.pages.to(p) != "":
			to = s.pages.to(p)
		case a.Kind == "bunker":
			if r := s.fouledOn(e); r != "" {
				to = r
			}
		}
		words := fmt.Sprintf("%s %d of %d, of the others %d of %d", a.With, a.Bad, a.N, a.RestBad, a.RestN)
		if a.Effect != 0 {
			words = fmt.Sprintf("%s by %s", a.With, signedBar(a.Effect))
		}
		all = append(all, together{a.Kind + " " + a.Which, words, to})
	}
	for _, id := range s.pages.instruments {
		i := s.Book.Instruments[id]
		if i == nil {
			continue
		}
		for n := range i.FoundWrong {
			w := &i.FoundWrong[n]
			all = append(all, together{upperKind(i) + " " + id, "read wrong from " + said(w.From.Leaf) + " to " + said(w.To.Leaf) + "; " + counted(s.recordsIn(id, w), "one record rests on it", "records rest on it"), s.pages.instrument[id].at("found-wrong")})
		}
	}
	for _, f := range s.ordered {
		if f.Check == "deferral-run-out" {
			all = append(all, together{"promise overrun", f.Message, s.pages.line(f.Place)})
		}
	}
	return all
}

func upperKind(i *logbook.Instrument) string {
	if i.Kind.Stated() {
		return i.Kind.Written
	}
	return "instrument"
}

// recordsIn counts the records that name an instrument within a time in which it read wrong.
func (s *site) recordsIn(id string, w *logbook.FoundWrong) int {
	n := 0
	var last *logbook.Overhaul
	for _, u := range s.used[id] {
		if u.record != last && w.From.Day <= u.day && (w.To.Day == 0 || u.day <= w.To.Day) {
			n, last = n+1, u.record
		}
	}
	return n
}

// positionNamed is the position of a name such as ME1-3.
func (s *site) positionNamed(name string) logbook.Position {
	i := slices.IndexFunc(s.pages.positions, func(p logbook.Position) bool { return p.String() == name })
	if i < 0 {
		return logbook.Position{}
	}
	return s.pages.positions[i]
}

// fouledOn is the page of the worst fouled round.
func (s *site) fouledOn(e *evidence.Evidence) ref {
	worst, at := 0, ref("")
	for _, f := range e.Causes.Fouled {
		if len(f.Bad) > worst {
			worst, at = len(f.Bad), s.pages.round[f.Round.Name]
		}
	}
	return at
}

// patternShown is how many of them the first page names.
const patternShown = 8

// goesTogether writes the pattern on the first page.
func (s *sheet) goesTogether() {
	all := s.pattern(s.evidence())
	if len(all) == 0 {
		return
	}
	s.m(`<section id="together"><h2>What goes together</h2><ul class="groups">`)
	for _, p := range all[:min(len(all), patternShown)] {
		s.m("<li>").a(p.to, p.what).m(": ").t(p.words).m("</li>")
	}
	s.m("</ul><p>").a(pageCauses, "How this was asked, and what else was").m(" · ").a(pageDrawings, "the same in drawings").m("</p></section>")
}

// How many lines of the due list the first page shows.
const (
	dueShown     = 6
	duePastShown = 12 // where much is past
)

// dueNext shows the head of the due list: what is past, and what falls first.
func (s *sheet) dueNext() {
	p := s.due()
	t := p.Table("due")
	s.m(`<section id="due"><h2>What is due next</h2>`)
	if t == nil || len(t.Rows) == 0 {
		s.m("<p>Nothing that the book knows of.</p></section>")
		return
	}
	past, _ := nextDue(p)
	s.nextValves()
	s.m(`<ul class="groups">`)
	for i, r := range slices.DeleteFunc(slices.Clone(t.Rows), undated) {
		if i >= min(max(dueShown, past+2), duePastShown) {
			if past > i {
				s.m(`<li class="loud">`).a(pageDue, "and "+grouped(past-i)+" more that are past").m("</li>")
			}
			break
		}
		s.m(`<li><span class="day">`).t(r[0].Text).m("</span> ").t(r[2].Text).m(" ").a(s.refOf(r[3].About), r[3].Text)
		if r[4].Text != "" && r[4].Text != "–" {
			s.m(", ").a(s.refOf(r[4].About), r[4].Text)
		}
		s.m(`: <span class="more">`).t(r[5].Text).m("</span></li>")
	}
	s.m("</ul>")
	unknown := 0
	each := s.dueEach()
	for _, r := range each.Table("due").Rows {
		if r[2].Text == "valve" && undated(r) {
			unknown++
		}
	}
	if unknown > 0 {
		s.m("<p>Not known for ").t(counted(unknown, "one cylinder", "cylinders")).m(": the book holds no valve there, no hours or no interval.</p>")
	}
	s.m("<p>")
	if short := toOrder(s.stores()); len(short) > 0 {
		s.m("To order: ").t(joined(short)).m(". ")
	}
	s.a(pageDue, "The whole list").m(" · ").a(pageStores, "what we have").m("</p></section>")
}

// undated says that the book does not tell when an entry of the due list falls due.
func undated(r []paper.Cell) bool { return r[0].Text == "–" }

// nextValves names the valves that fall due first, those of one day together.
func (s *sheet) nextValves() {
	each := s.dueEach()
	_, next := nextDue(each)
	if next == nil {
		return
	}
	var rows [][]paper.Cell
	for _, r := range each.Table("due").Rows {
		if r[2].Text == "valve" && r[0].Text == next.Day && r[6].Text == next.Left {
			rows = append(rows, r)
		}
	}
	s.m(`<p class="lead">`).t(map[bool]string{true: "The next valve: ", false: "The next valves: "}[len(rows) == 1])
	for i, r := range rows {
		if i > 0 {
			s.m("; ")
		}
		s.a(s.refOf(r[4].About), r[4].Text).m(" ").a(s.refOf(r[3].About), r[3].Text)
	}
	s.m(", about ").t(next.Day).m(" (").t(leftWords(next.Left)).m(").</p>")
}

func joined(all []string) string {
	text := ""
	for i, one := range all {
		if i > 0 {
			text += ", "
		}
		text += one
	}
	return text
}

// compared are the findings that are new or graver since the state that the book is compared with, and those that are gone; the gravest
// first.
func (s *site) compared() (fresh, gone []*checks.Finding) {
	if s.Before == nil {
		return nil, nil
	}
	d := checks.Difference(s.Before.Report.Findings, s.Report.Findings)
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
	return byGrade(fresh), byGrade(gone)
}
