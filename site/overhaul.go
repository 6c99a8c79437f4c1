package site

import (
	"fmt"
	"strconv"

	"needlebook/logbook"
)

// overhaulPage writes one record as a bench report: what counts in large figures, what stands out, every verdict with its
// working, then the record in the order of the hands, who answers for it, and the text as written.
func (s *sheet) overhaulPage(o *logbook.Overhaul) error {
	to := s.pages.overhaul[o]
	s.begin("overhaul "+o.Stem, "bench", s.wayTo(o)...)
	s.m("<h1>").t(titleOf(o)).m(`</h1><p class="lead">`)
	s.journey(o)
	s.m("</p>")
	s.stands(s.standingOf(o.Path))
	s.benchFigures(o)
	s.standsOut(o)
	s.verdictTable(o)
	s.implied(o)
	s.asWritten(o)
	s.remarksOf(o)
	s.corrections(o)
	s.hands(o)
	s.traceOf(o.Path)
	s.textOf(o.Path, 1, mostLines)
	return s.end(to, s.footFull)
}

func titleOf(o *logbook.Overhaul) string {
	holder, nozzle := o.Holder.Written, o.Nozzle.Left.Written
	if holder == "" {
		holder = "holder not stated"
	}
	if nozzle == "" {
		nozzle = o.Nozzle.Found.Written
	}
	if nozzle == "" {
		return holder
	}
	return holder + " with " + nozzle
}

// wayTo is the way to a record: its round where it has one, else where it came from.
func (s *site) wayTo(o *logbook.Overhaul) []step {
	var way []step
	if name := s.pages.roundOf[o]; name != "" {
		way = append(way, step{s.pages.round[name], "round " + name})
	}
	if at := removedFrom(o); at != (logbook.Position{}) {
		way = append(way, step{s.pages.to(at), "cylinder " + at.String()})
	}
	return append(way, step{"", o.Stem})
}

func removedFrom(o *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
}

func fittedTo(o *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}
}

// journey says in one sentence where the valve came from and where it went.
func (s *sheet) journey(o *logbook.Overhaul) {
	switch {
	case o.Removed.Stated():
		s.m("Removed from ").a(s.pages.to(removedFrom(o)), removedFrom(o).String()).m(" on ").t(said(o.Removed.Date.Leaf))
		if o.Removed.Counter.Stated() {
			s.m(" at ").t(o.Removed.Counter.String())
		}
		if stay := s.lives.ClosedBy(o); stay != nil && stay.HoursKnown {
			s.m(" after <b>").t(hours(stay.Hours)).m("</b> in service")
		}
		if o.Removed.Reason.Stated() {
			s.m(" (").t(o.Removed.Reason.Written).m(")")
		}
	case o.Removed.Present():
		s.m("Removal: ").t(o.Removed.Written)
	default:
		s.m("Built without a removal")
	}
	switch {
	case o.Fitted.Stated():
		s.m("; fitted to ").a(s.pages.to(fittedTo(o)), fittedTo(o).String()).m(" on ").t(said(o.Fitted.Date.Leaf))
		if o.Fitted.Counter.Stated() {
			s.m(" at ").t(o.Fitted.Counter.String())
		}
	case o.Fitted.Present():
		s.m("; fitting: ").t(o.Fitted.Written)
	case o.Decided.Holder.Is("condemn"):
		s.m("; the holder is condemned")
	case o.Racked.Stated():
		s.m("; on the rack since ").t(said(o.Racked.Date.Leaf))
	default:
		s.m("; not fitted since")
	}
	s.m(".")
	if o.Reconstructed.Stated() {
		s.m(" <strong>Reconstructed</strong> on ").t(said(o.Reconstructed.Date.Leaf)).m(" by ").t(s.person(o.Reconstructed.By.Written, o.Reconstructed.Date.Day))
		s.m(" from ").t(said(o.Reconstructed.From.Leaf)).m(".")
	}
}

// said is a value as written, or a word where nothing stands.
func said(l logbook.Leaf) string {
	if l.Written == "" {
		return "(not stated)"
	}
	return l.Written
}

// hours are running hours for the eye: whole hours, with a thin space at the thousands.
func hours(h float64) string { return grouped(int(h+half(h))) + " h" }

// counted is a number with its noun: "no records", "one record", "7 records". one is the whole phrase for one.
func counted(n int, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return one
	}
	return grouped(n) + " " + logbook.Plural(n, one, many)
}

func grouped(n int) string {
	if n < 0 {
		return "−" + grouped(-n)
	}
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "\u202f" + text[i:]
	}
	return text
}

// stands appends the standing of a record: its strokes and its words.
func (s *sheet) stands(st standing) {
	class := markup("standing")
	if st.loud {
		class = "standing loud"
	}
	s.m(`<p class="`, class, `">`, st.mark).t(st.words).m(` <a class="how" href="how-to-read-this.html#states">what this means</a></p>`)
}

// standing says in a row of a table who answers for a record.
func (s *sheet) standing(path string) {
	st := s.standingOf(path)
	if st.loud {
		s.m(`<span class="loud">`, st.mark).t(st.words).m("</span>")
	} else {
		s.m(st.mark).t(st.words)
	}
}

// benchFigures are the few numbers that a reader looks for first, as found and as left.
func (s *sheet) benchFigures(o *logbook.Overhaul) {
	s.m(`<dl class="figures">`)
	s.twoFigures("opening pressure", o.AsFound.Opening.Median().Leaf, o.AsLeft.Opening.Median().Leaf, o)
	s.twoFigures("leak-down", o.AsFound.LeakDown.Time.Leaf, o.AsLeft.LeakDown.Time.Leaf, o)
	if v := s.valued(o, "effective_stroke"); v != nil {
		s.figure("effective stroke", v.Value.String(), "")
	}
	if h, known := s.lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day); known && o.Removed.Stated() && o.Nozzle.Found.Stated() {
		s.figure("nozzle has run", hours(h), o.Nozzle.Found.Written)
	}
	s.m("</dl>")
}

func (s *sheet) twoFigures(name string, found, left logbook.Leaf, o *logbook.Overhaul) {
	if !found.Present() && !left.Present() {
		return
	}
	s.m("<div><dt>").t(name).m("</dt><dd>").t(figureText(found)).m(` <span class="to">→</span> `).t(figureText(left)).m("<small>as found → as left</small></dd></div>")
}

// figureText is a value as a large figure; a dash where nothing stands, and its words where there is a reason.
func figureText(l logbook.Leaf) string {
	switch {
	case l.Not != "":
		return l.Not
	case l.Written == "":
		return "–"
	}
	return l.Written
}

func (s *sheet) figure(name, value, small string) {
	s.m("<div><dt>").t(name).m("</dt><dd>").t(value)
	if small != "" {
		s.m("<small>").t(small).m("</small>")
	}
	s.m("</dd></div>")
}

// standsOut lists the findings on a record.
func (s *sheet) standsOut(o *logbook.Overhaul) {
	list := s.found.record[o]
	s.m("<section><h2>What stands out</h2>")
	if len(list) == 0 {
		s.quietLine(fmt.Sprintf("Nothing: %s looked at this record.", checksRun()))
	} else {
		s.findingList(byGrade(list), true)
	}
	s.m("</section>")
}
