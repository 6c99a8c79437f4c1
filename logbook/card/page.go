package card

import (
	_ "embed"
	"io"
	"strconv"

	"needlebook/logbook/hypertext"
)

// cardStyle lays the side out for Arial: where the reader has another face, font-size-adjust brings its width to that
// of Arial, so that it stays one side. The other sheets do the same.
//
//go:embed card.css
var cardStyle hypertext.Markup

// The words over the values of a side, and those beside the lines of a hold point.
var (
	headWords = [...]string{"holder", "nozzle, by the book", "marking allowed", "job, permit"}
	signWords = [...]string{"day", "name", "signed"}
)

// paper is one HTML file on its way that needs nothing else, for any browser to print.
type paper struct{ hypertext.Pen }

// open begins the file.
func (p *paper) open(language string, style hypertext.Markup, title ...string) {
	p.M("<!doctype html>\n<html lang=\"").V(language).M("\">\n<head>\n<meta charset=\"utf-8\">\n<title>")
	for _, t := range title {
		p.T(t)
	}
	p.M("</title>\n<style>\n", style, "</style>\n</head>\n<body>\n")
}

// shut ends the file and writes it.
func (p *paper) shut(w io.Writer) error {
	p.M("</body>\n</html>\n")
	_, err := w.Write(p.B)
	return err
}

// each writes texts, every one within the same markup.
func (p *paper) each(before hypertext.Markup, all []string, after hypertext.Markup) {
	for _, t := range all {
		p.M(before).T(t).M(after)
	}
}

// number writes a place in a drawing.
func (p *paper) number(v float64) *hypertext.Pen {
	return p.M(hypertext.Markup(strconv.FormatFloat(v, 'f', -1, 64)))
}

// write writes the sides of a card.
func (c *printed) write(w io.Writer) error {
	p, title := &paper{}, []string{"Bench card"}
	for _, s := range c.Sides {
		title = append(title, " ", s.Where, " ", s.Holder)
	}
	p.open(c.Language, cardStyle, title...)
	for i := range c.Sides {
		if c.Spray {
			c.target(p, &c.Sides[i])
		} else {
			c.side(p, &c.Sides[i])
		}
	}
	return p.shut(w)
}

// target is the paper of the spray test.
func (c *printed) target(p *paper, s *side) {
	const arial = ` font-family="Liberation Sans, Arial, sans-serif"`
	p.M(`<div class="target">
<svg viewBox="0 0 210 296.5">
<rect x="10" y="10" width="12" height="12"/><rect x="188" y="10" width="12" height="12"/>`,
		`<rect x="10" y="272" width="12" height="12"/>
<path d="M188 272h12v12h-12z M191 275v6h6v-6z" fill-rule="evenodd"/>
<g fill="none" stroke="#000" stroke-width=".25"><circle cx="105" cy="147" r="78"/><circle cx="105" cy="147" r="2"/>
<path d="M105 141v4M105 149v4M99 147h4M107 147h4M105 69v9"/>`,
		`<path d="M55 262h100M55 259v6M155 259v6" stroke-width=".4"/></g>
<g transform="translate(105 147) scale(.84)" font-size="6" text-anchor="middle"`, arial, `>`)
	for _, m := range s.Clock {
		p.M(`<text x="`)
		p.number(m.X).M(`" y="`)
		p.number(m.Y).M(`" dy="2">`).I(m.Number).M(`</text>`)
	}
	p.M(`</g>
<text x="105" y="258" font-size="4" text-anchor="middle"`, arial, `>100 mm</text>
</svg>
<p style="top:11mm"><b style="font-size:15pt">Spray test `).T(s.Where).M(`</b> · holder <b>`).T(s.Holder).
		M(`</b> · nozzle <b>`).T(s.Nozzle).M(`</b> · `).T(c.Vessel).M(`<br>
as found ☐ &nbsp; as left ☐ &nbsp;&nbsp; day __________ &nbsp; pressure ________ `).T(s.Pressure).
		M(` &nbsp; distance _______ mm &nbsp; seconds from spray to photo _____<br>
Hole 1 and the dowel to the top mark, one full stroke. Lay flat, no flash, no shadow; photograph from straight above, `,
			`all four corner marks in the picture.</p>
<p style="top:268mm">No paper where the bench has a closed collector. Elsewhere a stand holds it, never a person, `,
			`with extraction running: no face, no flame, no hot lamp. The jet goes through skin. `).T(c.Standing).M("</p>\n</div>\n")
}

