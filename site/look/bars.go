package look

import (
	"time"

	"needlebook/logbook"
	"needlebook/site/page"
)

const (
	yearLeft, yearRight = 42.0, 416.0 // the ends of a year
	yearRow             = 26
	yearTop             = 14
)

var monthLetters = [...]markup{"J", "F", "M", "A", "M", "J", "J", "A", "S", "O", "N", "D"}

// years draws the valves of a cylinder over calendar time, one row a year: each is a bar with its holder, a valve
// pulled for a symptom ends in a notch, and an empty cylinder leaves a gap.
func (p *pen) years(c page.Years) {
	height := (c.Last-c.First+1)*yearRow + 18
	p.m(`<svg class="strip" viewBox="0 0 420 `).i(height).m(`">`)
	p.titled(p.chartID(), "Valves in this cylinder by year",
		"One row a year; the same service periods are in the table.")
	p.m(`<path class="hair" d="`)
	month := func(n float64) float64 { return yearLeft + n*(yearRight-yearLeft)/12 }
	for n := range 13 {
		p.m("M").f(month(float64(n))).m(" 14V").i(height - 4)
	}
	p.m(`"/>`)
	for i, m := range monthLetters {
		p.m(`<text class="x" x="`).f(month(float64(i)+0.5)).m(`" y="10">`, m, `</text>`)
	}
	for y := c.First; y <= c.Last; y++ {
		p.m(`<text class="y" x="36" y="`).i(yearTop + (y-c.First)*yearRow + 17).m(`">`).i(y).m("</text>")
	}
	p.m("</g>")
	for i := range c.Bars {
		p.inYears(&c.Bars[i], c.First, c.Last)
	}
	p.m("</svg>")
}

// inYears draws one bar, broken at the turn of each year.
func (p *pen) inYears(b *page.Bar, first, last int) {
	begin, end := logbook.Day(b.From), logbook.Day(b.To)
	shut := p.barLink(b)
	labelled := false
	for y := max(first, begin.Time().Year()); y <= min(last, end.Time().Year()); y++ {
		from, upto := yearLeft, yearRight
		if y == begin.Time().Year() {
			from = inYear(begin)
		}
		ends := y == end.Time().Year()
		if ends {
			upto = inYear(end)
		}
		width := max(upto-from, 1.5)
		top := yearTop + (y-first)*yearRow + 4
		p.m(`<rect class="`, barClass(b), `" x="`).f(from).m(`" y="`).i(top).m(`" width="`).f(width).m(`" height="18"/>`)
		if ends && b.Pulled {
			p.m(`<path class="notch" d="M`).f(upto).m(" ").i(top).m(`l-6 9 6 9z"/>`)
		}
		if room := textWidth(b.Name, axisText) + 6; !labelled && width > room {
			p.m(`<text class="lab" x="`).f(from + 4).m(`" y="`).i(top + 13).m(`">`).t(b.Name).m("</text>")
			labelled = true
		}
	}
	p.m(shut)
}

func (p *pen) barLink(b *page.Bar) markup { return p.link(b.Page, b.Words) }

// link begins what leads to a page and says in words what it is, and gives its end. Of what does neither, nothing is
// written.
func (p *pen) link(to page.Ref, words string) (end markup) {
	switch {
	case to != "":
		p.m("<a").attribute("href", string(to)).m(">")
		end = "</a>"
	case words != "":
		p.m("<g>")
		end = "</g>"
	default:
		return ""
	}
	p.m("<title>").t(words).m("</title>")
	return end
}

func barClass(b *page.Bar) markup {
	switch {
	case b.Heavy:
		return "bar heavy"
	case b.Odd:
		return "bar odd"
	}
	return "bar"
}

