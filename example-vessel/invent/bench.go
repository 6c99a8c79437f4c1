package invent

import (
	"fmt"
	"slices"
)

// bench overhauls a valve: as found on one day, set and tested on another.
func (w *world) bench(j *job, found, left day) {
	s := w.crew.aboard(w.crew.second, found)
	j.by, j.found, j.left = s.who, found, max(found, min(left, s.to-1))
	if t := w.crew.third; len(t) > 0 && w.chance(40) {
		if other := w.crew.aboard(t, found); j.left < other.to {
			j.by, j.checkedBy = other.who, s.who
		}
	}
	w.busy = max(w.busy, j.left+1)
	j.state = w.testAsFound(j)
	w.strip(j, j.state)
	w.judge(j, j.state)
	w.inspect(j, j.state)
	w.measure(j)
	if j.after == nil {
		return
	}
	w.assemble(j)
	w.set(j)
}

// state is what the crew comes to know of the valve on the bench.
type state struct {
	seat     string // dry, damp, drop
	open     int
	form     string
	stuck    bool
	cracked  string // place
	oil      int
	lift     amount
	wear     amount
	spring   amount
	seatDia  amount
	leak     float64 // seconds at 20 °C as cleaned
	fallen   float64 // share of the setting lost
	settling bool    // the spring has set
	opening  amount  // middle reading as found
	bad      bool
}

// testAsFound tests the valve before anything is done to it.
func (w *world) testAsFound(j *job) *state {
	m, h, n := w.manual, j.holder, j.before
	s := &state{seat: pick(w.Rand, "dry", "dry", "damp"), open: m.holes, form: "even", oil: 17 + w.IntN(9),
		stuck: w.chance(0.8), leak: n.leaks()}
	g := w.gear.on(gauge, j.found)
	s.fallen = w.falls(h, j.hours)
	if w.chance(0.7) && j.ill == "" && j.hours > 0.5*m.interval {
		s.settling = true
		s.fallen += w.between(0.06, 0.1)
		h.spring += w.between(0.6, 0.9)
	}
	w.ail(j, s)
	true_ := h.left * (1 - s.fallen)
	readings := w.readings(g, g.shows(true_, j.found))
	median := middle(readings)
	s.opening = median
	from := g.scale.read(median.bases() - m.leakBelow.bases())
	to := g.scale.read(from.bases() - m.fall.bases())
	seconds := s.leak * w.between(0.88, 1.06) * thin(s.oil)
	if s.seat == "drop" {
		seconds *= 0.62
	}
	weak := texts("weak")
	if s.form != "even" && s.open == m.holes {
		weak = texts("weak", fmt.Sprint(1+w.IntN(m.holes)))
	}
	first := ""
	if w.chance(30) {
		first = slices.MaxFunc(readings, byValue).steps(w.IntN(2)).String()
	}
	j.asFound = keys("as_found", text("date", j.found.String()), ident("bench", w.gear.on(bench, j.found).id),
		ident("gauge", g.id), text("oil", fmt.Sprint(s.oil, " °C")),
		text("connection", "clean"), text("first_opening", first), amounts("opening_pressure", readings),
		w.closing(g, median),
		keys("seat", text("at", g.scale.read(median.bases()-m.seatBelow.bases()).String()),
			text("for", fmt.Sprint(m.seatFor, " s")), text("state", s.seat), text("drops", drops(w, s.seat))),
		keys("leak_down", text("from", from.String()), text("to", to.String()), text("time", fmt.Sprintf("%.1f s", seconds))),
		keys("spray", text("open", fmt.Sprint(s.open)), weak, text("pattern", s.form)),
		keys("leaks", text("nozzle_joint", "dry"), text("inlet", "dry")),
		w.signs("running_before", j.from, j.pulled-w.days(1, 3), j.ill))
	if w.chance(0.8) && !s.bad && j.ill == "" {
		j.asFound = text("as_found", "not done (the test pump was ashore for repair)")
	}
	return s
}

// ail brings the troubles of the valve to the bench: those that its cylinder showed, and now and then one that nobody
// expected.
func (w *world) ail(j *job, s *state) {
	ill := j.ill
	if j.holder.cracked {
		ill = "leak"
		s.fallen += w.between(0.05, 0.09)
	}
	if w.foul > 0 && j.from.engine == w.fouled && j.pulled >= w.foul && j.pulled < w.foul+10 { // a round may take days
		s.leak *= 0.35
		if w.chance(75) {
			ill = "spray"
		}
	}
	if ill == "" && j.hours > 0.5*w.manual.interval {
		switch c := w.Float64() * 100; {
		case c < 1:
			ill = "seat"
		case c < 2:
			ill = "spray"
		case c < 2.15:
			s.cracked = "holder_face"
		}
	}
	switch ill {
	case "spray":
		s.open, s.form = s.open-w.IntN(3), "uneven"
	case "seat":
		s.seat = "drop"
	case "leak":
		s.leak = w.manual.leakFound * w.between(0.6, 0.9)
	case "tip":
		s.cracked, s.form = "tip", "jet"
	}
	s.bad = ill != "" && ill != "nothing"
}

