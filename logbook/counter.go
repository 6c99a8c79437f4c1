package logbook

import (
	"regexp"
	"sort"
	"strings"

	"needlebook/logbook/measure"
)

// Position is one place on an engine that takes a valve.
type Position struct {
	Engine, Cylinder string
}

// String is the position in short: "ME1-3"; what is not stated of it is said.
func (p Position) String() string {
	switch {
	case p == Position{}:
		return "–"
	case p.Engine == "":
		return "cylinder " + p.Cylinder + ", engine not stated"
	case p.Cylinder == "":
		return p.Engine + ", cylinder not stated"
	}
	return p.Engine + "-" + p.Cylinder
}

// Positions lists the vessel's positions, engine by engine, cylinders in their order.
func (b *Book) Positions() []Position {
	var all []Position
	for _, e := range b.Vessel.Engines {
		for _, c := range e.Cylinders.Each {
			if e.ID.Stated() && c.Stated() {
				all = append(all, Position{e.ID.Written, c.Written})
			}
		}
	}
	return all
}

var replacedNote = regexp.MustCompile(`^replaced:.*?([0-9][0-9., '’\x{a0}\x{202f}\x{2009}]*?)\s*h?\s*$`)

// Replaced reads the note of a replaced counter: what the old one showed at its end.
func (r Reading) Replaced() (ended float64, ok bool) {
	m := replacedNote.FindStringSubmatch(r.Note.Written)
	if m == nil {
		return 0, false
	}
	q, _ := measure.Parse(m[1]+" h", measure.Hours)
	return q.Float(), q.Valid()
}

// endings reports the notes of replaced counters that do not tell what the old one ended at.
func endings(rows []Reading) (problems []Problem) {
	for _, r := range rows {
		m := replacedNote.FindStringSubmatchIndex(r.Note.Written)
		if m == nil {
			continue
		}
		text := r.Note.Written
		_, slips := measure.Parse(text[m[2]:m[3]]+" h", measure.Hours)
		reportSlips(slips, func(p Problem) {
			whole := func(number string) string { return text[:m[2]] + strings.TrimSuffix(number, " h") + text[m[3]:] }
			p.Place, p.Key, p.At = r.Note.Place, r.Note.Key, p.At+m[2]
			if p.Type != "" {
				p.Type = whole(p.Type)
			}
			for i := range p.Meant {
				p.Meant[i] = whole(p.Meant[i])
			}
			problems = append(problems, p)
		})
	}
	return problems
}

// counter is one engine's hour counter through its replacements: total = reading + offset, by day.
type counter struct {
	from   []Day
	offset []float64
	ended  []float64 // what the counter before showed at its end
	known  []point   // readings as totals, in order of days
}

type point struct {
	day   Day
	total float64
}

// newCounter follows the readings of one engine by day. One that cannot be, beside those before and after it, tells no
// hours.
func newCounter(rows []Reading, within float64) *counter {
	c := &counter{from: []Day{0}, offset: []float64{0}, ended: []float64{0}}
	sorted := append([]Reading(nil), rows...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Date.Day < sorted[j].Date.Day })
	for _, r := range sorted {
		if r.Date.Day == 0 || !r.Counter.Valid {
			continue
		}
		if ended, ok := r.Replaced(); ok {
			c.from = append(c.from, r.Date.Day)
			c.offset = append(c.offset, c.offset[len(c.offset)-1]+ended-r.Counter.Value)
			c.ended = append(c.ended, ended)
		}
		c.known = append(c.known, point{r.Date.Day, c.total(r.Date.Day, r.Counter.Value)})
	}
	c.known = possible(c.known, within)
	return c
}

// follows says that a counter can have come from one reading to another: not back, and no faster than every hour of
// both days.
func (q point) follows(p point, within float64) bool {
	gained := q.total - p.total
	return gained >= -within && gained <= 24*float64(q.day.Days(p.day)+1)
}

// A reading is held against this many that come next, and at most so many in a row are left out: more are another
// counter, from memory.
const (
	ahead  = 5
	atMost = 2
)

// possible leaves out the readings that do not follow from those before while those after them do.
func possible(all []point, within float64) []point {
	var kept []point
	out := 0 // left out just now
	for i, q := range all {
		if len(kept) == 0 || q.follows(kept[len(kept)-1], within) {
			kept, out = append(kept, q), 0
			continue
		}
		back := -1 // how many of those kept have to go before this one follows
		for n := 1; n <= min(atMost, len(kept)); n++ {
			if len(kept) == n || q.follows(kept[len(kept)-n-1], within) {
				back = n
				break
			}
		}
		last := kept[len(kept)-1]
		with, against := 0, 0
		for _, r := range all[i+1 : min(i+1+ahead, len(all))] {
			if r.follows(q, within) {
				with++
			}
			if r.follows(last, within) {
				against++
			}
		}
		switch {
		case back > 0 && with > against:
			kept, out = append(kept[:len(kept)-back], q), 0
		case out < atMost && against >= with:
			out++
		default:
			kept, out = append(kept, q), 0 // another counter, which nobody entered
		}
	}
	return kept
}

// total is the engine's running hours in all for a reading on a day. On the very day of a replacement the reading
// itself tells which counter it was: the old one ended near its last value.
func (c *counter) total(day Day, reading float64) float64 {
	// a day long before the first counter is its too
	i := max(0, sort.Search(len(c.from), func(i int) bool { return c.from[i] > day })-1)
	if i > 0 && c.from[i] == day && reading > c.ended[i]/2 {
		i--
	}
	return reading + c.offset[i]
}

// Total is the engine's running hours in all, right across replaced counters, for a reading of the counter on a day.
func (b *Book) Total(engine string, day Day, reading float64) float64 {
	return b.counterOf(engine).total(day, reading)
}

func (b *Book) counterOf(engine string) *counter {
	if c, ok := b.counters[b.HostOf(engine)]; ok {
		return c
	}
	return newCounter(nil, 0)
}

// TotalOn is the engine's running hours in all at the end of a day, between readings by the rate between them, after
// the last by none. ok is false before the first reading and where there is none.
func (b *Book) TotalOn(engine string, day Day) (hours float64, ok bool) {
	known := b.counterOf(engine).known
	i := sort.Search(len(known), func(i int) bool { return known[i].day > day })
	switch {
	case i == 0:
		return 0, false
	case i == len(known) || known[i-1].day == day:
		return known[i-1].total, true
	}
	p, q := known[i-1], known[i]
	return p.total + (q.total-p.total)*float64(day-p.day)/float64(q.day-p.day), true
}

// Rate is the engine's running hours a day over the last days before a day, from its readings.
func (b *Book) Rate(engine string, day Day, days int) (perDay float64, ok bool) {
	now, ok := b.TotalOn(engine, day)
	before, ok2 := b.TotalOn(engine, day-Day(days))
	if !ok || !ok2 || days <= 0 {
		return 0, false
	}
	return (now - before) / float64(days), true
}
