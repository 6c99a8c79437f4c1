package site

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"needlebook/logbook"
)

// The grammar of every plot: what was found is hollow, what was left is solid; a disc is a used setting, a square a new one, a
// triangle a reground one; a value beyond its limit wears a frame. A service life is the thin line from how it was left to how it
// was found. Limits of the time are dashes with a closed end on the permitted side. Other cylinders or parts are grey.

// dot is one value on a plot.
type dot struct {
	x, y   float64
	found  bool // hollow: as found; otherwise as left
	shape  shape
	beyond bool
	to     ref
	words  string
	label  string // stands beside it; empty for none
}

type shape uint8

const (
	disc shape = iota
	square
	triangle
)

// bound is a limit as it held for one value: a dash at its height.
type bound struct {
	x, y  float64
	upper bool // values above it are beyond
}

// stepLine is a limit or threshold along the whole plot, as it changed.
type stepLine struct {
	words string
	steps [][2]float64 // from x on, value y
}

// plot is one drawing with its numbers.
type plot struct {
	title, unit, xUnit string
	log                bool
	dots               []dot
	lives              [][4]float64 // x, y as left to x, y as found
	bounds             []bound
	lines              []stepLine
	others             [][2]float64 // values of others, grey
	small              [][2]float64 // values of a series, too many to be links: they are in the table
	otherWords         string
	changes            []change        // vertical marks
	trend              [][2]float64    // a line drawn through the values
	band               [2][][2]float64 // edges in which one more value may fall
	ahead              []ahead         // where the next reading may fall
	span               [2]float64      // ends of the x axis, where several plots share one; both 0 where it goes by the values
	after              string          // words below the drawing
}

// change is a valve change on the x axis.
type change struct {
	x     float64
	words string
}

const (
	plotWidth, plotHeight                    = 420, 236
	plotLeft, plotRight, plotTop, plotBottom = 46.0, 410.0, 22.0, 202.0
	mostOthers                               = 140
	labelRoom                                = 52.0
)

// plot writes the drawing. What it shows without the links is one picture to a screen reader, with a description; the points
// follow as links. The caller writes the numbers beside it.
func (s *sheet) plot(p plot) {
	p = p.within()
	var xs, ys []float64
	for _, d := range p.dots {
		xs, ys = append(xs, d.x), append(ys, d.y)
	}
	for _, b := range p.bounds {
		xs, ys = append(xs, b.x), append(ys, b.y)
	}
	for _, l := range p.lines {
		for _, st := range l.steps {
			ys = append(ys, st[1])
		}
	}
	others, small := thinned(p.others), thinned(p.small)
	for _, cloud := range [][][2]float64{others, small} {
		for _, o := range cloud {
			xs, ys = append(xs, o[0]), append(ys, o[1])
		}
	}
	for _, c := range p.changes {
		xs = append(xs, c.x)
	}
	for _, curve := range [][][2]float64{p.trend, p.band[0], p.band[1]} {
		for _, at := range curve {
			xs, ys = append(xs, at[0]), append(ys, at[1])
		}
	}
	for _, a := range p.ahead {
		xs, ys = append(xs, a.x), append(ys, a.low, a.high)
	}
	if p.span[1] > p.span[0] {
		xs = []float64{p.span[0], p.span[1]}
	}
	x, y := newAxis(xs, plotLeft, plotRight, false), newAxis(ys, plotBottom, plotTop, p.log)
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<svg class="plot" viewBox="0 0 `).i(plotWidth).m(` `).i(plotHeight).m(`"><g role="img" aria-labelledby="`, id, `t `, id, `d"><title id="`, id, `t">`).t(p.title).m(`</title><desc id="`, id, `d">`).t(describe(p)).m(`</desc>`)
	s.grid(p, x, y)
	s.drawBand(p.ahead, x, y)
	s.cloud("others", others, x, y)
	s.cloud("small", small, x, y)
	names := onPlot()
	s.limits(p, x, y, names)
	s.curve("edge", p.band[0], x, y)
	s.curve("edge", p.band[1], x, y)
	s.curve("trend", p.trend, x, y)
	if len(p.lives) > 0 {
		s.m(`<path class="life" d="`)
		for _, l := range p.lives {
			s.m("M").f(x.at(l[0])).m(" ").f(y.at(l[1])).m("L").f(x.at(l[2])).m(" ").f(y.at(l[3]))
		}
		s.m(`"/>`)
	}
	s.m("</g>")
	for _, d := range p.dots {
		s.dot(d, x.at(d.x), y.at(d.y), names)
	}
	s.m("</svg>")
}

