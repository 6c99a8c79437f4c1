package invent

import (
	"fmt"
	"math"
)

// holder is the body of a valve with spring and spindle. Lengths are in millimetres, pressures in bar.
type holder struct {
	serial  string
	nozzle  *nozzle
	wear    float64 // of the face
	rate    float64 // wear in 1000 h
	spring  float64 // free length less the new one
	settled float64 // share of the setting lost when the parts have bedded in; its own habit
	ran     bool
	left    float64 // true opening pressure as left
	fresh   bool    // left with new parts
	set     *job    // the overhaul that left it so; nil for the opening state
	tested  day     // day of that test
	spot    string  // place in the spares rack
	openFit *entry  // where it was fitted first, when it lay in the spares rack as the book began
	ended   day
	why     string
	cracked bool // a fault: spoils the nozzles put on it
}

// nozzle is a nozzle body with its needle.
type nozzle struct {
	serial, marking string
	hours           float64 // in all
	lift, rate      float64 // as new, and growth in 1000 h
	leak, half      float64 // leak-down in s at 20 °C as new; hours that widen the clearance to twice its new one
	seat            float64 // growth of the seat in 1000 h
	laps            int
	ground          int
	onBoard         bool // received while the book runs, or on the shelf when it begins
	received        day
	ended           day
	why             string
	firstLift       amount
	regrinds        []*entry
	deferral        *page // under which it runs beyond its life
}

func (w *world) newHolder() *holder {
	h := &holder{serial: w.holderSerials.next(w), rate: w.between(0.001, 0.006), settled: w.about(0.062, 0.006)}
	w.holders = append(w.holders, h)
	return h
}

func (w *world) newNozzle() *nozzle {
	m := w.manual
	n := &nozzle{serial: w.nozzleSerials.next(w), marking: m.markings[w.IntN(len(m.markings))],
		rate: w.between(0.012, 0.03) / m.interval * 1000,
		leak: min(m.leakMin*w.between(3, 5.2), 0.75*m.leakMax), half: m.renew * w.between(2.2, 4),
		seat: w.between(0.01, 0.03)}
	n.lift = w.between(m.liftLow.bases()+0.01, m.liftHigh.bases()-0.015)
	w.nozzles = append(w.nozzles, n)
	return n
}

// travels is the lift a nozzle has by its hours and laps; each lap sinks the needle.
func (n *nozzle) travels() float64 {
	return n.lift + n.rate*n.hours/1000 + 0.008*float64(n.laps) - 0.08*float64(n.ground)
}

// leaks is the leak-down time in seconds at 20 °C: the flow through a gap grows with the cube of its width.
func (n *nozzle) leaks() float64 { return n.leak / math.Pow(1+n.hours/n.half, 3) }

// thin is the time at an oil temperature over that at 20 °C, for a calibration oil of 2.6 mm²/s at 40 °C.
func thin(oil int) float64 { return math.Exp(-0.0205 * float64(oil-20)) }

// age lets the valve in a position run: parts wear, and the opening pressure falls as they bed in.
func (w *world) age(p *position, hours float64) {
	h := p.holder
	h.ran = h.ran || hours > 0
	h.nozzle.hours += hours
	h.wear += h.rate * hours / 1000
	h.spring += 0.01 * hours / 1000
	if h.cracked {
		h.wear += 0.012 * hours / 1000
	}
}

// falls is the share of its setting that a valve has lost after so many hours.
func (w *world) falls(h *holder, hours float64) float64 {
	share := h.settled
	if h.fresh {
		share *= 1.65
	}
	share *= 1 - math.Exp(-hours/500)
	return max(share+0.012*min(max(w.NormFloat64(), -2.2), 2.2)*min(1, hours/300), 0.004)
}

// serials is a way of numbering parts.
type serials struct {
	form func(n int) string
	last int
}

func (s *serials) next(w *world) string {
	s.last += 1
	return s.form(s.last)
}

// newSerials makes up how the parts of the ship are numbered.
func newSerials(w *world, letter string) *serials {
	first := 100 + w.IntN(8000)
	style := w.IntN(6)
	return &serials{last: first, form: func(n int) string {
		switch style {
		case 0:
			return fmt.Sprintf("%s-%d", letter, n)
		case 1:
			return fmt.Sprintf("%02d-%05d", 10+first%14, 10000+3*n)
		case 2:
			return fmt.Sprintf("%s%d/%d", letter, first%9+1, n)
		case 3:
			return fmt.Sprintf("0%d", n) // a number to any other reader of YAML
		case 4:
			return fmt.Sprintf("%dE%d", n/9+10, n%9) // a power of ten to any other reader
		}
		return fmt.Sprintf("%s%s.%04d", letter, string(rune('A'+first%20)), n)
	}}
}
