package look

import "needlebook/site/page"

// The life of a part on one strip: rows of bars, then its readings, then its overhauls, over one axis of hours.
const (
	stripLeft                          = 100.0
	stripTop, stripRow, stripBar       = 26, 24, 20
	stripReadings, stripGap, stripWork = 84, 8, 24
)

// lifeStrip draws the life of a part.
func (p *pen) lifeStrip(c page.LifeStrip) {
	x := axis{low: c.Span[0], high: max(c.Span[1], c.Span[0]+1), from: stripLeft, to: sheetRight - 10}
	read := stripTop + len(c.Held)*stripRow + stripGap
	work := read
	if len(c.Points) > 0 {
		work += stripReadings + stripGap
	}
	foot := work + stripWork
	p.m(`<svg class="matrix sheet" viewBox="0 0 932 `).i(foot + 42).m(`">`)
	p.titled(p.chartID(), c.Of+" over its own running hours",
		"Its service periods, what was fitted with it, its readings and its overhauls, as the tables on its page.")
	p.stripGrid(c, x, work, foot)
	var y axis
	if len(c.Points) > 0 {
		y = p.stripScale(c, float64(read), x)
		p.periods(c.Periods, x, y)
	}
	p.m("</g>")
	for i := range c.Held {
		for j := range c.Held[i].Bars {
			p.sheetBar(&c.Held[i].Bars[j], x, stripTop+i*stripRow, stripBar)
		}
	}
	names := &labels{sheet: box{stripLeft, float64(read), sheetRight, float64(work)}}
	for i := range c.Points {
		p.point(&c.Points[i], x.at(c.Points[i].X), y.at(c.Points[i].Y), names)
	}
	p.stripWorks(c.Works, x, work+4)
	p.m("</svg>")
}

// stripGrid draws the names of the rows, the axis, the end of the part, and the place from which it is seen.
func (p *pen) stripGrid(c page.LifeStrip, x axis, work, foot int) {
	for i, r := range c.Held {
		p.m(`<text class="y" x="94" y="`).i(stripTop + i*stripRow + 15).m(`">`).t(clippedTo(r.Name, 9)).m("</text>")
	}
	p.m(`<text class="y" x="94" y="`).i(work + 17).m(`">overhauls</text><path class="base" d="M`).f(x.from).m(" ").i(foot).
		m("H").f(x.to)
	ticks := x.ticks(8)
	for _, v := range ticks {
		p.m("M").f(x.at(v)).m(" ").i(foot).m("v5")
	}
	p.m(`"/>`)
	for _, v := range ticks {
		p.xTick(tickText(v, ticks), x.at(v), 880, float64(foot+22))
	}
	p.m(`<text class="x name" x="930" y="`).i(foot + 22).m(`">h</text>`)
	for _, e := range c.End {
		p.m(`<path class="ok" d="M`).f(x.at(e.X)).m(" ").i(stripTop - 4).m("V").i(foot).m(`"/>`)
		p.stripWords(e.Words, x.at(e.X), float64(foot+40))
	}
	for _, h := range c.Here {
		p.m(`<path class="trend" d="M`).f(x.at(h.X)).m(" 18V").i(foot).m(`"/>`)
		p.stripWords(h.Words, x.at(h.X), 14)
	}
}

// stripWords writes words at a place of the axis, within the sheet.
func (p *pen) stripWords(words string, at, y float64) {
	class := markup("lab")
	if at+textWidth(words, matrixText) > sheetRight {
		class = "lab name"
	}
	p.m(`<text class="`, class, `" x="`).f(at).m(`" y="`).f(y).m(`">`).t(words).m("</text>")
}

// stripScale draws the lines of the readings' own axis, and gives it.
func (p *pen) stripScale(c page.LifeStrip, top float64, x axis) axis {
	var values []float64
	for _, d := range c.Points {
		values = append(values, d.Y)
	}
	y := newAxis(values, top+stripReadings-8, top+8, false)
	ticks := y.ticks(3)
	p.m(`<path class="hair" d="`)
	for _, v := range ticks {
		p.m("M").f(x.from).m(" ").f(y.at(v)).m("H").f(x.to)
	}
	p.m(`"/>`)
	for i, v := range ticks {
		words := tickText(v, ticks)
		if i == len(ticks)-1 {
			words += " " + c.Unit
		}
		p.m(`<text class="y" x="94" y="`).f(y.at(v) + 5).m(`">`).t(words).m("</text>")
	}
	return y
}

// stripWorks draws the overhauls as links, with a frame behind those that have pictures. Of two at one place the later
// is beside the earlier.
func (p *pen) stripWorks(all []page.Work, x axis, top int) {
	free := 0.0
	for _, o := range all {
		at := min(max(x.at(o.X)-4, free), x.to-4)
		free = at + 10
		p.m("<a").attribute("href", string(o.To)).m("><title>").t(o.Words).m("</title>")
		if o.Pictures {
			p.m(`<path class="bar" d="M`).f(at - 1.5).m(" ").i(top - 1).m(`h11v16h-11z"/>`)
		}
		p.m(`<path class="notch" d="M`).f(at + 1.5).m(" ").i(top + 2).m(`h5v10h-5z"/></a>`)
	}
}
