package look

import (
	"strconv"

	"needlebook/site/page"
)

const (
	roundLeft, roundRight, roundEdge = 150.0, 620.0, 632
	roundRow, roundTop               = 17, 26
)

// rounds draws differences, a row a round, on the band of what is normal.
func (p *pen) rounds(c page.Rounds) {
	values := []float64{0}
	for _, r := range c.Rows {
		for _, d := range r.Points {
			values = append(values, d.X)
		}
	}
	x := newAxis(values, roundLeft, roundRight, false)
	height := roundTop + len(c.Rows)*roundRow + 24
	p.m(`<svg class="plot rounds" viewBox="0 0 632 `).i(height).m(`">`)
	p.titled(p.chartID(), "opening pressure as found less as left, round by round, "+c.Setting+
		" settings; the numbers are in the table below", "")
	p.roundBand(c, x)
	p.m(`<path class="base" d="M`).f(x.at(0)).m(" ").i(roundTop - 4).m("V").i(roundTop + len(c.Rows)*roundRow).m(`"/>`)
	ticks := x.ticks(6)
	for _, v := range ticks {
		p.xTick(tickText(v, ticks), x.at(v), 600, float64(height-6)) // "bar" stands at the end
	}
	p.m(`<text class="x name" x="628" y="`).i(height - 6).m(`">bar</text>`)
	for i, r := range c.Rows {
		y := roundMiddle(i)
		p.m(`<path class="hair" d="M150 `).i(y).m(`H620"/><text class="y" x="144" y="`).i(y + 4).m(`">`)
		p.t(clippedTo(r.Name, 19)).m("</text>")
	}
	p.m("</g>")
	names := &labels{sheet: box{roundLeft, 0, roundEdge - 2, float64(height)}}
	for i, r := range c.Rows {
		for _, d := range r.Points {
			names.keepFree(x.at(d.X), float64(roundMiddle(i)))
		}
	}
	for i, r := range c.Rows {
		for j := range r.Points {
			p.point(&r.Points[j], x.at(r.Points[j].X), float64(roundMiddle(i)), names)
		}
	}
	p.m(`</svg>`)
}

// roundMiddle is the height of a row of rounds.
func roundMiddle(row int) int { return roundTop + row*roundRow + roundRow/2 }

// roundBand draws the band of what is normal behind all rows.
func (p *pen) roundBand(c page.Rounds, x axis) {
	if !c.Normal.Known {
		return
	}
	low, high := c.Normal.Ends()
	p.m(`<rect class="normal" x="`).f(x.at(low)).m(`" y="`).i(roundTop - 4).m(`" width="`).f(x.at(high) - x.at(low))
	p.m(`" height="`).i(len(c.Rows)*roundRow + 4).m(`"/><text class="x" x="`).f(x.at(c.Normal.Median)).
		m(`" y="14">normal</text>`)
}

// differences draws those of one round and setting, a column a valve.
func (p *pen) differences(c page.Differences) {
	const room, edge = 2.4, plotRight - plotLeft // times the spread to either side
	values := []float64{0, c.Normal.Median - room*c.Normal.Spread, c.Normal.Median + room*c.Normal.Spread}
	for _, d := range c.Points {
		values = append(values, d.Y)
	}
	y := newAxis(values, plotBottom, plotTop, false)
	p.m(`<svg class="plot" viewBox="0 0 420 236">`)
	p.titled(p.chartID(), "as found less as left, "+c.Setting+" setting",
		strconv.Itoa(len(c.Points))+" valves; the numbers are in the table below")
	low, high := c.Normal.Ends()
	top, bottom := y.at(high), y.at(low)
	p.m(`<rect class="normal" x="46" width="364" y="`).f(top).m(`" height="`).f(bottom - top).
		m(`"/><path class="hair" d="M46 `)
	p.f(y.at(c.Normal.Median)).m(`H410"/><path class="base" d="M46 `).f(y.at(0)).m(`H410"/>`)
	p.yTicks(y, y.ticks(5))
	p.m(`<text x="2" y="12">bar</text>`)
	column := func(n float64) float64 { return plotLeft + edge/float64(len(c.Columns))*(n+0.5) }
	names := &labels{sheet: box{0, 0, plotWidth, plotHeight}}
	for i, name := range c.Columns {
		name, at := clippedTo(name, 6), column(float64(i))
		half := textWidth(name, axisText) / 2
		if names.take(box{at - half, 209, at + half, 221}) == 0 {
			p.m(`<text class="x" x="`).f(at).m(`" y="219">`).t(name).m("</text>")
		}
	}
	p.m("</g>")
	for i := range c.Points {
		d := &c.Points[i]
		p.point(d, column(d.X), y.at(d.Y), nil)
	}
	p.m("</svg>")
}