// within leaves out what lies outside the stretch that several drawings share.
func (p plot) within() plot {
	if p.span[1] <= p.span[0] {
		return p
	}
	out := func(x float64) bool { return x < p.span[0]-1 || x > p.span[1]+1 }
	p.others = slices.DeleteFunc(slices.Clone(p.others), func(v [2]float64) bool { return out(v[0]) })
	p.small = slices.DeleteFunc(slices.Clone(p.small), func(v [2]float64) bool { return out(v[0]) })
	p.dots = slices.DeleteFunc(slices.Clone(p.dots), func(d dot) bool { return out(d.x) })
	return p
}

// cloud draws values that are no links.
func (s *sheet) cloud(class markup, all [][2]float64, x, y axis) {
	if len(all) == 0 {
		return
	}
	s.m(`<path class="`, class, `" d="`)
	for _, o := range all {
		s.m("M").i(int(x.at(o[0]) + 0.5)).m(" ").i(int(y.at(o[1]) + 0.5)).m("h0") // whole steps: a cloud shows where most lie
	}
	s.m(`"/>`)
}

// curve draws a line from point to point.
func (s *sheet) curve(class markup, through [][2]float64, x, y axis) {
	if len(through) == 0 {
		return
	}
	s.m(`<path class="`, class, `" d="M`)
	for i, at := range through {
		if i > 0 {
			s.m("L")
		}
		s.f(x.at(at[0])).m(" ").f(y.at(at[1]))
	}
	s.m(`"/>`)
}

// describe says in words what a plot shows.
func describe(p plot) string {
	text := logbook.Counted(len(p.dots)+len(p.small), "value") + " in " + p.unit + " over " + p.xUnit
	if p.log {
		text += ", logarithmic scale"
	}
	if len(p.trend) > 0 {
		text += ", with the line through them and the band in which one more may fall"
	}
	if n := len(p.others); n > 0 {
		text += ", beside " + strconv.Itoa(n) + " of " + p.otherWords
	}
	if len(p.trend) > 0 {
		return text + "; the numbers stand in the table of drift above"
	}
	return text + "; the numbers stand in the table below"
}

// thinned keeps a grey cloud of points within bounds.
func thinned(all [][2]float64) [][2]float64 {
	if len(all) <= mostOthers {
		return all
	}
	kept := make([][2]float64, 0, mostOthers)
	for i := range mostOthers {
		kept = append(kept, all[i*len(all)/mostOthers])
	}
	return kept
}

func (s *sheet) grid(p plot, x, y axis) {
	s.m(`<text x="2" y="12">`).t(p.unit).m(`</text>`)
	s.m(`<path class="hair" d="`)
	yt, xt := y.ticks(5), x.ticks(5)
	for _, v := range yt {
		s.m("M").f(plotLeft).m(" ").f(y.at(v)).m("H").f(plotRight)
	}
	s.m(`"/>`)
	for _, v := range yt {
		s.m(`<text class="y" x="42" y="`).f(y.at(v) + 4).m(`">`).t(tickText(v, yt)).m("</text>")
	}
	s.m(`<path class="base" d="M`).f(plotLeft).m(" ").f(plotBottom).m("H").f(plotRight)
	for _, v := range xt {
		s.m("M").f(x.at(v)).m(" ").f(plotBottom).m("v5")
	}
	s.m(`"/>`)
	for _, v := range xt {
		s.xTick(tickText(v, xt), x.at(v), plotWidth-1, plotBottom+17)
	}
	s.m(`<text class="x name" x="410" y="233">`).t(p.xUnit).m("</text>")
	room := math.Inf(-1)
	for _, c := range p.changes {
		at := x.at(c.x)
		s.m(`<path class="change" d="M`).f(at).m(" ").f(plotTop).m("V").f(plotBottom).m(`"/>`)
		if at-room >= labelRoom && at < plotRight-30 {
			s.m(`<text class="chg" x="`).f(at + 3).m(`" y="19">`).t(clippedTo(c.words, 9)).m("</text>")
			room = at
		}
	}
}

// pointName writes the name of a point beside it: to its right, else to its left, else a line lower or higher.
func (s *sheet) pointName(name string, x, y float64, names *labels) {
	const size, off = 10.5, 7
	type place struct {
		x, y float64
		end  bool
	}
	var all []place
	var boxes []box
	for _, dy := range []float64{4, 13, -5} {
		for _, end := range []bool{false, true} {
			p := place{x + off, y + dy, end}
			if end {
				p.x = x - off
			}
			all, boxes = append(all, p), append(boxes, boxAt(name, size, p.x, p.y, end))
		}
	}
	i := names.take(boxes...)
	if i < 0 {
		return
	}
	class := markup("chg lab")
	if all[i].end {
		class = "chg lab name"
	}
	s.m(`<text class="`, class, `" x="`).f(all[i].x).m(`" y="`).f(all[i].y).m(`">`).t(name).m("</text>")
}