// side is one side of the card.
func (c *printed) side(p *paper, s *side) {
	p.M(`<div class="side`).If(c.Language != "en", ` told`).M("\">\n<header><b>").T(s.Where).M(`</b>`)
	for i, value := range [len(headWords)]string{s.Holder, orDash(s.Nozzle), orDash(s.Marking), "…………………"} {
		p.M(`<span>`).T(c.Say(headWords[i])).M(`<strong>`).T(value).M(`</strong></span>`)
	}
	p.M("\n<span class=\"right\">").T(c.Vessel).M(` · `).T(s.Day)
	if s.Counter != "" {
		p.M(` · `).T(s.Counter)
	}
	p.M(`<br>`)
	if s.Hours != "" {
		p.T(c.Say("service") + " " + s.Hours).M(`<br>`)
	}
	p.T(limitsFrom(c.Say, s.Source)).M("</span></header>\n<div class=\"columns\">")
	for _, column := range s.Columns {
		p.M("<div>\n")
		for i := range column {
			c.part(p, &column[i], s.Clock)
		}
		p.M(`</div>`)
	}
	p.M("</div>\n<footer><ol>")
	p.each(`<li>`, c.Cautions, `</li>`)
	p.M(`</ol><p>`).T(c.Standing).M("</p></footer>\n</div>\n")
}

func (c *printed) part(p *paper, x *part, clock []mark) {
	p.M(`<section`).If(x.Hold != "", ` class="hold"`).M(`><h2>`).T(x.Name)
	if x.Hold != "" {
		p.M(`<span class="stop">`).T(c.Say("HOLD") + ": " + x.Hold).M(`</span>`)
	}
	p.M("</h2>\n")
	for _, r := range x.Rows {
		p.M(`<div class="row"><div class="line"><span class="label">`).T(r.Label).M(`</span>`)
		for _, b := range r.Boxes {
			p.box(b)
		}
		p.M(`</div>`)
		if r.Beside != "" {
			p.M(`<div class="beside">`).T(r.Beside).M(`</div>`)
		}
		if r.Clock {
			p.clock(clock)
		}
		p.M("</div>\n")
	}
	if x.Hold != "" {
		p.M(`<div class="sign">`)
		for _, word := range signWords {
			p.T(c.Say(word)).M(`<u></u>`)
		}
		p.M(`</div>`)
	}
	p.M("</section>\n")
}

func (p *paper) box(b box) {
	if len(b.Ring) == 0 {
		p.M(`<span class="box`).If(b.Tick, ` tick`).If(b.Wide, ` wide`).If(b.Small, ` small`).M(`">`)
		if b.Label != "" {
			p.M(`<i>`).T(b.Label).M(`</i>`)
		}
		p.M(`<u>`).T(b.Unit).M(`</u></span>`)
		return
	}
	p.M(`<span class="box ring">`)
	for _, w := range b.Words {
		p.M(`<span`).If(w.Record != "", ` class="two"`).M(`>`).T(w.Said)
		if w.Record != "" {
			p.M(`<small>`).T(w.Record).M(`</small>`)
		}
		p.M(`</span>`)
	}
	p.M(`</span>`)
}

// clock is the face on which weak holes are marked.
func (p *paper) clock(marks []mark) {
	p.M(`<svg class="clock" viewBox="-130 -130 260 260"><circle r="100" fill="none" stroke="#000" stroke-width="4"/>`)
	for _, m := range marks {
		p.M(`<circle cx="`)
		p.number(m.X).M(`" cy="`)
		p.number(m.Y).M(`" r="17" fill="#fff" stroke="#000" stroke-width="3"/><text x="`)
		p.number(m.X).M(`" y="`)
		p.number(m.Y).M(`" dy="8" font-size="24" text-anchor="middle">`).I(m.Number).M(`</text>`)
	}
	p.M(`</svg>`)
}

func orDash(text string) string {
	if text == "" {
		return "—"
	}
	return text
}

// limitsFrom says which limits a sheet was printed with.
func limitsFrom(say func(string) string, source string) string {
	if source == "" {
		return say("no limits in force")
	}
	return say("limits") + ": " + source
}
