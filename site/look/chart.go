package look

import (
	"fmt"
	"math"

	"needlebook/site/page"
)

// chart appends a chart, or what belongs to charts.
func (p *pen) chart(b page.Block) {
	switch b := b.(type) {
	case *page.Charted:
		p.charted(b)
	case page.Legend:
		p.legend(b)
	case *page.Plot:
		p.plot(b)
	case page.Years:
		p.years(b)
	case page.OverHours:
		p.overHours(b)
	case page.Matrix:
		p.matrix(b)
	case page.ValveCut:
		p.valveCut(b)
	case page.EngineSheet:
		p.engineSheet(b)
	case page.LifeStrip:
		p.lifeStrip(b)
	case page.Rounds:
		p.rounds(b)
	case page.Differences:
		p.differences(b)
	case page.Scale:
		p.scale(b)
	case page.Share:
		p.share(b)
	case page.Part:
		p.m(scaleHead, `<path class="ok" d="M2 8h`)
		p.f(scaleRoom * b.Of).m(`"/></svg>`)
	default:
		panic(fmt.Sprintf("look: no way to show %T", b))
	}
}

func (p *pen) charted(c *page.Charted) {
	p.m("<figure")
	if c.Over {
		p.m(` class="over"`)
	}
	p.m("><figcaption>").t(c.Caption).m("</figcaption>")
	if c.Wide {
		p.m(`<div class="wide" tabindex="0">`)
	}
	if c.Chart != nil {
		p.block(c.Chart)
	}
	if c.Wide {
		p.m("</div>")
	}
	p.blocks(c.Blocks).m("</figure>")
}

// legend explains the marks once, in words and shapes.
func (p *pen) legend(l page.Legend) {
	p.m(`<p class="legend">`)
	for _, l := range []struct{ shape, words markup }{
		{`<circle class="fnd" cx="8" cy="6" r="4"/>`, "as found"},
		{`<circle class="left" cx="8" cy="6" r="4"/>`, "as left, used setting"},
		{`<path class="left" d="M4 2h8v8H4z"/>`, "new setting"},
		{`<path class="left" d="M8 1l5 9H3z"/>`, "reground"},
		{`<path class="frame" d="M8 .5L14 6l-6 5.5L2 6z"/>`, "beyond its limit"},
		{`<path class="bound" d="M2 3.5V7h12V3.5"/>`, "limit that held"},
		{`<path class="life" d="M1 3l14 6"/>`, "one service life"},
		{`<path class="ahead" d="M2 3l12-2v10l-12-4z"/>`, "19 of 20 next readings"},
	} {
		p.m(`<span>`, markHead, l.shape, markFoot, l.words, `</span> `)
	}
	if l.Others != "" {
		p.m(`<span>`, markHead, `<path class="others" d="M8 6h0"/>`, markFoot).t(l.Others).m("</span>")
	}
	p.m("</p>")
}

// A scale in a table: where its line begins, how long it is, and where it ends.
const (
	scaleStart, scaleRoom = 2.0, 92.0
	scaleLeft, scaleRight = 4.0, 92.0
)

const scaleHead markup = `<svg class="ruler" viewBox="0 0 96 16" aria-hidden="true"><path class="hair" d="M2 8h92"/>`

// scale draws where a value stands against its limit: a thin line, the permitted stretch of it thick and closed by a
// tick where there is a limit, the value as the mark of its verdict, and its uncertainty as a bar.
func (p *pen) scale(c page.Scale) {
	from, to := stretch(c)
	x := func(y float64) float64 {
		return min(scaleRight, max(scaleLeft, scaleLeft+(y-from)/(to-from)*(scaleRight-scaleLeft)))
	}
	p.m(scaleHead, `<path class="ok" d="M`)
	p.f(x(c.Low)).m(" 8H").f(x(c.High)).m(`"/><path class="tick" d="`)
	for _, end := range []float64{c.Low, c.High} {
		if !math.IsInf(end, 0) {
			p.m("M").f(x(end)).m(" 3v10")
		}
	}
	p.m(`"/>`)
	if c.U > 0 {
		p.m(`<path class="doubtbar" d="M`).f(x(c.Value - c.U)).m(" 8H").f(x(c.Value + c.U)).m(`"/>`)
	}
	if c.Out {
		p.m(`<path class="val out" d="M`).f(x(c.Value)).m(` 2l5 6-5 6-5-6z"/>`)
	} else {
		class := markup("val")
		if c.Left {
			class = "val set"
		}
		p.m(`<circle class="`, class, `" cx="`).f(x(c.Value)).m(`" cy="8" r="3.6"/>`)
	}
	p.m("</svg>")
}

// stretch is the part of the scale that is shown.
func stretch(c page.Scale) (from, to float64) {
	low, high := c.Low, c.High
	switch {
	case !math.IsInf(low, 0) && !math.IsInf(high, 0):
		room := (high - low) * 0.6
		if room == 0 {
			room = max(math.Abs(high)*0.05, 1e-9)
		}
		from, to = low-room, high+room
	case math.IsInf(low, 0):
		room := max(math.Abs(high-c.Value)*1.2, math.Abs(high)*0.3, 1e-9)
		from, to = high-room, high+room*0.6
	default:
		room := max(math.Abs(c.Value-low)*1.2, math.Abs(low)*0.3, 1e-9)
		from, to = low-room*0.6, low+room
	}
	return min(from, c.Value-c.U), max(to, c.Value+c.U)
}

// share draws a share from 0 to 1 with its interval: the interval a bar, the share a tick.
func (p *pen) share(c page.Share) {
	at := func(v float64) float64 { return scaleStart + scaleRoom*v }
	p.m(scaleHead, `<path class="ok" d="M`)
	p.f(at(c.Low)).m(" 8H").f(at(max(c.High, c.Low+0.01))).m(`"/><path class="tick" d="M`).f(at(c.Share)).
		m(` 3v10"/></svg>`)
}