// inYear is the place of a day in the row of its year.
func inYear(d logbook.Day) float64 {
	t := d.Time()
	first := time.Date(t.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	next := time.Date(t.Year()+1, 1, 1, 0, 0, 0, 0, time.UTC)
	return yearLeft + float64(t.Sub(first))/float64(next.Sub(first))*(yearRight-yearLeft)
}

// overHours draws the valves of a cylinder over the engine's hours, on the axis that the plots below it share.
func (p *pen) overHours(c page.OverHours) {
	x := newAxis([]float64{c.Span[0], c.Span[1]}, plotLeft, plotRight, false)
	p.m(`<svg class="plot" viewBox="0 0 420 62">`)
	p.titled(p.chartID(), "valves over the engine's hours; the same service periods are in the table of the years", "")
	p.m(`<path class="base" d="M46 40H410`)
	ticks := x.ticks(5)
	for _, v := range ticks {
		p.m("M").f(x.at(v)).m(" 40v5")
	}
	p.m(`"/>`)
	for _, v := range ticks {
		p.xTick(tickText(v, ticks), x.at(v), plotWidth-1, 57)
	}
	p.m("</g>")
	room := plotLeft
	for i := range c.Bars {
		b := &c.Bars[i]
		from, end := x.at(b.From), x.at(b.To)
		shut := p.barLink(b)
		p.m(`<rect class="`, barClass(b), `" x="`).f(from).m(`" y="18" width="`).f(max(end-from, 1.5)).m(`" height="18"/>`)
		if b.Pulled {
			p.m(`<path class="notch" d="M`).f(end).m(` 18l-6 9 6 9z"/>`)
		}
		if from >= room {
			p.m(`<text class="lab" x="`).f(from + 2).m(`" y="14">`).t(clippedTo(b.Name, 7)).m("</text>")
			room = from + labelRoom
		}
		p.m(shut)
	}
	p.m("</svg>")
}

const (
	matrixText              = 16.2 // size of its words, where they are largest
	matrixLeft, matrixRight = 40.0, 928.0
	matrixRow               = 26
)

// matrix draws the valves of an engine, a row a cylinder, over time.
func (p *pen) matrix(c page.Matrix) {
	x := axis{low: c.From, high: max(c.Today, c.From+1), from: matrixLeft, to: matrixRight}
	height := len(c.Rows)*matrixRow + 26
	p.m(`<svg class="matrix" viewBox="0 0 932 `).i(height).m(`">`)
	p.titled(p.chartID(), "valves of "+c.Engine+" by cylinder and time; each cylinder's page lists them", "")
	p.matrixYears(c, x, height)
	for i, r := range c.Rows {
		p.m(`<text class="y" x="34" y="`).i(i*matrixRow + 20).m(`">`).t(clippedTo(r.Name, 5)).m("</text>")
	}
	p.m("</g>")
	for i := range c.Rows {
		for j := range c.Rows[i].Bars {
			p.inMatrix(&c.Rows[i].Bars[j], x, i*matrixRow)
		}
	}
	p.m("</svg>")
}

// matrixYears draws the turn of each year, and names the years.
func (p *pen) matrixYears(c page.Matrix, x axis, height int) {
	from, until := logbook.Day(c.From), logbook.Day(c.Today)
	p.m(`<path class="hair" d="`)
	for y := from.Time().Year(); y <= until.Time().Year(); y++ {
		if d := logbook.NewDay(y, 1, 1); d >= from {
			p.m("M").f(x.at(float64(d))).m(" 4V").i(height - 18)
		}
	}
	p.m(`"/>`)
	for y := from.Time().Year(); y <= until.Time().Year(); y++ {
		if at := x.at(float64(max(logbook.NewDay(y, 1, 1), from))); at < matrixRight-30 {
			p.m(`<text x="`).f(at + 2).m(`" y="`).i(height - 6).m(`">`).i(y).m("</text>")
		}
	}
}

func (p *pen) inMatrix(b *page.Bar, x axis, top int) {
	from, end := x.at(b.From), x.at(b.To)
	shut := p.barLink(b)
	p.m(`<rect class="`, barClass(b), `" x="`).f(from).m(`" y="`).i(top + 6).m(`" width="`).f(max(end-from, 1.5)).
		m(`" height="20"/>`)
	if b.Pulled {
		p.m(`<path class="notch" d="M`).f(end).m(" ").i(top + 6).m(`l-6 10 6 10z"/>`)
	}
	if end-from > textWidth(b.Name, matrixText)+6 {
		p.m(`<text class="lab" x="`).f(from + 4).m(`" y="`).i(top + 20).m(`">`).t(b.Name).m("</text>")
	}
	p.m(shut)
}