// xTick writes the value of a tick below the base line: in its middle, or where that would leave the sheet up to the edge.
func (s *sheet) xTick(text string, at, edge, y float64) {
	class := markup("x")
	if half := textWidth(text, 12.5) / 2; at+half > edge {
		class, at = "x name", edge
	}
	s.m(`<text class="`, class, `" x="`).f(at).m(`" y="`).f(y).m(`">`).t(text).m("</text>")
}

// tickText is a tick's value with as many decimals as the steps need.
func tickText(v float64, all []float64) string {
	decimals := 0
	if len(all) > 1 {
		for step := smallest(all); decimals < 4 && math.Abs(step*math.Pow10(decimals)-math.Round(step*math.Pow10(decimals))) > 1e-6; decimals++ {
		}
	}
	if decimals == 0 && math.Abs(v) >= 10000 {
		return grouped(int(math.Round(v)))
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
func (s *sheet) limits(p plot, x, y axis, names *labels) {
	if len(p.bounds) > 0 {
		s.m(`<path class="bound" d="`)
		for _, b := range p.bounds {
			at, h := x.at(b.x), y.at(b.y)
			tick := 3.5
			if b.upper {
				tick = -3.5
			}
			s.m("M").f(at - 6).m(" ").f(h - tick).m("v").f(tick).m("h12v").f(-tick)
		}
		s.m(`"/>`)
	}
	for _, l := range p.lines {
		s.m(`<path class="line" d="`)
		for i, st := range l.steps {
			end := plotRight
			if i+1 < len(l.steps) {
				end = x.at(l.steps[i+1][0])
			}
			start := max(plotLeft, x.at(st[0]))
			if end <= start {
				continue
			}
			s.m("M").f(start).m(" ").f(y.at(st[1])).m("H").f(end)
		}
		s.m(`"/>`)
		if n := len(l.steps); n > 0 {
			s.lineWords(l.words, y.at(l.steps[n-1][1]), names)
		}
	}
}

// lineWords writes what a line along the plot is, above it or, where there is no room, below; lines at one height one under another.
func (s *sheet) lineWords(words string, y float64, names *labels) {
	const size, end, step = 12.5, plotRight - 2, 13
	lines := inLines(words, 46)
	if len(lines) == 0 {
		return
	}
	widest := slices.MaxFunc(lines, func(a, b string) int { return cmp.Compare(textWidth(a, size), textWidth(b, size)) })
	high := step * float64(len(lines)-1)
	var first []float64 // heights at which the words may begin
	var places []box
	for i := range 4 {
		for _, at := range []float64{y - 4 - high - step*float64(i), y + step + step*float64(i)} {
			b := boxAt(widest, size, end, at, true)
			b.bottom += high
			first, places = append(first, at), append(places, b)
		}
	}
	i := names.take(places...)
	if i < 0 {
		return
	}
	for n, text := range lines {
		s.m(`<text class="lim" x="`).f(end).m(`" y="`).f(first[i] + step*float64(n)).m(`">`).t(text).m("</text>")
	}
}

// dot draws one value as a link to its record.
func (s *sheet) dot(d dot, x, y float64, names *labels) {
	if d.to != "" {
		s.m(`<a href="`, markup(d.to), `"><title>`).t(d.words).m("</title>")
	} else {
		s.m("<g><title>").t(d.words).m("</title>")
	}
	class := markup("left")
	if d.found {
		class = "fnd"
	}
	switch d.shape {
	case square:
		s.m(`<path class="`, class, `" d="M`).f(x - 3.6).m(" ").f(y - 3.6).m(`h7.2v7.2h-7.2z"/>`)
	case triangle:
		s.m(`<path class="`, class, `" d="M`).f(x).m(" ").f(y - 4.6).m(`l4.6 8.2h-9.2z"/>`)
	default:
		s.m(`<circle class="`, class, `" cx="`).f(x).m(`" cy="`).f(y).m(`" r="4"/>`)
	}
	if d.beyond {
		s.m(`<path class="frame" d="M`).f(x).m(" ").f(y - 9).m(`l9 9-9 9-9-9z"/>`)
	}
	if d.label != "" {
		s.pointName(clippedTo(d.label, 12), x, y, names)
	}
	if d.to != "" {
		s.m("</a>")
	} else {
		s.m("</g>")
	}
}