func drops(w *world, seat string) string {
	if seat == "drop" {
		return fmt.Sprint(1 + w.IntN(4))
	}
	return ""
}

func byValue(a, b amount) int {
	switch {
	case a.value < b.value:
		return -1
	case a.value > b.value:
		return 1
	}
	return 0
}

// readings are three readings of a pressure that scatter by a division at most.
func (w *world) readings(g *instrument, shown float64) []amount {
	near := g.scale.read(shown)
	up := 1
	if near.bases() > shown {
		up = -1
	}
	r := []amount{near, near, near}
	for i := range r {
		if w.chance(30) {
			r[i] = near.steps(up)
		}
	}
	return r
}

func middle(r []amount) amount {
	sorted := slices.SortedFunc(slices.Values(r), byValue)
	return sorted[(len(sorted)-1)/2]
}

func (w *world) closing(g *instrument, opening amount) *entry {
	if w.seed%3 != 0 {
		return nil
	}
	return text("closing_pressure", g.scale.read(opening.bases()*w.between(0.67, 0.76)).String())
}

// set sets the valve by the state of its parts and tests it as left.
func (w *world) set(j *job) {
	m, h := w.manual, j.holder
	g := w.gear.on(gauge, j.left)
	oil := 17 + w.IntN(9)
	band := m.band(j.fresh)
	aim, ok := g.scale.in(w.Rand, band.low(), band.high())
	if !ok {
		panic(fmt.Sprintf("invent: gauge %s has no division within %s", g.id, band))
	}
	readings := w.readings(g, aim.bases())
	for _, r := range readings {
		if r.bases() < band.low()-1e-9 || r.bases() > band.high()+1e-9 {
			readings = []amount{aim, aim, aim}
		}
	}
	median := middle(readings)
	h.left = median.bases() * median.bases() / g.shows(median.bases(), j.left)
	h.fresh, h.set, h.tested, j.leftMedian = j.fresh, j, j.left, median
	from := g.scale.read(median.bases() - m.leakBelow.bases())
	seconds := min(max(j.after.leaks()*w.between(0.95, 1.05), m.leakMin+0.2), m.leakMax-0.5) * thin(oil)
	lock := ""
	if w.chance(50) {
		lock = pick(w.Rand, "tight", "re-checked")
	}
	j.asLeft = keys("as_left", text("date", j.left.String()), ident("bench", w.gear.on(bench, j.left).id),
		ident("gauge", g.id), text("oil", fmt.Sprint(oil, " °C")), text("connection", "clean"),
		amounts("opening_pressure", readings), w.closing(g, median),
		keys("seat", text("at", g.scale.read(median.bases()-m.seatBelow.bases()).String()),
			text("for", fmt.Sprint(m.seatFor, " s")), text("state", pick(w.Rand, "dry", "dry", "damp"))),
		keys("leak_down", text("from", from.String()), text("to", g.scale.read(from.bases()-m.fall.bases()).String()),
			text("time", fmt.Sprintf("%.1f s", seconds))),
		keys("spray", text("open", fmt.Sprint(m.holes)), texts("weak"), text("pattern", "even")),
		keys("leaks", text("nozzle_joint", "dry"), text("inlet", "dry")), text("lock_nut", lock),
		w.tightened("end_cap", m.cap, w.gear.on(bigWrench, j.left), m))
	if w.chance(3) {
		j.tries = items("tries", keys("", text("date", j.left.String()), amounts("opening_pressure", readings[:1]),
			keys("leak_down", text("time", fmt.Sprintf("%.1f s", m.leakMin*0.6))),
			text("why", "joint weeping"), text("done", "faces cleaned, nut tightened again")))
	}
	w.stock.take(j.left, "seal kit")
}

// assemble builds the valve with new seals.
func (w *world) assemble(j *job) {
	m := w.manual
	before := ""
	if w.chance(30) {
		before = (j.left + w.days(100, 900)).String()
	}
	pocket := ""
	if w.chance(40) {
		pocket = "renewed"
	}
	j.assembled = keys("assembled", w.tightened("nozzle_nut", m.nut, w.gear.on(bigWrench, j.left), m),
		keys("seals", text("adjusting_screw", "renewed"), text("body", "renewed"), text("pocket", pocket),
			text("use_before", before)), text("dowels", "seated"), text("faces", "clean"))
}
