package look

import "needlebook/site/page"

// The sheet of an engine over its hours.
const (
	sheetLeft, sheetRight = 66.0, 928.0
	heldTop, heldRow      = 22, 22
	cylinderRow           = 30
)

// engineSheet draws an engine over its hours: what held for all of it above, the service periods of its cylinders
// below, bands behind them, and lines where the counter was replaced.
func (p *pen) engineSheet(c page.EngineSheet) {
	x := axis{low: c.Span[0], high: max(c.Span[1], c.Span[0]+1), from: sheetLeft, to: sheetRight}
	top := heldTop + len(c.Held)*heldRow + 8
	foot := top + len(c.Rows)*cylinderRow + 4
	p.m(`<svg class="matrix sheet" viewBox="0 0 932 `).i(foot + 48).m(`">`)
	p.titled(p.chartID(), c.Engine+" over its running hours",
		"A row a cylinder, with its service periods; above them fuel, limits, trials and gauges. "+
			"All of it is in the table below.")
	p.sheetGrid(c, x, top, foot)
	p.m("</g>")
	for i := range c.Held {
		for j := range c.Held[i].Bars {
			p.sheetBar(&c.Held[i].Bars[j], x, heldTop+i*heldRow, heldRow-4)
		}
	}
	for i := range c.Rows {
		for j := range c.Rows[i].Bars {
			p.sheetBar(&c.Rows[i].Bars[j], x, top+i*cylinderRow, cylinderRow-6)
		}
	}
	p.m("</svg>")
}

// sheetGrid draws what lies behind the bars: bands, years, replaced counters, names of the rows, and the axis.
func (p *pen) sheetGrid(c page.EngineSheet, x axis, top, foot int) {
	for _, b := range c.Behind {
		from, end := x.at(max(b.From, c.Span[0])), x.at(min(b.To, c.Span[1]))
		p.m(`<rect class="normal" x="`).f(from).m(`" y="`).i(top - 4).m(`" width="`).f(max(end-from, 1)).m(`" height="`).
			i(foot - top + 4).m(`"/>`)
	}
	p.m(`<path class="change" d="`)
	for _, y := range c.Years {
		p.m("M").f(x.at(y.X)).m(" 16V").i(foot)
	}
	p.m(`"/>`)
	names := &labels{sheet: box{sheetLeft - 4, 0, sheetRight + 4, float64(foot + 48)}}
	for _, y := range c.Years {
		p.sheetWords(y.Words, x.at(y.X)+2, 13, names)
	}
	for _, n := range c.Counters {
		p.m(`<path class="counter" d="M`).f(x.at(n.X)).m(" 16V").i(foot + 4).m(`"/>`)
		p.sheetWords(n.Words, x.at(n.X)+3, float64(foot+18), names)
	}
	for i, r := range c.Held {
		for j := range r.Bars {
			if b := &r.Bars[j]; b.Heavy {
				p.sheetWords(b.Name, max(x.at(b.From), sheetLeft), float64(foot+18), names)
			}
		}
		p.m(`<text class="y" x="60" y="`).i(heldTop + i*heldRow + 14).m(`">`).t(clippedTo(r.Name, 6)).m("</text>")
	}
	for i, r := range c.Rows {
		p.m(`<text class="y lab" x="60" y="`).i(top + i*cylinderRow + 17).m(`">`).t(clippedTo(r.Name, 6)).m("</text>")
	}
	p.m(`<path class="base" d="M`).f(sheetLeft).m(" ").i(foot).m("H").f(sheetRight)
	ticks := x.ticks(8)
	for _, v := range ticks {
		p.m("M").f(x.at(v)).m(" ").i(foot).m("v5")
	}
	p.m(`"/>`)
	for _, v := range ticks {
		p.xTick(tickText(v, ticks), x.at(v), 880, float64(foot+36)) // "h" is at the end
	}
	p.m(`<text class="x name" x="930" y="`).i(foot + 36).m(`">h</text>`)
}

// sheetWords writes words where they have room.
func (p *pen) sheetWords(words string, x, y float64, names *labels) {
	if names.take(boxAt(words, matrixText, x, y, false)) == 0 {
		p.m(`<text x="`).f(x).m(`" y="`).f(y).m(`">`).t(words).m("</text>")
	}
}

// sheetBar draws a bar as a link: with a notch where the valve was pulled for a symptom, with a lozenge where something
// was found beyond its limit, and with its name where it has room.
func (p *pen) sheetBar(b *page.Bar, x axis, top, high int) {
	from, end := max(x.at(b.From), x.from), min(x.at(b.To), x.to)
	if end < from {
		return
	}
	shut := p.barLink(b)
	p.m(`<rect class="`, barClass(b), `" x="`).f(from).m(`" y="`).i(top).m(`" width="`).f(max(end-from, 1.5)).
		m(`" height="`).i(high).m(`"/>`)
	middle, room := top+high/2, end
	if b.Pulled {
		p.m(`<path class="notch" d="M`).f(end).m(" ").i(top).m(`l-6 `).i(high / 2).m(` 6 `).i(high / 2).m(`z"/>`)
		room -= 8
	}
	if b.Beyond {
		p.m(`<path class="val out" d="M`).f(room - 6).m(" ").i(middle - 5).m(`l5 5-5 5-5-5z"/>`)
		room -= 13
	}
	if room-from > textWidth(b.Name, axisText)+4 {
		p.m(`<text class="lab" x="`).f(from + 4).m(`" y="`).i(middle + 5).m(`">`).t(b.Name).m("</text>")
	}
	p.m(shut)
}
