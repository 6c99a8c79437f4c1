package site

import (
	"fmt"
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
)

// staysOnPage is how many stays one page of a cylinder draws and lists; earlier ones go on over further pages.
const staysOnPage = 11

// cylinderPage writes the history of one position: what sits there, what stands out, every valve over calendar time, each
// quantity over the engine's hours, its sisters, and the overhauls, newest first. Further pages hold the earlier valves.
func (s *sheet) cylinderPage(p logbook.Position, leaf int) error {
	s.begin("cylinder "+p.String(), "cylinder", step{"", "cylinder " + p.String()})
	s.m("<h1>").t(s.cylinderName(p)).m("</h1>")
	s.neighbours(p)
	stays := s.staysOn(p, leaf)
	if leaf == 0 {
		s.sitsThere(p)
		s.beforePulling(p)
	}
	pages := s.pages.cylinders[p]
	name := func(i int) string {
		if part := s.staysOn(p, i); len(part) > 0 {
			return "valves from " + part[0].From.String()
		}
		return "–"
	}
	s.pager(pages, leaf, name)
	s.strip(stays)
	s.cylinderPlots(p, stays)
	if leaf == 0 {
		s.besideSisters(p)
	}
	s.overhaulsHere(stays)
	if leaf == 0 {
		s.pastFindings(p)
	}
	return s.end(pages[leaf], s.footShort)
}

// staysOn are the stays that one page of a cylinder shows, oldest first: the first page the newest.
func (s *site) staysOn(p logbook.Position, leaf int) []*logbook.Stay {
	all := s.lives.InPosition(p)
	end := max(0, len(all)-leaf*staysOnPage)
	return all[max(0, end-staysOnPage):end]
}

func (s *site) cylinderName(p logbook.Position) string {
	name := "Cylinder " + p.Cylinder + " of " + p.Engine
	if e := s.Book.Engine(p.Engine); e != nil && e.Name.Stated() {
		name += ", " + e.Name.Written
	}
	return name
}

// neighbours links the other cylinders of the engine, in their order.
func (s *sheet) neighbours(p logbook.Position) {
	s.m(`<nav class="near" aria-label="cylinders of this engine">`)
	for _, q := range s.pages.positions {
		if q.Engine != p.Engine {
			continue
		}
		if q == p {
			s.m(`<b aria-current="page">`).t(q.Cylinder).m("</b> ")
			continue
		}
		s.a(s.pages.to(q), q.Cylinder).m(" ")
	}
	s.m("</nav>")
}

// sitsThere is the valve in the position today.
func (s *sheet) sitsThere(p logbook.Position) {
	now := s.presentIn(p)
	s.m("<section><h2>Now</h2>")
	if now.stay == nil {
		s.m(`<p class="loud">No valve is booked into this cylinder on `).t(s.today.String()).m(".</p></section>")
		return
	}
	stay := now.stay
	s.m(`<dl class="figures"><div><dt>valve</dt><dd>`).a(s.pages.holder[stay.Holder], orDash(stay.Holder)).m(`<small>nozzle `).a(s.pages.nozzle[stay.Nozzle], orDash(stay.Nozzle)).m("</small></dd></div>")
	run := "not known"
	if now.runKnown {
		run = hours(now.run)
	}
	since := "fitted " + stay.From.String()
	if now.read != 0 && now.read < s.today {
		since += ", counter last read " + now.read.String()
	}
	s.figure("has run", run, since)
	if left, known := now.left(); known {
		words := "left to the interval"
		if left < 0 {
			words, left = "over the interval", -left
		}
		s.m("<div><dt>").t(words).m("</dt><dd>").t(hours(left)).m("<small>").t(now.interval.Hours.String()).m(" by ").a(s.pages.line(now.interval.Hours.Place), s.intervalFrom(now.interval)).m("</small></dd></div>")
	} else {
		s.figure("left to the interval", "not known", notKnownWhy(now))
	}
	if o := stay.Opened; o != nil {
		s.m("<div><dt>left at</dt><dd>").a(s.pages.overhaul[o], figureText(o.AsLeft.Opening.Median().Leaf)).m("<small>").t(o.AsLeft.Date.Written)
		if o.AsLeft.Gauge.Stated() {
			s.m(", gauge ").a(s.pages.instrument[o.AsLeft.Gauge.Written], o.AsLeft.Gauge.Written)
		}
		s.m(", ").t(s.person(o.By.Written, dayOf(o, "as_left"))).m("</small></dd></div>")
	} else {
		s.figure("left at", openingLeft(s, stay), "opening state of the book")
	}
	s.m("</dl>")
	if o := stay.Opened; o != nil {
		s.stands(s.standingOf(o.Path))
	}
	s.deferrals(stay)
	if list := s.concerns(stay); len(list) > 0 {
		s.foldedList(list)
	} else {
		s.quietLine(fmt.Sprintf("Nothing stands out on this valve: %s looked.", checksRun()))
	}
	s.m("</section>")
}

