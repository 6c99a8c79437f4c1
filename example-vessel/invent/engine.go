package invent

import (
	"fmt"
	"strconv"
	"strings"
)

// engine is one engine with its cylinders and its hour counter.
type engine struct {
	id, name string
	at       []*position
	groups   [][]*position // what is pulled together in one round
	perDay   float64       // hours of a day at sea
	total    []float64     // hours in all at the end of each day, from the first day of the book
	meters   []meter       // hour counters, the first one first
	decimals int           // that the counter shows
	stands   day           // last day of the work that keeps it stopped
	worked   day           // last day on which it was worked on
	newMeter day           // day from which a new counter is due; 0 for none
}

// meter is one hour counter.
type meter struct {
	from        day
	begins      float64 // what it showed then
	total       float64 // hours in all then
	oldShowedAt string  // reading at which the one before ended
}

// position is one cylinder with the valve in it.
type position struct {
	engine *engine
	name   string
	holder *holder
	fitted float64 // hours of the engine in all at the fitting
	before float64 // hours the valve had run since its overhaul when the book began
	due    float64 // hours of the valve at which it comes out
	reason string  // why it comes out then
	trial  string  // trial under which it runs longer
	rings  int     // old rings left in by a fault
	pulled *job    // the last overhaul of a valve that came out
	habit  float64 // exhaust deviation that it always shows
	ill    string  // trouble of the valve that the cylinder shows
}

// hours are the running hours of the valve in the position.
func (w *world) hours(p *position) float64 { return p.engine.now() - p.fitted + p.before }

func (e *engine) now() float64 { return e.total[len(e.total)-1] }

// reading is what the counter shows at so many hours in all on a day.
func (e *engine) reading(total float64, d day) string {
	m := e.meters[0]
	for _, x := range e.meters {
		if x.from <= d {
			m = x
		}
	}
	return e.shown(total - m.total + m.begins)
}

func (e *engine) shown(v float64) string { return strconv.FormatFloat(v, 'f', e.decimals, 64) }

// layUp is a time in which engines stand.
type layUp struct {
	engine   *engine // nil for all
	from, to day
	why      string
}

func (w *world) laidUp(e *engine, d day) bool {
	for _, l := range w.layUps {
		if (l.engine == nil || l.engine == e) && d >= l.from && d <= l.to {
			return true
		}
	}
	return false
}

// run lets the engine run for a day.
func (w *world) run(e *engine, d day) {
	hours := 0.0
	switch {
	case w.laidUp(e, d) || d <= e.stands:
	case int(d)%9 == int(w.seed%9): // in port
		hours = e.perDay * w.between(0.2, 0.5)
	default:
		hours = min(e.perDay*w.about(1.08, 0.09), 23.6)
	}
	e.total = append(e.total, e.now()+hours)
	if e.newMeter != 0 && d >= e.newMeter && d > e.worked+1 && !w.laidUp(e, d) {
		begins := 0.0
		if w.chance(30) {
			begins = float64(w.IntN(40))
		}
		e.meters = append(e.meters, meter{d, begins, e.now(), e.reading(e.now(), d)})
		e.newMeter = 0
		e.worked = d
	}
}

func newEngines(w *world, wanted int) []*engine {
	vee := w.chance(35)
	n := 1 + w.IntN(4)
	cylinders := 3 + w.IntN(8)
	if vee {
		cylinders = 2 * (3 + w.IntN(7))
	}
	for n*cylinders > max(wanted, 6) {
		if n > 1 {
			n--
		} else {
			vee, cylinders = false, 3+w.IntN(3)
			break
		}
	}
	if wanted > large {
		n, cylinders, vee = 4, 18, true
	}
	prefix := pick(w.Rand, "ME", "AE", "DG", "Engine-")
	numbered := w.IntN(2)
	perDay := w.between(9, 22)
	if wanted > large {
		perDay = 21
	}
	decimals := 0
	if w.chance(20) {
		decimals = 1
	}
	var all []*engine
	for i := range n {
		e := &engine{id: fmt.Sprint(prefix, i+1), name: []string{"port", "starboard", "inner port", "inner starboard"}[i],
			perDay: perDay * w.about(1, 0.05), decimals: decimals}
		if n == 1 {
			e.name = "main engine"
		}
		for c := range cylinders {
			name := strconv.Itoa(c + 1)
			if vee {
				name = fmt.Sprintf("%c%d", 'A'+c%2, c/2+1)
				if numbered == 1 {
					name = fmt.Sprintf("%c%d", 'A'+c/(cylinders/2), c%(cylinders/2)+1)
				}
			}
			e.at = append(e.at, &position{engine: e, name: name})
		}
		e.groups = [][]*position{e.at}
		if vee && w.chance(50) {
			half := map[byte][]*position{}
			for _, p := range e.at {
				half[p.name[0]] = append(half[p.name[0]], p)
			}
			e.groups = [][]*position{half['A'], half['B']}
		}
		all = append(all, e)
	}
	return all
}

// counters is hours/<engine>.csv: a reading a week, the days of work and the counters that were replaced.
func (e *engine) table(w *world) string {
	var b strings.Builder
	b.WriteString("date,counter_h,note\n")
	for d := w.first; d <= w.last; d++ {
		row := func(note string) {
			fmt.Fprintf(&b, "%s,%s,%s\n", d, e.reading(e.total[d-w.first], d), note)
		}
		replaced := false
		for _, m := range e.meters[1:] {
			if m.from == d {
				fmt.Fprintf(&b, "%s,%s,replaced: old counter ended at %s\n", d, e.shown(m.begins), m.oldShowedAt)
				replaced = true
			}
		}
		switch {
		case replaced:
		case d == w.first:
			row("book begins")
		case (d-w.first)%7 == 0 || d == w.last:
			row("")
		}
	}
	return b.String()
}
