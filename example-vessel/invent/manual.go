package invent

import (
	"fmt"
	"math"
	"slices"
)

// manual is the maker's manual of the ship's engines as the owner copied it: limits in the maker's own units. All
// values are in base units unless they are amounts.
type manual struct {
	kind             string // type designation
	pressure, length scale  // what the manual rounds to
	torque           scale
	used, fresh      setting // opening pressure of used and of new parts
	look, cause      amount
	seatBelow, fall  amount // below opening, for the seat test; fall of the leak-down test
	leakBelow        amount
	seatFor          int
	leakMin, leakMax float64 // seconds as left
	leakFound        float64
	liftLow          amount
	liftHigh         amount
	liftMax          amount // effective lift
	wearMax          amount
	wearFrom         day // 0 where the first revision states it
	seat, seatMax    amount
	holes            int
	hole, noGo       float64 // mm
	markings         []string
	interval         float64 // h
	renew, never     float64 // h
	nut, clamp       thread
	cap, pipe        thread
	protrusion       amount
	ring             float64 // mm
	spring           amount
	laps             int
	grinding         bool
	lookAt           int // exhaust deviation, K
	load             int // %
	safety, guarded  bool
	lubricant        string
	bench            bool // the leak-down times are stated for the ship's own bench
}

// setting is a band of opening pressure.
type setting struct {
	nominal     amount
	plus, minus float64 // in the manual's unit
}

func (s setting) low() float64  { return s.nominal.bases() - s.minus*s.nominal.unit.base }
func (s setting) high() float64 { return s.nominal.bases() + s.plus*s.nominal.unit.base }

func (s setting) String() string {
	if s.plus == s.minus {
		return fmt.Sprintf("%s ±%s", s.nominal.number(), amount{s.plus, s.nominal.scale})
	}
	return fmt.Sprintf("%s +%s/-%s %s", s.nominal.number(), trim(s.plus), trim(s.minus), s.nominal.name)
}

func trim(v float64) string { return fmt.Sprintf("%g", v) }

// thread is a tightened joint.
type thread struct {
	torque    amount
	tolerance int // %
	steps     int
}

// pressures are the ways a manual or gauge states pressure: its unit and a round step of about 5 bar.
var pressures = []scale{{bar, 5, 0}, {megapascal, 0.5, 1}, {kilogramCM2, 5, 0}, {psi, 50, 0}}

// lengths are the ways to state a length to a hundredth of a millimetre or so.
var lengths = []scale{{millimetre, 0.01, 2}, {micrometre, 10, 0}, {inch, 0.0005, 4}}

var torques = []scale{{newtonMetre, 5, 0}, {kilogramM, 0.5, 1}, {poundFoot, 5, 0}}

// usually takes the first in most cases, and one of the others now and then.
func usually[T any](w *world, percent float64, of []T) T {
	if w.chance(percent) {
		return of[0]
	}
	return of[1+w.IntN(len(of)-1)]
}

func newManual(w *world) *manual {
	m := &manual{pressure: usually(w, 50, pressures), length: usually(w, 70, lengths), torque: usually(w, 65, torques)}
	m.kind = fmt.Sprintf("%d%s%s%d", len(w.engines[0].at), pick(w.Rand, "T", "L", "Q", "W", "X"),
		pick(w.Rand, "A", "Z", "K", "R"), 20+w.IntN(28))
	m.openingLimits(w)
	m.leakMin = math.Round(w.between(3.5, 8)*2) / 2
	m.leakMax = math.Round(m.leakMin * w.between(7, 9))
	m.leakFound = math.Round(m.leakMin*w.between(2.5, 4.5)) / 10
	m.lengthLimits(w)
	m.holes, m.hole = 6+w.IntN(7), math.Round(w.between(25, 60))/100
	m.noGo = m.hole + 0.03
	m.markings = []string{fmt.Sprintf("%dx%.2f %c", m.holes, m.hole, 'A'+rune(w.IntN(8)))}
	if w.chance(25) {
		m.markings = append(m.markings, m.markings[0]+"2")
	}
	m.interval = pick(w.Rand, 1500.0, 2000, 2500, 3000, 4000)
	if w.wanted > large {
		m.interval = 1500
	}
	m.renew = math.Round(m.interval*w.between(2.6, 4.4)/100) * 100
	m.never = math.Ceil((m.renew+1.35*m.interval)/500) * 500
	tight := func(low, high float64, steps int) thread {
		a, _ := m.torque.in(w.Rand, low, high)
		return thread{a, 5 + w.IntN(4), steps}
	}
	m.nut, m.clamp = tight(180, 560, 1+w.IntN(3)), tight(50, 160, 2+w.IntN(3))
	m.cap, m.pipe = tight(90, 220, 0), tight(60, 180, 0)
	m.ring = pick(w.Rand, 1.5, 2, 2.5, 3)
	m.laps = 1 + w.IntN(2)
	m.grinding = w.chance(40)
	m.lookAt, m.load = 20+5*w.IntN(3), 70+5*w.IntN(3)
	m.safety, m.guarded, m.bench = w.chance(60), w.chance(15), w.chance(50)
	m.lubricant = pick(w.Rand, "high temperature paste", "oil", "molybdenum paste")
	return m
}