func notKnownWhy(n present) string {
	if !n.limited {
		return "the book states no interval"
	}
	return "a counter reading is missing"
}

func orDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

func openingLeft(s *sheet, stay *logbook.Stay) string {
	if v := s.leftAt(life{Stay: stay}, openingPressure); v != nil {
		return v.Value.String()
	}
	return "not known"
}

// overhaulsHere lists the overhauls of the valves that came out of the cylinder, the newest first.
func (s *sheet) overhaulsHere(stays []*logbook.Stay) {
	s.m(`<section><h2>Overhauls of the valves that came out</h2>`)
	s.table("list", "removed", "valve", "ran", "as found", "leak-down", "decided", "stands out", "done by", "who answers for it", "commit")
	rows := 0
	for _, stay := range slices.Backward(stays) {
		if o := stay.Closed; o != nil {
			s.overhaulRow(o, stay)
			rows++
		}
	}
	if rows == 0 {
		s.m(`<tr><td colspan="10">none yet</td></tr>`)
	}
	s.m("</tbody></table></div></section>")
}

func (s *sheet) overhaulRow(o *logbook.Overhaul, stay *logbook.Stay) {
	s.m(`<tr><th scope="row">`).a(s.pages.overhaul[o], o.Day().String()).m("</th><td>").a(s.pages.holder[o.Holder.Written], orDash(o.Holder.Written)).m(" ").a(s.pages.nozzle[o.Nozzle.Found.Written], o.Nozzle.Found.Written).m(`</td><td class="n">`)
	if stay != nil && stay.HoursKnown {
		s.t(hours(stay.Hours))
	} else {
		s.m("not known")
	}
	s.m(`</td><td class="n">`).t(figureText(o.AsFound.Opening.Median().Leaf)).m(`</td><td class="n">`).t(figureText(o.AsFound.LeakDown.Time.Leaf)).m("</td><td>").t(decision(o)).m("</td><td>")
	s.gravestOf(o)
	s.m("</td><td>").t(orDash(o.By.Written)).m("</td><td>")
	s.standing(o.Path)
	s.m("</td><td>")
	if r := s.trail.Records[o.Path]; r != nil {
		s.commit(s.trail.At(r.Now().Commit))
	} else {
		s.m("–")
	}
	s.m("</td></tr>")
}

// gravestOf is the gravest finding of a record in a word, a dash for none.
func (s *sheet) gravestOf(o *logbook.Overhaul) {
	list := s.found.record[o]
	g := gravest(list)
	if g == 0 {
		s.m(`<span class="quiet">–<span class="say-it"> nothing</span></span>`)
		return
	}
	s.grade(g)
	if n := len(list); n > 1 {
		s.m(` <span class="more">of `).i(n).m("</span>")
	}
}

// decision is what was decided, in a few words.
func decision(o *logbook.Overhaul) string {
	text := ""
	for _, d := range []struct{ what, word string }{{"nozzle", o.Decided.Nozzle.Written}, {"holder", o.Decided.Holder.Written}, {"spring", o.Decided.Spring.Written}} {
		if d.word == "" || d.word == "reuse" {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += d.what + " " + d.word
	}
	switch {
	case text != "":
		return text
	case o.Decided.Stated():
		return "reuse"
	}
	return "–"
}

// pastFindings lists what was found on former lives of this position.
func (s *sheet) pastFindings(p logbook.Position) {
	now := map[string]bool{}
	if stay := s.lives.At(p, s.today); stay != nil {
		for _, f := range s.concerns(stay) {
			now[f.Check+f.Place.String()+f.Message] = true
		}
	}
	var past = s.found.position[p]
	past = slices.DeleteFunc(byGrade(past), func(f *checks.Finding) bool { return now[f.Check+f.Place.String()+f.Message] })
	if len(past) == 0 {
		return
	}
	s.m(`<section><h2>What stood out on former valves here</h2>`)
	heavy := slices.IndexFunc(past, func(f *checks.Finding) bool { return f.Grade < checks.Answer })
	if heavy < 0 {
		heavy = len(past)
	}
	if shown := min(heavy, pastShown); shown > 0 {
		s.m(`<ul class="groups">`)
		for _, f := range past[:shown] {
			s.m("<li>").grade(f.Grade).m(" ")
			to := s.pages.overhaul[s.recordOf(f)]
			if to == "" {
				to = s.pages.line(f.Place)
			}
			s.a(to, orDash(s.recordDay(f))).m(" ").t(f.Message).m("</li>")
		}
		s.m("</ul>")
		past = past[shown:]
	}
	if len(past) > 0 {
		s.m("<p>").t(upperFirst(gradesIn(past))).m(" on the records themselves.</p>")
	}
	s.m("</section>")
}

// pastShown is how many findings on former valves a cylinder's page names.
const pastShown = 12

// recordDay is the stem of the record that a finding concerns, or the file it stands in.
func (s *site) recordDay(f *checks.Finding) string {
	if f.About.Record != "" {
		return f.About.Record
	}
	return f.Place.Path
}
