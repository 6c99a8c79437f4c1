package look

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"needlebook/logbook"
	"needlebook/site/page"
)

const (
	plotWidth, plotHeight                    = 420, 236
	plotLeft, plotRight, plotTop, plotBottom = 46.0, 410.0, 22.0, 202.0
	labelRoom                                = 64.0
	axisText                                 = 14.2 // size of the words on a chart, where they are largest: style.css
)

// chartID begins a chart: the id that its title and description go by.
func (p *pen) chartID() string {
	p.drawn++
	return "d" + strconv.Itoa(p.drawn)
}

// picture to a screen reader: the group with its title, and its description where it has one. The caller ends the
// group.
func (p *pen) titled(id, title, about string) {
	by := id + "t"
	if about != "" {
		by += " " + id + "d"
	}
	p.m(`<g role="img"`).attribute("aria-labelledby", by).m("><title").attribute("id", id+"t").m(">").t(title).
		m("</title>")
	if about != "" {
		p.m("<desc").attribute("id", id+"d").m(">").t(about).m("</desc>")
	}
}

// plot writes a plot. What it shows without the links is one picture to a screen reader, with a description; the
// points follow as links.
func (p *pen) plot(c *page.Plot) {
	one := *c
	within(&one)
	about := describe(&one)
	one.Others, one.Small = thinned(one.Others), thinned(one.Small)
	x, y := plotAxes(&one)
	p.m(`<svg class="plot" viewBox="0 0 `).i(plotWidth).m(` `).i(plotHeight).m(`">`)
	p.titled(p.chartID(), c.Title, about)
	p.grid(&one, x, y)
	p.ahead(one.Ahead, x, y)
	p.cloud("others", one.Others, x, y)
	p.cloud("small", one.Small, x, y)
	names := onPlot()
	for i := range one.Points {
		names.keepFree(x.at(one.Points[i].X), y.at(one.Points[i].Y))
	}
	p.limits(&one, x, y, names)
	p.curve("edge", one.Band[0], x, y)
	p.curve("edge", one.Band[1], x, y)
	p.curve("trend", one.Trend, x, y)
	p.periods(one.Periods, x, y)
	p.m("</g>")
	for i := range one.Points {
		d := &one.Points[i]
		p.point(d, x.at(d.X), y.at(d.Y), names)
	}
	p.m("</svg>")
}

// plotAxes are the axes that hold all that a plot shows.
func plotAxes(c *page.Plot) (x, y axis) {
	var xs, ys []float64
	for _, d := range c.Points {
		xs, ys = append(xs, d.X), append(ys, d.Y)
	}
	for _, b := range c.Bounds {
		xs, ys = append(xs, b.X), append(ys, b.Y)
	}
	for _, l := range c.Lines {
		for _, st := range l.Steps {
			ys = append(ys, st[1])
		}
	}
	for _, c := range c.Changes {
		xs = append(xs, c.X)
	}
	for _, several := range [][]page.XY{c.Others, c.Small, c.Trend, c.Band[0], c.Band[1]} {
		for _, at := range several {
			xs, ys = append(xs, at[0]), append(ys, at[1])
		}
	}
	for _, a := range c.Ahead {
		xs, ys = append(xs, a.X), append(ys, a.Low, a.High)
	}
	if c.Span[1] > c.Span[0] {
		xs = []float64{c.Span[0], c.Span[1]}
	}
	return newAxis(xs, plotLeft, plotRight, false), newAxis(ys, plotBottom, plotTop, c.Log)
}

// within leaves out what lies outside the stretch that several charts share.
func within(c *page.Plot) {
	if c.Span[1] <= c.Span[0] {
		return
	}
	out := func(x float64) bool { return x < c.Span[0]-1 || x > c.Span[1]+1 }
	c.Others = slices.DeleteFunc(slices.Clone(c.Others), func(v page.XY) bool { return out(v[0]) })
	c.Small = slices.DeleteFunc(slices.Clone(c.Small), func(v page.XY) bool { return out(v[0]) })
	c.Points = slices.DeleteFunc(slices.Clone(c.Points), func(d page.Point) bool { return out(d.X) })
	c.Changes = slices.DeleteFunc(slices.Clone(c.Changes), func(v page.Change) bool { return out(v.X) })
}

// thinned keeps a grey cloud of points within bounds.
func thinned(all []page.XY) []page.XY {
	if len(all) <= page.MostOthers {
		return all
	}
	kept := make([]page.XY, 0, page.MostOthers)
	for i := range page.MostOthers {
		kept = append(kept, all[i*len(all)/page.MostOthers])
	}
	return kept
}

