package site

import (
	"strconv"
	"time"

	"needlebook/logbook"
)

const (
	stripLeft, stripRight = 42.0, 416.0
	stripRow              = 26
	mostYears             = 40
)

// strip draws the valves of a position over calendar time, one row a year: each stay is a bar with its holder, a valve pulled for a
// symptom ends in a notch, and an empty cylinder leaves a gap.
func (s *sheet) strip(stays []*logbook.Stay) {
	from := firstFitted(stays)
	if from == 0 {
		return
	}
	first, last := from.Time().Year(), s.today.Time().Year()
	if end := stays[len(stays)-1].To; end != 0 {
		last = end.Time().Year()
	}
	if first < last-mostYears {
		first = last - mostYears
	}
	height := (last-first+1)*stripRow + 18
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<section><h2>Which valve, when</h2><div class="with"><svg class="strip" viewBox="0 0 420 `).i(height).m(`"><g role="img" aria-labelledby="`, id, `t `, id, `d"><title id="`, id, `t">Valves in this cylinder by year</title><desc id="`, id, `d">One row a year; the same stays stand in the table.</desc><path class="hair" d="`)
	for month := range 13 {
		s.m("M").f(stripLeft + float64(month)*(stripRight-stripLeft)/12).m(" 14V").i(height - 4)
	}
	s.m(`"/>`)
	for i, m := range [...]markup{"J", "F", "M", "A", "M", "J", "J", "A", "S", "O", "N", "D"} {
		s.m(`<text class="x" x="`).f(stripLeft+(float64(i)+0.5)*(stripRight-stripLeft)/12).m(`" y="10">`, m, `</text>`)
	}
	for y := first; y <= last; y++ {
		s.m(`<text class="y" x="36" y="`).i(14 + (y-first)*stripRow + 17).m(`">`).i(y).m("</text>")
	}
	s.m("</g>")
	for n, stay := range stays {
		s.stayBars(stay, n, first, last)
	}
	s.m("</svg><div>")
	s.stayTable(stays)
	s.m("</div></div></section>")
}

// hoursStrip draws the same valves over the engine's hours, on the axis that the drawings below it share.
func (s *sheet) hoursStrip(p logbook.Position, lives []life, span [2]float64) {
	if len(lives) == 0 {
		return
	}
	x := newAxis([]float64{span[0], span[1]}, plotLeft, plotRight, false)
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<figure class="over"><figcaption>valves of cylinder `).t(p.String()).m(` over the engine's hours</figcaption><svg class="plot" viewBox="0 0 420 62"><g role="img" aria-labelledby="`, id, `t"><title id="`, id, `t">valves over the engine's hours; the same stays stand in the table of the years</title><path class="base" d="M46 40H410`)
	ticks := x.ticks(5)
	for _, v := range ticks {
		s.m("M").f(x.at(v)).m(" 40v5")
	}
	s.m(`"/>`)
	for _, v := range ticks {
		s.xTick(tickText(v, ticks), x.at(v), plotWidth-1, 57)
	}
	s.m("</g>")
	room := plotLeft
	for n, l := range lives {
		to := s.pages.holder[l.Holder]
		if l.Closed != nil {
			to = s.pages.overhaul[l.Closed]
		}
		if to == "" {
			continue
		}
		class := markup("bar")
		if n%2 == 1 {
			class = "bar odd"
		}
		from, end := x.at(l.from), x.at(l.to)
		s.m(`<a href="`, markup(to), `"><title>`).t(l.Holder+" with "+orDash(l.Nozzle)+", "+hours(l.from)+" to "+hours(l.to)).m(`</title><rect class="`, class, `" x="`).f(from).m(`" y="18" width="`).f(max(end-from, 1.5)).m(`" height="18"/>`)
		if l.Closed != nil && l.Closed.Removed.Reason.Is("symptom") {
			s.m(`<path class="notch" d="M`).f(end).m(` 18l-6 9 6 9z"/>`)
		}
		if from >= room {
			s.m(`<text class="chg lab" x="`).f(from + 2).m(`" y="14">`).t(clippedTo(l.Holder, 9)).m("</text>")
			room = from + labelRoom
		}
		s.m("</a>")
	}
	s.m("</svg></figure>")
}

// stayBars draws one stay, broken at the turn of each year.
func (s *sheet) stayBars(stay *logbook.Stay, n, first, last int) {
	end := stay.To
	if end == 0 {
		end = s.today
	}
	to := s.pages.holder[stay.Holder]
	if stay.Closed != nil {
		to = s.pages.overhaul[stay.Closed]
	}
	if to == "" || stay.From == 0 {
		return
	}
	words := stay.Holder + " with " + orDash(stay.Nozzle) + ", " + stay.From.String() + " to " + stay.To.String()
	s.m(`<a href="`, markup(to), `"><title>`).t(words).m(`</title>`)
	labelled := false
	for y := max(first, stay.From.Time().Year()); y <= min(last, end.Time().Year()); y++ {
		from, upto := stripLeft, stripRight
		if y == stay.From.Time().Year() {
			from = inYear(stay.From)
		}
		if y == end.Time().Year() {
			upto = inYear(end)
		}
		width := max(upto-from, 1.5)
		top := 14 + (y-first)*stripRow + 4
		class := markup("bar")
		if n%2 == 1 {
			class = "bar odd"
		}
		s.m(`<rect class="`, class, `" x="`).f(from).m(`" y="`).i(top).m(`" width="`).f(width).m(`" height="18"/>`)
		if y == end.Time().Year() && stay.Closed != nil && stay.Closed.Removed.Reason.Is("symptom") {
			s.m(`<path class="notch" d="M`).f(upto).m(" ").i(top).m(`l-6 9 6 9z"/>`)
		}
		if room := textWidth(stay.Holder, 12.5) + 6; !labelled && width > room {
			s.m(`<text class="lab" x="`).f(from + 4).m(`" y="`).i(top + 13).m(`">`).t(stay.Holder).m("</text>")
			labelled = true
		}
	}
	s.m("</a>")
}

func inYear(d logbook.Day) float64 {
	t := d.Time()
	first := time.Date(t.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	next := time.Date(t.Year()+1, 1, 1, 0, 0, 0, 0, time.UTC)
	return stripLeft + float64(t.Sub(first))/float64(next.Sub(first))*(stripRight-stripLeft)
}

// stayTable lists the stays of the strip, the newest first.
func (s *sheet) stayTable(stays []*logbook.Stay) {
	s.table("list", "from", "to", "holder", "nozzle", "ran", "pulled for")
	for i := len(stays) - 1; i >= 0; i-- {
		stay := stays[i]
		s.m("<tr><td>").t(stay.From.String()).m("</td><td>")
		if stay.To == 0 {
			s.m("sits there")
		} else {
			s.t(stay.To.String())
		}
		s.m("</td><td>").a(s.pages.holder[stay.Holder], orDash(stay.Holder)).m("</td><td>").a(s.pages.nozzle[stay.Nozzle], orDash(stay.Nozzle)).m(`</td><td class="n">`)
		if stay.HoursKnown {
			s.t(hours(stay.Hours))
		} else {
			s.m("not known")
		}
		s.m("</td><td>")
		if stay.Closed != nil {
			s.a(s.pages.overhaul[stay.Closed], orDash(stay.Closed.Removed.Reason.Written))
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div>")
}
