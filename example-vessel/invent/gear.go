package invent

import (
	"fmt"
	"math"
)

// role is the work an instrument is used for.
type role uint8

const (
	bench role = iota
	gauge
	liftGauge
	lens
	calliper
	bigWrench
	smallWrench
	roles
)

// instrument is one instrument of the ship and the time in which it was used.
type instrument struct {
	id       string
	role     role
	scale    scale
	from, to day
	high     float64 // end of its range, in its unit
	class    float64 // per cent of span; 0 where an error is stated
	error    float64 // in its unit
	bias     float64 // of a pressure gauge: shown over true, less one; of others in base units
	wrong    *wrong
	until    day
	noOil    bool
}

// wrong is a time in which a gauge reads wrong.
type wrong struct {
	from, to day
	factor   float64 // shown over true
	known    bool    // entered in the gauge's file
}

// gear is all instruments, by role and time.
type gear struct{ of [roles][]*instrument }

// on is the instrument in use for a role on a day.
func (g *gear) on(r role, d day) *instrument {
	for _, i := range g.of[r] {
		if d <= i.to {
			return i
		}
	}
	return g.of[r][len(g.of[r])-1]
}

// shows is what a gauge points at for a true pressure.
func (i *instrument) shows(base float64, d day) float64 {
	shown := base * (1 + i.bias)
	if i.wrong != nil && d >= i.wrong.from && d <= i.wrong.to {
		shown *= i.wrong.factor
	}
	return shown
}

// newGear makes the instruments for the years that the book may last.
func newGear(w *world) *gear {
	g := &gear{}
	style := w.IntN(3)
	names := [roles]string{"B", "PG", "DG", "MG", "CA", "TW", "TW"}
	if style == 1 {
		names = [roles]string{"bench", "gauge", "dial", "lens", "calliper", "wrench-L", "wrench-S"}
	}
	number := [roles]int{}
	id := func(r role) string {
		same := r
		if style != 1 && r == smallWrench {
			same = bigWrench
		}
		number[same]++
		if style == 2 {
			return fmt.Sprintf("%s-%02d", names[r], number[same])
		}
		return fmt.Sprintf("%s-%d", names[r], number[same])
	}
	for r := bench; r < roles; r++ {
		for from := w.first - 30; from < w.horizon; {
			i := &instrument{id: id(r), role: r, from: from, to: w.horizon}
			if r != bench && w.chance(60) {
				i.to = from + w.days(300, 1000)
			}
			w.fitOut(i, g)
			g.of[r] = append(g.of[r], i)
			from = i.to + 1
		}
	}
	return g
}

// fitOut gives an instrument the range and divisions that its work asks for. Its successors show the same unit.
func (w *world) fitOut(i *instrument, g *gear) {
	m := w.manual
	if before := g.of[i.role]; len(before) > 0 {
		p := before[0]
		i.scale, i.high, i.class, i.error = p.scale, p.high, p.class, p.error
	} else {
		switch i.role {
		case gauge:
			w.chooseGauge(i)
		case liftGauge:
			i.scale = m.length
			if w.chance(15) {
				i.scale = usually(w, 60, lengths)
			}
			i.high, i.error = i.scale.reach(10, 0.5), i.scale.step
		case lens:
			i.scale, i.high = m.seat.scale, m.seat.reach(20, 1)
			i.error = i.scale.step
		case calliper:
			i.scale, i.high = m.spring.scale, m.spring.reach(150, 6)
			i.error = i.scale.step
		case bigWrench, smallWrench:
			i.scale = m.torque
			if w.chance(15) {
				i.scale = torques[w.IntN(len(torques))]
				i.scale.step /= 5 // finer, or the manual's figure falls between two divisions
			}
			i.high, i.error = math.Round(800/i.scale.unit.base), 4
			if i.role == smallWrench {
				i.high = math.Round(300 / i.scale.unit.base)
			}
		}
	}
	switch i.role {
	case gauge:
		span := i.high * i.scale.unit.base
		i.bias = w.about(0, 0.25) * i.class / 100 * span / m.used.nominal.bases()
	case liftGauge:
		i.bias = w.about(0, 0.12) * i.error * i.scale.unit.base
	}
}

// chooseGauge takes a gauge on which the pressures of this valve stand in the middle, and whose divisions are fine
// enough to set by.
func (w *world) chooseGauge(i *instrument) {
	m := w.manual
	i.scale = m.pressure
	if w.chance(25) {
		i.scale = usually(w, 60, pressures)
	}
	ranges := []float64{400, 600, 800, 1000, 1600}
	if i.scale.unit == psi {
		ranges = []float64{6000, 10000, 15000, 20000}
	}
	if i.scale.unit == megapascal {
		ranges = []float64{40, 60, 80, 100, 160}
	}
	for _, high := range ranges {
		span := high * i.scale.unit.base
		if m.fresh.high() <= 0.72*span && m.cause.bases()*0.93 >= 0.26*span {
			i.high = high
			break
		}
	}
	i.class = pick(w.Rand, 1.0, 1.0, 1.6)
	if w.chance(15) && i.scale.unit == bar && m.used.plus+m.used.minus >= 10 {
		i.scale.step = 2
	}
}

// page is the file of an instrument.
func (i *instrument) page(w *world) *page {
	whole := func(v float64) string { return trim(math.Round(v*1000)/1000) + " " + i.scale.name }
	kind := [roles]string{"bench", "gauge", "dial gauge", "magnifier", "calliper", "torque wrench",
		"torque wrench"}[i.role]
	measures := [roles]string{"pressure", "pressure", "length", "length", "length", "torque", "torque"}[i.role]
	front := keys("", ident("id", i.id), text("kind", kind), text("measures", measures))
	add := func(e *entry) {
		if e != nil {
			front.kids = append(front.kids, e)
		}
	}
	if i.role == bench {
		if !i.noOil {
			add(keys("oil", text("name", "calibration oil"), text("viscosity_40", "2.6 mm²/s"),
				text("viscosity_100", "1.20 mm²/s"), text("density_15", "825 kg/m³")))
		}
		add(text("trapped_volume", fmt.Sprintf("%d cm³", 15+w.IntN(25))))
		return &page{path: "instruments/" + fileName(i.id) + ".md", front: front, style: w.office}
	}
	add(text("range", "0 .. "+whole(i.high)))
	add(text("division", amount{i.scale.step, i.scale}.String()))
	switch {
	case i.class > 0:
		add(text("class", fmt.Sprintf("%.1f", i.class)))
	case i.role == bigWrench || i.role == smallWrench:
		add(text("error", fmt.Sprintf("%.0f %%", i.error)))
	default:
		add(text("error", amount{i.error, i.scale}.String()))
	}
	until := min(i.to, w.last) + w.days(30, 400)
	if i.until != 0 {
		until = i.until
	}
	add(text("calibrated", (until - 730).String()))
	add(text("calibrated_until", until.String()))
	if w.chance(50) {
		add(text("certificate", fmt.Sprintf("K-%05d", w.IntN(100000))))
	}
	if x := i.wrong; x != nil && x.known {
		add(items("found_wrong", keys("", text("from", x.from.String()), text("to", x.to.String()),
			text("factor", fmt.Sprintf("%.3f", x.factor)), text("why", "dropped on the floor plates, found when compared"))))
	}
	return &page{path: "instruments/" + fileName(i.id) + ".md", front: front, style: w.office}
}