// describe says in words what a plot shows.
func describe(c *page.Plot) string {
	text := logbook.Counted(len(c.Points)+len(c.Small), "value") + " in " + c.Unit + " over " + c.XUnit
	if c.Log {
		text += ", logarithmic scale"
	}
	drift := len(c.Band[0]) > 0
	switch {
	case drift:
		text += ", with the line through them and the band in which one more may fall"
	case len(c.Trend) > 0:
		text += ", with the curve that they are on"
	}
	if n := len(c.Others); n > 0 {
		text += ", beside " + strconv.Itoa(n) + " of " + c.OthersAre
	}
	if drift {
		return text + "; the numbers are in the table of drift above"
	}
	return text + "; the numbers are in the table below"
}

// cloud draws values that are no links.
func (p *pen) cloud(class markup, all []page.XY, x, y axis) {
	if len(all) == 0 {
		return
	}
	p.m(`<path class="`, class, `" d="`)
	for _, o := range all { // whole steps: a cloud shows where most lie
		p.m("M").i(int(x.at(o[0]) + 0.5)).m(" ").i(int(y.at(o[1]) + 0.5)).m("h0")
	}
	p.m(`"/>`)
}

// curve draws a line from point to point.
func (p *pen) curve(class markup, through []page.XY, x, y axis) {
	if len(through) == 0 {
		return
	}
	p.m(`<path class="`, class, `" d="M`)
	for i, at := range through {
		if i > 0 {
			p.m("L")
		}
		p.f(x.at(at[0])).m(" ").f(y.at(at[1]))
	}
	p.m(`"/>`)
}

// periods draws service periods, from how the valve was left to how it was found.
func (p *pen) periods(all [][2]page.XY, x, y axis) {
	if len(all) == 0 {
		return
	}
	p.m(`<path class="life" d="`)
	for _, l := range all {
		p.m("M").f(x.at(l[0][0])).m(" ").f(y.at(l[0][1])).m("L").f(x.at(l[1][0])).m(" ").f(y.at(l[1][1]))
	}
	p.m(`"/>`)
}

// ahead draws the band in which the next reading may fall.
func (p *pen) ahead(all []page.Ahead, x, y axis) {
	if len(all) == 0 {
		return
	}
	p.m(`<path class="ahead" d="M`)
	for i, a := range all {
		if i > 0 {
			p.m("L")
		}
		p.f(x.at(a.X)).m(" ").f(y.at(a.High))
	}
	for _, a := range slices.Backward(all) {
		p.m("L").f(x.at(a.X)).m(" ").f(y.at(a.Low))
	}
	p.m(`z"/>`)
}

func (p *pen) grid(c *page.Plot, x, y axis) {
	p.m(`<text x="2" y="12">`).t(c.Unit).m(`</text>`)
	p.m(`<path class="hair" d="`)
	yt, xt := y.ticks(5), x.ticks(5)
	for _, v := range yt {
		p.m("M").f(plotLeft).m(" ").f(y.at(v)).m("H").f(plotRight)
	}
	p.m(`"/>`)
	p.yTicks(y, yt)
	p.m(`<path class="base" d="M`).f(plotLeft).m(" ").f(plotBottom).m("H").f(plotRight)
	for _, v := range xt {
		p.m("M").f(x.at(v)).m(" ").f(plotBottom).m("v5")
	}
	p.m(`"/>`)
	for _, v := range xt {
		p.xTick(tickText(v, xt), x.at(v), plotWidth-1, plotBottom+17)
	}
	p.m(`<text class="x name" x="410" y="233">`).t(c.XUnit).m("</text>")
	p.changes(c.Changes, x)
}

// changes draws the changes of valves as vertical marks, with their words where there is room.
func (p *pen) changes(all []page.Change, x axis) {
	room := math.Inf(-1)
	for _, c := range all {
		at := x.at(c.X)
		p.m(`<path class="change" d="M`).f(at).m(" ").f(plotTop).m("V").f(plotBottom).m(`"/>`)
		if at-room >= labelRoom && at < plotRight-30 {
			p.m(`<text class="lab" x="`).f(at + 3).m(`" y="19">`).t(clippedTo(c.Words, 7)).m("</text>")
			room = at
		}
	}
}

// yTicks writes the values of ticks beside the y axis.
func (p *pen) yTicks(y axis, ticks []float64) {
	for _, v := range ticks {
		p.m(`<text class="y" x="42" y="`).f(y.at(v) + 4).m(`">`).t(tickText(v, ticks)).m("</text>")
	}
}

// xTick writes the value of a tick below the base line: in its middle, or where that would leave the sheet up to the
// edge.
func (p *pen) xTick(text string, at, edge, y float64) {
	class := markup("x")
	if half := textWidth(text, axisText) / 2; at+half > edge {
		class, at = "x name", edge
	}
	p.m(`<text class="`, class, `" x="`).f(at).m(`" y="`).f(y).m(`">`).t(text).m("</text>")
}

