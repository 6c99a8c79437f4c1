package look

import "needlebook/site/page"

// valveBody is a valve in section, a generic one of our own, to no scale: end cap, holder with spring and spindle, the
// joint face, the nut that holds the nozzle to it, nozzle with needle and seat, and the jets.
const valveBody markup = `<path class="bar" d="M46 34H94V246H46zM52 10H88V34H52z"/>` +
	`<path class="bar odd" d="M40 236H46V246H94V236H100V306L92 322H84V318H56V322H48L40 306z"/>` +
	`<path class="bar" d="M52 250H88V318H80V372L74 386H66L60 372V318H52z"/>` +
	`<path class="life" d="M56 56L84 66 56 76 84 86 56 96 84 106 56 116 84 126 56 136H84M56 56H84M67 136V248M73 136V248"/>` +
	`<path class="left" d="M63 256H77V268H75V356L70 370 65 356V268H63z"/>` +
	`<path class="base" d="M40 249H100"/>` +
	`<path class="edge" d="M62 380L36 394M66 385L56 408M74 385L84 408M78 380L104 394"/>`

// valvePlaces are the places of the parts on the drawing.
var valvePlaces = [page.ValveParts][2]float64{page.EndCap: {88, 22}, page.Spring: {84, 100}, page.JointFace: {100, 249},
	page.NeedleHead: {77, 260}, page.NozzleNut: {100, 290}, page.NeedleGuide: {75, 335}, page.NeedleSeat: {72, 366},
	page.SprayHoles: {98, 391}}

// The words beside a valve in section.
const (
	valveWords, valveStep, valveGap = 146.0, 17.0, 7.0
	valveLetters                    = 32
)

// valveCut draws a valve in section, with its readings at their places.
func (p *pen) valveCut(c page.ValveCut) {
	high, last := 20.0, page.ValvePart(page.ValveParts)
	for _, r := range c.Readings {
		high += valveLines(r) * valveStep
		if r.Part != last {
			high, last = high+valveGap, r.Part
		}
	}
	p.m(`<svg class="plot cut" viewBox="0 0 420 `).f(max(high, 414)).m(`">`)
	p.titled(p.chartID(), "the valve of "+c.Of+" in section",
		"A generic valve, to no scale; the readings are in the table beside it.")
	p.m(valveBody)
	y, last := 18.0, page.ValvePart(page.ValveParts)
	for _, r := range c.Readings {
		if r.Part != last {
			y += valveGap
			at := valvePlaces[r.Part]
			p.m(`<path class="hair" d="M`).f(at[0]).m(" ").f(at[1]).m("L132 ").f(y - 4).m(`H142"/><circle class="val" cx="`)
			p.f(at[0]).m(`" cy="`).f(at[1]).m(`" r="2.5"/>`)
		}
		last = r.Part
		x := valveWords
		if r.Beyond {
			p.m(`<path class="val out" d="M`).f(x + 5).m(" ").f(y - 10).m(`l5 5-5 5-5-5z"/>`)
			x += 16
		}
		p.m(`<text class="lab" x="`).f(x).m(`" y="`).f(y).m(`">`).t(clippedTo(valveText(r), valveLetters)).m("</text>")
		if y += valveStep; r.Limit != "" {
			p.m(`<text x="`).f(valveWords).m(`" y="`).f(y).m(`">`).t(clippedTo(r.Limit, valveLetters)).m("</text>")
			y += valveStep
		}
	}
	p.m("</g></svg>")
}

func valveLines(r page.ValveReading) float64 {
	if r.Limit == "" {
		return 1
	}
	return 2
}

// valveText is a reading in a line: as found, and after an arrow as left.
func valveText(r page.ValveReading) string {
	switch {
	case r.Found != "" && r.Left != "":
		return r.Name + " " + r.Found + " → " + r.Left
	case r.Left != "":
		return r.Name + " → " + r.Left
	}
	return r.Name + " " + r.Found
}
