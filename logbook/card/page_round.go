package card

import (
	_ "embed"
	"io"

	"needlebook/logbook/hypertext"
)

//go:embed round.css
var roundStyle hypertext.Markup

// write writes the sheets of a round, two sides each.
func (c *roundPrinted) write(w io.Writer) error {
	p := &paper{}
	p.open(c.Lang, roundStyle, "Round sheet ", c.Engine, " ", c.Day)
	for i := range c.Sheets {
		for back, rows := range c.Sheets[i].Sides {
			c.side(p, &c.Sheets[i], rows, back > 0)
		}
	}
	return p.shut(w)
}

func (c *roundPrinted) side(p *paper, s *roundSheet, rows []roundRow, back bool) {
	say := func(word string) *hypertext.Pen { return p.T(c.Say(word)) }
	p.M("<div class=\"side\">\n<header><b>").T(c.Engine + " · " + c.Day).M(`</b><span class="name">`).T(c.Vessel).
		M(`</span><span>`)
	say("counter").M(` <u></u> h</span><span>`)
	say("bench").M(` <u></u> `)
	say("gauge").M(` <u></u> `)
	say("oil").M(" <u></u> °C</span>\n<span class=\"right\">").T(limitsFrom(c.Say, s.Source)).
		M("</span></header>\n<table><colgroup><col class=\"label\"><col class=\"limit\">")
	for range s.Seats {
		p.M(`<col>`)
	}
	p.M("</colgroup>\n<tr><th>")
	say(map[bool]string{false: "front", true: "back"}[back]).M(`</th><th>`)
	say("limit").M(`; `)
	say("last").M(`: grey</th>`)
	for _, seat := range s.Seats {
		p.M(`<th>`).T(seat.Sheet.Position.Cylinder + " · " + seat.Sheet.Holder).M(`<small>`).T(seat.Sheet.Nozzle).
			M(`</small></th>`)
	}
	p.M("</tr>\n")
	for i := range rows {
		c.row(p, &rows[i], len(s.Seats))
	}
	p.M("</table>\n")
	if back {
		p.M(`<p class="ink">`)
		for _, who := range []string{"by", "fitted by", "second engineer", "chief engineer"} {
			say(who).M(`<u></u>`)
		}
		p.M(`</p><footer><p>`).T(c.Standing).M("</p></footer>\n</div>\n")
		return
	}
	p.M(`<footer><ol>`)
	p.each(`<li>`, c.Cautions, `</li>`)
	p.M("</ol></footer>\n</div>\n")
}

func (c *roundPrinted) row(p *paper, r *roundRow, seats int) {
	if r.Heading != "" {
		p.M(`<tr class="head"><td colspan="2">`).T(c.Say(r.Heading)).M(`</td><td colspan="`).I(seats).M(`">`)
		if r.Hold != "" {
			p.M(`<span class="hold">`).T(c.Say("HOLD") + ": " + c.Say(r.Hold)).M(`</span>`)
			for _, word := range signWords {
				p.T(c.Say(word)).M(` <u></u>`)
			}
		}
		p.M("</td></tr>\n")
		return
	}
	p.M(`<tr`).If(r.Tall, ` class="tall"`).M(`><td>`).T(c.Say(r.Label)).M(`</td><td class="limit">`).T(r.Beside).M(`</td>`)
	for seat := range seats {
		p.M(`<td class="box"><div>`)
		for range r.Ticks {
			p.M(`<span></span>`)
		}
		if r.Ticks == 0 {
			writeBoxes(p, r, seat)
		}
		p.M(`</div></td>`)
	}
	p.M("</tr>\n")
}

// writeBoxes writes the boxes of a cell, the last value before them, so that each has its room.
func writeBoxes(p *paper, r *roundRow, seat int) {
	if seat < len(r.shut) && r.shut[seat] {
		p.M(`<s>–</s>`)
		return
	}
	if r.Cells != nil && r.Cells[seat] != "" {
		p.M(`<s>`).T(r.Cells[seat]).M(`</s>`)
	}
	for range min(max(r.Boxes, 1), 3) {
		p.M(`<i></i>`)
	}
}
