package invent

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// world is a ship while she is made up.
type world struct {
	*rand.Rand
	seed          uint64
	options       Options
	name          string
	first, last   day // of the book
	horizon       day // beyond any last day
	engines       []*engine
	manual        *manual
	gear          *gear
	crew          *crew
	office        *style // how the files ashore are written
	holders       []*holder
	nozzles       []*nozzle
	holderSerials *serials
	nozzleSerials *serials
	spares        int       // valves beyond those fitted
	rack          []*holder // ready
	shelf         []*nozzle // new ones in store
	jobs          []*job
	layUps        []layUp
	stock         *ledger
	decisions     []*page
	deferrals     []*page
	opening       *entry
	onRack        []*holder // when the book begins
	rackEntries   []*entry  // what the book says of them
	trials        int
	deferred      int
	rings         int
	slow          bool // always at low load
	runs          map[string]*strings.Builder
	fuels         []bunker
	photos        map[string][]byte
	wanted        int
	troubles
	busy day // last day of work begun
}

// large is the number of overhauls from which a book is made for its size alone: the largest engines, run hard, without
// running data.
const large = 2000

func newWorld(seed uint64, o Options) *world {
	w := &world{Rand: stream(seed, 0), seed: seed, options: o, photos: map[string][]byte{},
		runs: map[string]*strings.Builder{}}
	w.wanted = o.Overhauls
	if w.wanted == 0 {
		w.wanted = pick(w.Rand, 8, 20, 40, 60, 90, 120)
	}
	w.name = pick(w.Rand, "Amber", "Grey", "North", "Still", "Far", "Quiet") + " " + pick(w.Rand, "Plover", "Lantern",
		"Causeway", "Tiller", "Sandbank", "Halyard")
	w.first = dayOf(1996+w.IntN(24), 1+w.IntN(12), 1+w.IntN(28))
	if w.wanted > large {
		w.first = dayOf(1990, 2, 3)
	}
	w.horizon = w.first + 365*45
	w.office = w.newStyle()
	w.rings = 1
	if w.chance(10) {
		w.rings = 2
	}
	w.engines = newEngines(w, w.wanted)
	w.manual = newManual(w)
	w.gear = newGear(w)
	w.crew = newCrew(w)
	w.stock = newLedger(w)
	w.slow = w.chance(15)
	w.planLayUps()
	w.holderSerials, w.nozzleSerials = newSerials(w, "H"), newSerials(w, pick(w.Rand, "N", "D", "Z"))
	w.openBook()
	w.plantAhead()
	return w
}

func (w *world) planLayUps() {
	for d := w.first + w.days(150, 700); d < w.horizon; d += w.days(400, 1200) {
		l := layUp{from: d, to: d + w.days(12, 40), why: pick(w.Rand, "yard stay", "dry dock", "laid up, no cargo")}
		if len(w.engines) > 1 && w.chance(30) {
			l.engine, l.why = w.engines[w.IntN(len(w.engines))], "bearing work, engine open"
		}
		w.layUps = append(w.layUps, l)
	}
	for _, e := range w.engines {
		if w.chance(20) {
			e.newMeter = w.first + w.days(100, 600)
		}
	}
}

// openBook makes the state on the first day: a valve in every position, and those in the spares rack.
func (w *world) openBook() {
	m := w.manual
	var fitted []*entry
	used := func() *holder {
		h := w.newHolder()
		h.ran, h.wear, h.spring = true, w.between(0, 0.025), w.between(0, 0.1)
		h.nozzle = w.newNozzle()
		h.nozzle.hours = float64(w.IntN(int(m.renew * 0.7)))
		left, _ := m.pressure.in(w.Rand, m.used.nominal.bases(), m.used.high())
		h.left, h.tested = left.bases(), w.first
		return h
	}
	left := func(h *holder) string { return m.pressure.read(h.left).String() }
	for _, e := range w.engines {
		begin := float64(2000 + w.IntN(60000))
		e.total = []float64{begin}
		e.meters = []meter{{from: w.first, begins: begin, total: begin}}
		for _, group := range e.groups {
			since := float64(int(m.interval * w.between(0, 0.8)))
			for _, p := range group {
				p.habit = w.about(0, 3)
				p.holder, p.fitted, p.before = used(), begin, since
				p.holder.nozzle.hours = max(p.holder.nozzle.hours, since)
				p.due, p.reason = m.interval*w.between(0.84, 0.95), "planned"
				fitted = append(fitted, keys("", text("engine", e.id), text("cylinder", p.name), ident("holder", p.holder.serial),
					ident("nozzle", p.holder.nozzle.serial),
					text("counter", e.shown(begin)+" h"), text("since", fmt.Sprintf("%.0f h", since)),
					text("nozzle_hours", fmt.Sprintf("%.0f h", p.holder.nozzle.hours)),
					text("left", left(p.holder)), text("marking", p.holder.nozzle.marking)))
			}
		}
	}
	switch w.IntN(3) {
	case 0:
		w.spares = 0
	case 1:
		w.spares = 1 + w.IntN(3)
	default:
		w.spares = len(w.engines[0].groups[0])
	}
	for i := range w.spares {
		h := used()
		h.spot = fmt.Sprint(i + 1)
		w.rack, w.onRack = append(w.rack, h), append(w.onRack, h)
		w.rackEntries = append(w.rackEntries, keys("", ident("holder", h.serial), ident("nozzle", h.nozzle.serial),
			text("nozzle_hours", fmt.Sprintf("%.0f h", h.nozzle.hours)),
			text("left", left(h)), text("marking", h.nozzle.marking), text("place", h.spot)))
	}
	w.opening = keys("opening", text("date", w.first.String()), &entry{key: "fitted", shape: list, kids: fitted})
	for range 2 * w.leastNozzles() {
		w.receive(w.newNozzle(), w.first)
	}
}

// troubles are the faults that the life of the ship must show; none on an honest vessel.
type troubles struct {
	decideOtherwise func(j *job, s *state, nozzle, why *string) // a crew that decides wrongly
	outlived        *job                                        // the record in which it did
	eater           *holder                                     // a holder that spoils its nozzles
	rough           *position                                   // a position that spoils its valves
	forgotten       *position                                   // a position that nobody opens
	dropped         *wrong                                      // a gauge that will be dropped
	foul            day                                         // first day of a bad fuel: -1 for one to come
	fouled          *engine                                     // the engine it is seen on
	unwritten       string                                      // a handover page that was not written
	// days that a valve may lie in the spares rack, where that is a fault
	rackAge int
	after   []func(all map[string][]byte) // slips made on the files
}

// live lets the days pass until the book holds the overhauls that were asked for and no work is open.
func (w *world) live() {
	for d := w.first + 1; ; d++ {
		w.last = d
		open := len(w.jobs) < w.wanted || w.forgotten != nil && w.hours(w.forgotten) < 1.2*w.manual.interval
		for _, e := range w.engines {
			if d > e.stands && !w.laidUp(e, d) {
				w.look(e, d, open)
			}
			w.run(e, d)
		}
		w.watch(d)
		if !open && d > w.busy || d >= w.horizon-1 {
			break
		}
	}
	w.settle()
}