func (m *manual) openingLimits(w *world) {
	p := m.pressure
	m.used = setting{nominal: p.read(w.between(200, 430))}
	m.fresh = setting{nominal: p.read(m.used.nominal.bases() * w.between(1.06, 1.10))}
	switch w.IntN(3) {
	case 0:
		m.used.plus, m.used.minus = 2*p.step, p.step
	case 1:
		m.used.plus, m.used.minus = 2*p.step, 2*p.step
	default:
		m.used.plus = 2 * p.step
	}
	if p.unit == psi {
		m.used.plus, m.used.minus = 1.5*m.used.plus, 1.5*m.used.minus
	}
	// the two bands leave a gap, or nobody could tell them apart
	for m.fresh.nominal.bases()-m.used.minus*p.base < m.used.high()+p.base*p.step/2 {
		m.fresh.nominal = m.fresh.nominal.steps(1)
	}
	m.fresh.plus, m.fresh.minus = m.used.plus, m.used.minus
	m.look, m.cause = p.read(m.used.nominal.bases()*0.89), p.read(m.used.nominal.bases()*0.83)
	m.seatBelow, m.leakBelow = p.read(w.between(15, 25)), p.read(w.between(20, 30))
	m.fall = p.read(w.between(40, 100))
	m.seatFor = pick(w.Rand, 5, 10, 10, 15)
}

func (m *manual) lengthLimits(w *world) {
	l := m.length
	m.liftLow = l.read(w.between(0.35, 0.95))
	m.liftHigh = l.read(m.liftLow.bases() + 0.08)
	m.liftMax = l.read(m.liftHigh.bases() + w.between(0.13, 0.2))
	m.wearMax = l.read(w.between(0.045, 0.07))
	if w.chance(40) {
		m.wearFrom = w.first + w.days(60, 500)
	}
	coarse, fine := scale{millimetre, 0.1, 1}, scale{millimetre, 0.05, 2}
	if l.unit == inch {
		coarse, fine = scale{inch, 0.005, 3}, scale{inch, 0.002, 3}
	}
	m.seat = coarse.read(w.between(3.4, 6))
	m.seatMax = coarse.read(m.seat.bases() + w.between(0.4, 0.6))
	m.protrusion = coarse.read(w.between(11, 26))
	m.spring = fine.read(w.between(44, 88))
}

// band is the setting for the state of the parts.
func (m *manual) band(fresh bool) setting {
	if fresh {
		return m.fresh
	}
	return m.used
}

