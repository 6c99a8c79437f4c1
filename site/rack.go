package site

import (
	"slices"

	"needlebook/logbook"
)

// rack lists the valves that lie ready, with the age of their test.
func (s *sheet) rack() {
	spares := s.Report.Spares
	s.m(`<section><h2>Ready on the rack</h2>`)
	if len(spares) == 0 {
		s.m(`<p>No valve is booked as ready.</p></section>`)
		return
	}
	s.m(`<p class="tally"><b>`).i(s.readySpares()).m(`</b> ready</p>`)
	s.table("list", "valve", "nozzle", "place", "tested", "age of the test", "left at", "ready", "stands out")
	for _, r := range spares {
		s.m(`<tr><th scope="row">`).a(s.pages.holder[r.Holder], r.Holder).m("</th><td>").a(s.pages.nozzle[r.Nozzle], orDash(r.Nozzle)).m("</td><td>").t(orDash(r.Place)).m("</td><td>")
		if r.Overhaul != nil {
			s.a(s.pages.overhaul[r.Overhaul], r.Since.String())
		} else {
			s.t(r.Since.String()).m(" (opening state)")
		}
		s.m(`</td><td class="n">`).i(r.Age).m(` d</td><td class="n">`)
		if r.Overhaul != nil {
			s.t(figureText(r.Overhaul.AsLeft.Opening.Median().Leaf)).m("</td><td>").t(r.State.String()).m("</td><td>")
			s.gravestOf(r.Overhaul)
		} else {
			s.t(s.rackLeft(r.Holder)).m("</td><td>").t(r.State.String()).m("</td><td>–")
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

// readySpares is the number of valves that may be fitted as they lie.
func (s *site) readySpares() int {
	n := 0
	for _, r := range s.Report.Spares {
		if r.State.Yes() {
			n++
		}
	}
	return n
}

func (s *site) rackLeft(holder string) string {
	for _, r := range s.Book.Vessel.Opening.Rack {
		if r.Holder.Written == holder && r.Left.Stated() {
			return r.Left.String()
		}
	}
	return "–"
}

// recordsShown is how many records the first page lists.
const recordsShown = 12

// lastRecords are the newest overhauls.
func (s *sheet) lastRecords() {
	n := len(s.Book.Overhauls)
	s.m(`<section><h2>Newest overhauls</h2>`)
	if n == 0 {
		s.m("<p>The book holds none yet.</p></section>")
		return
	}
	newest := slices.Clone(s.Book.Overhauls[max(0, n-recordsShown):])
	slices.Reverse(newest)
	s.recordTable(newest)
	s.m("<p>").a(pageOverhauls, "All overhauls").m(" · ").a(pageRounds, "by round").m("</p></section>")
}

// recordTable lists overhauls in the order given.
func (s *sheet) recordTable(list []*logbook.Overhaul) {
	s.table("list", "date", "from", "valve", "to", "stands out", "done by", "who answers for it")
	for _, o := range list {
		s.recordRow(o)
	}
	s.m("</tbody></table></div>")
}

func (s *sheet) recordRow(o *logbook.Overhaul) {
	s.m(`<tr><th scope="row">`).a(s.pages.overhaul[o], o.Day().String()).m("</th><td>")
	if o.Removed.Stated() {
		s.a(s.pages.to(removedFrom(o)), removedFrom(o).String())
	} else {
		s.m("–")
	}
	s.m("</td><td>").a(s.pages.holder[o.Holder.Written], orDash(o.Holder.Written)).m("</td><td>")
	switch {
	case o.Fitted.Stated():
		s.a(s.pages.to(fittedTo(o)), fittedTo(o).String())
	case o.Racked.Stated():
		s.m("rack")
	default:
		s.m("–")
	}
	s.m("</td><td>")
	s.gravestOf(o)
	s.m("</td><td>").t(orDash(o.By.Written)).m("</td><td>")
	s.standing(o.Path)
	s.m("</td></tr>")
}

// limitsPage is the page of a limits file, by its name.
func (s *site) limitsPage(name string) ref {
	if l := s.Book.Limits[name]; l != nil {
		return s.pages.file[l.Path]
	}
	return ""
}