// tickText is a tick's value with as many decimals as the steps need.
func tickText(v float64, all []float64) string {
	decimals := 0
	if len(all) > 1 {
		step := smallest(all)
		for decimals < 4 && math.Abs(step*math.Pow10(decimals)-math.Round(step*math.Pow10(decimals))) > 1e-6 {
			decimals++
		}
	}
	if decimals == 0 && math.Abs(v) >= 10000 {
		return page.Grouped(int(math.Round(v)))
	}
	if v == 0 {
		v = 0 // no minus zero
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

func smallest(all []float64) float64 {
	step := math.Inf(1)
	for i := 1; i < len(all); i++ {
		step = min(step, all[i]-all[i-1])
	}
	return step
}

// limits draws the limits of the time: a dash at each value that was judged, and the steps of what holds for all.
func (p *pen) limits(c *page.Plot, x, y axis, names *labels) {
	if len(c.Bounds) > 0 {
		p.m(`<path class="bound" d="`)
		for _, b := range c.Bounds {
			at, h := x.at(b.X), y.at(b.Y)
			tick := 3.5
			if b.Upper {
				tick = -3.5
			}
			p.m("M").f(at - 6).m(" ").f(h - tick).m("v").f(tick).m("h12v").f(-tick)
		}
		p.m(`"/>`)
	}
	for _, l := range c.Lines {
		p.stepLine(l, x, y)
		if n := len(l.Steps); n > 0 {
			p.lineWords(l.Words, y.at(l.Steps[n-1][1]), names)
		}
	}
}

func (p *pen) stepLine(l page.StepLine, x, y axis) {
	p.m(`<path class="line" d="`)
	for i, st := range l.Steps {
		end := plotRight
		if i+1 < len(l.Steps) {
			end = min(end, x.at(l.Steps[i+1][0]))
		}
		if start := max(plotLeft, x.at(st[0])); end > start {
			p.m("M").f(start).m(" ").f(y.at(st[1])).m("H").f(end)
		}
	}
	p.m(`"/>`)
}

// lineWords writes what a line along the plot is, above it or, where there is no room, below; lines at one height one
// under another.
func (p *pen) lineWords(words string, y float64, names *labels) {
	const step = 15
	lines := inLines(words, 46)
	if len(lines) == 0 {
		return
	}
	widest := slices.MaxFunc(lines, func(a, b string) int {
		return cmp.Compare(textWidth(a, axisText),
			textWidth(b, axisText))
	})
	high := step * float64(len(lines)-1)
	var first, ends []float64 // heights at which the words may begin, and where they end
	var places []box
	for i := range 4 {
		for _, end := range []float64{plotRight - 2, plotLeft + 4 + textWidth(widest, axisText)} {
			for _, at := range []float64{y - 4 - high - step*float64(i), y + step + step*float64(i)} {
				b := boxAt(widest, axisText, end, at, true)
				b.bottom += high
				first, ends, places = append(first, at), append(ends, end), append(places, b)
			}
		}
	}
	i := names.take(places...)
	if i < 0 {
		return
	}
	for n, text := range lines {
		p.m(`<text class="lim" x="`).f(ends[i]).m(`" y="`).f(first[i] + step*float64(n)).m(`">`).t(text).m("</text>")
	}
}

// point draws one value as a link to its record.
func (p *pen) point(d *page.Point, x, y float64, names *labels) {
	end := p.link(d.To, d.Words)
	class := markup("left")
	if d.Found {
		class = "fnd"
	}
	switch d.Shape {
	case page.Square:
		p.m(`<path class="`, class, `" d="M`).f(x - 3.6).m(" ").f(y - 3.6).m(`h7.2v7.2h-7.2z"/>`)
	case page.Triangle:
		p.m(`<path class="`, class, `" d="M`).f(x).m(" ").f(y - 4.6).m(`l4.6 8.2h-9.2z"/>`)
	default:
		p.m(`<circle class="`, class, `" cx="`).f(x).m(`" cy="`).f(y).m(`" r="4"/>`)
	}
	if d.Beyond {
		p.m(`<path class="frame" d="M`).f(x).m(" ").f(y - 9).m(`l9 9-9 9-9-9z"/>`)
	}
	if d.Label != "" {
		p.pointName(clippedTo(d.Label, 12), x, y, names)
	}
	p.m(end)
}

// pointName writes the name of a point beside it: to its right, else to its left, else a line lower or higher.
func (p *pen) pointName(name string, x, y float64, names *labels) {
	const size, off = axisText, 7
	type place struct {
		x, y float64
		end  bool
	}
	var all []place
	var boxes []box
	for _, dy := range []float64{4, 13, -5} {
		for _, end := range []bool{false, true} {
			at := place{x + off, y + dy, end}
			if end {
				at.x = x - off
			}
			all, boxes = append(all, at), append(boxes, boxAt(name, size, at.x, at.y, end))
		}
	}
	i := names.take(boxes...)
	if i < 0 {
		return
	}
	class := markup("lab")
	if all[i].end {
		class = "lab name"
	}
	p.m(`<text class="`, class, `" x="`).f(all[i].x).m(`" y="`).f(all[i].y).m(`">`).t(name).m("</text>")
}