// page is the limits file.
func (m *manual) page(w *world) *page {
	seconds := func(v float64) string { return fmt.Sprintf("%.1f", v) }
	below := func(a amount) string { return "opening - " + a.String() }
	tight := func(key string, t thread) *entry {
		steps, tolerance, torque := "", "", t.torque.String()
		if t.steps > 0 {
			steps = fmt.Sprint(t.steps)
		}
		if w.chance(30) { // the same as a band
			off := t.torque.value * float64(t.tolerance) / 100
			torque = fmt.Sprintf("%.1f .. %.1f %s", t.torque.value-off, t.torque.value+off, t.torque.name)
		} else {
			tolerance = fmt.Sprintf("%d %%", t.tolerance)
		}
		return keys(key, text("torque", torque), text("tolerance", tolerance), text("steps", steps),
			text("lubricant", m.lubricant))
	}
	maybe := func(percent float64, e *entry) *entry {
		if w.chance(percent) {
			return e
		}
		return nil
	}
	safety, on := "", ""
	if m.safety {
		safety = "yes"
	}
	if m.bench {
		on = w.gear.on(bench, w.first).id
	}
	band := amount{0.3, scale{millimetre, 0.1, 1}}
	if m.protrusion.unit == inch {
		band = amount{0.012, m.protrusion.scale}
	}
	first := keys("",
		text("from", (w.first-w.days(0, 300)).String()),
		text("source", fmt.Sprintf("owner's manual %s, section %d, revision %c", m.kind, 2+w.IntN(20), 'A'+rune(w.IntN(6)))),
		text("rule", map[bool]string{false: "simple", true: "guarded"}[m.guarded]),
		keys("opening_pressure", text("used", m.used.String()), text("new", m.fresh.String()),
			keys("as_found", text("look", m.look.String()), text("cause", m.cause.String()))),
		keys("seat", text("at", below(m.seatBelow)), text("for", fmt.Sprint(m.seatFor, " s")), text("allow", "damp")),
		keys("leak_down", text("from", below(m.leakBelow)), text("fall", m.fall.String()), text("oil", "20 °C"),
			ident("bench", on),
			text("as_left", seconds(m.leakMin)+" .. "+seconds(m.leakMax)+" s"), text("as_found", seconds(m.leakFound)+" s ..")),
		keys("lift", text("new", m.liftLow.number()+" .. "+m.liftHigh.String())),
		keys("effective_lift", text("max", m.liftMax.String()), text("safety", safety)),
		keys("seat_diameter", text("nominal", m.seat.String()), text("max", m.seatMax.String())),
		keys("holes", text("count", fmt.Sprint(m.holes)), text("size", fmt.Sprintf("%.2f mm", m.hole)),
			text("no_go", fmt.Sprintf("%.2f mm", m.noGo))),
		texts("markings", m.markings...),
		keys("nozzle_life", text("renew", fmt.Sprintf("%.0f h", m.renew)), text("never", fmt.Sprintf("%.0f h", m.never))),
		text("interval", fmt.Sprintf("%.0f h", m.interval)),
		tight("nozzle_nut", m.nut), tight("clamp_nuts", m.clamp), tight("end_cap", m.cap),
		maybe(60, tight("pipe_nut", m.pipe)),
		text("protrusion", m.protrusion.number()+" ±"+band.String()), text("ring_height", fmt.Sprintf("%.1f mm", m.ring)),
		keys("spring", text("length", m.spring.String()), text("min", m.springMin().String())),
		text("laps", fmt.Sprint(m.laps)),
		keys("grind", text("allowed", map[bool]string{false: "no", true: "yes"}[m.grinding]), text("max", "0.10 mm"),
			text("times", "1")),
		keys("exhaust_deviation", text("look", fmt.Sprint(m.lookAt, " K")), text("act", fmt.Sprint(m.lookAt+15, " K")),
			text("load", fmt.Sprint(m.load, " %"))),
		text("bath", "140 .. 200 °C"), maybe(60, text("test_oil", "15 .. 30 °C")),
	)
	if w.sparse() { // little was copied from the manual
		first.kids = slices.DeleteFunc(first.kids, func(e *entry) bool {
			return !slices.Contains(copied, e.key) &&
				w.chance(50)
		})
	}
	wear := keys("holder_wear", text("max", m.wearMax.String()))
	revisions := []*entry{first}
	if m.wearFrom == 0 {
		first.kids = append(first.kids, wear)
	} else {
		revisions = append(revisions, keys("", text("from", m.wearFrom.String()),
			text("source", fmt.Sprintf("service letter of %.7s", m.wearFrom)), wear))
	}
	return &page{path: "limits/" + fileName(m.kind) + ".md", front: keys("", text("type", m.kind),
		&entry{key: "revisions", shape: list, kids: revisions}), style: w.office, body: "Invented, like the engine."}
}

// copied are the lines of the manual that every ship copies.
var copied = []string{"from", "source", "rule", "opening_pressure", "nozzle_life", "interval"}

// springMin is the least free length of the spring.
func (m *manual) springMin() amount { return m.spring.scale.read(m.spring.bases() - 0.6) }
