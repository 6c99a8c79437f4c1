package site

import (
	"strings"

	"needlebook/logbook"
)

// deferrals says which limits are knowingly exceeded on the valve that sits there, and until when.
func (s *sheet) deferrals(stay *logbook.Stay) {
	for _, d := range s.deferralsOn(stay) {
		s.m(`<p class="standing loud">Deferral `).a(s.pages.file[d.Path], orDash(d.ID.Written)).m(": ").t(orDash(d.Limit.Written)).m(", ").t(orDash(d.ByHowMuch.Written)).m("; allowed from ").t(said(d.From.Leaf))
		s.m(" for ").t(said(d.Hours.Leaf)).m(" or until ").t(said(d.Until.Leaf)).m(", approved by ").t(orDash(s.person(d.Approved.By.Written, d.Approved.Date.Day))).m("</p>")
	}
}

// deferralsOn are the deferrals that are not closed and name the valve, its nozzle or the record that fitted it.
func (s *site) deferralsOn(stay *logbook.Stay) []*logbook.Deferral {
	var open []*logbook.Deferral
	for _, d := range s.Book.Deferrals {
		if d.Closed.Stated() && d.Closed.Date.Day <= s.today {
			continue
		}
		record := stay.Opened != nil && d.Record.Stated() && d.Record.Written == stay.Opened.Stem
		if record || d.Holder.Stated() && d.Holder.Written == stay.Holder || d.Nozzle.Stated() && d.Nozzle.Written == stay.Nozzle {
			open = append(open, d)
		}
	}
	return open
}

// beforePulling is what an engineer asks before the valve comes out: what the pocket showed last time, what lies ready, and what the
// limits file says of fitting.
func (s *sheet) beforePulling(p logbook.Position) {
	s.m(`<section><h2>Before pulling it</h2><dl class="terms"><dt>last out of the pocket</dt><dd>`)
	var last *logbook.Overhaul
	for _, st := range s.lives.InPosition(p) {
		if st.Closed != nil {
			last = st.Closed
		}
	}
	if last == nil {
		s.m("no removal is in the book")
	} else {
		s.a(s.pages.overhaul[last], last.Day().String()).m(": rings ").t(said(last.Removed.RingsOut.Leaf)).m(", pocket ").t(said(last.Removed.Pocket.Leaf))
	}
	s.m("</dd><dt>ready on the rack</dt><dd>")
	for i, r := range s.Report.Spares {
		if i > 0 {
			s.m(", ")
		}
		s.a(s.pages.holder[r.Holder], r.Holder).m(" (tested ").i(r.Age).m(" days ago")
		if !r.State.Yes() {
			s.m("; ready: ").t(r.State.String())
		}
		s.m(")")
	}
	if len(s.Report.Spares) == 0 {
		s.m("none")
	}
	s.m("</dd>")
	s.fittingLimits(p)
	s.m("</dl></section>")
}

// fittingLimits are the limits of fitting in force today, as written.
func (s *sheet) fittingLimits(p logbook.Position) {
	l := s.Book.LimitsOf(p.Engine)
	if l == nil {
		s.m("<dt>limits</dt><dd>the book states none for this engine</dd>")
		return
	}
	in, ok := l.On(s.today)
	if !ok {
		s.m("<dt>limits</dt><dd>no edition is in force</dd>")
		return
	}
	stated := func(name string, leaf logbook.Leaf, more string) {
		if !leaf.Stated() {
			return
		}
		s.m("<dt>").t(name).m("</dt><dd>").a(s.pages.line(leaf.Place), leaf.Written)
		if more != "" {
			s.m(", ").t(more)
		}
		if e, ok := l.EditionOf(leaf.Place); ok {
			s.m(` <span class="src">`).t(e.Source.Written).m("</span>")
		}
		s.m("</dd>")
	}
	steps := func(t logbook.TorqueLimits) string {
		var parts []string
		if t.Steps.Stated() {
			parts = append(parts, "in "+t.Steps.Written+" steps")
		}
		if t.Lubricant.Stated() {
			parts = append(parts, t.Lubricant.Written)
		}
		return strings.Join(parts, ", ")
	}
	stated("clamp nuts", in.ClampNuts.Torque.Leaf, steps(in.ClampNuts))
	stated("pipe nut", in.PipeNut.Torque.Leaf, steps(in.PipeNut))
	stated("protrusion", in.Protrusion.Leaf, "")
	stated("setting, used parts", in.Opening.Used.Leaf, "")
	stated("setting, new parts", in.Opening.New.Leaf, "")
}
