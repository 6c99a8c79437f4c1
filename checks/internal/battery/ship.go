package battery

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Habits are how a ship is run.
type Habits struct {
	Engines, Cylinders int
	Spares             int     // valves beyond those in the engines
	Rounds             int     // of each engine
	Interval           float64 // hours
	Moves              Moves
	Base               float64 // share of valves that fail as found without any fault planted
	Pulls              float64 // unplanned pulls a year and engine
	Step               float64 // in which the gauge is read, bar
	Gauges             int     // used in turn, by round
	Tare               float64 // standard deviation of what all readings of a round have in common, bar
	Heads              float64 // chance that a cylinder head is exchanged in a round; 0 where the book names none
	Wear               bool    // valves fail the more the longer they ran: a constant chance an hour
	Lasting            bool    // the last cylinder of each engine is overhauled in every other round alone
}

// Moves is where valves go after the bench.
type Moves uint8

// The habits of fitting.
const (
	InTurn  Moves = iota // a spare set goes in, the other is overhauled for the next round
	ByOne                // each into the next cylinder
	AtWill               // whichever is ready
	Seldom               // mostly back to its cylinder
	Never                // always back
	allWays = 4          // those that move at all
)

// Fault is what is planted.
type Fault struct {
	Kind  string  // "position", "head", "holder", "bunker", "gauge"
	Share float64 // of the valves it fails: 1 for all
	Off   float64 // of the gauge, as a share of what it shows
	After bool    // the gauge errs in the round after the one that a bunker spoilt first
}

// Planted is a fault and where it is.
type Planted struct {
	Fault
	Guilty         int // holder, position (engine*100+cylinder), head, bunker or gauge
	From, To       int // events between which it did harm
	fromDay, toDay float64
}

// Valve is one valve taken out and tested: what was read, and what was true.
type Valve struct {
	Engine, Cylinder int
	Head             int // as positions; -1 where the book names none
	Round            int // in time, over all engines; -1 for a single pull
	Event            int // number of the removal in time: a round or a pull
	Day              float64
	Holder           int
	Hours            float64
	Failed, Pulled   bool
	New              bool // set with a new nozzle
	Found, Left      float64
	Known            bool // how it was left is on record
	SetIn            int  // index of the valve in which it was set; -1 for none
	SetOn            float64
	Leak             float64 // seconds
	Usual            float64 // what a valve of this ship loses in so many hours, bar, negative
	Tested, Set      int     // gauges
	AsLeft           float64 // what was read after setting, this time
	Renewed          bool
}

// Ship is what her book would hold, and the truth.
type Ship struct {
	Habits  Habits
	Planted []Planted
	Valves  []Valve // oldest first
	Events  int
	fuels   [][]int   // bunkers that each valve ran on for a tenth of its days or more
	bunkers []float64 // days they began
	days    float64   // that the ship was followed
}

// draw of habits: what ships differ in.
func habits(r *rand.Rand) Habits {
	h := Habits{Engines: 1 + r.IntN(2), Cylinders: 5 + r.IntN(5), Interval: 1500 + 500*float64(r.IntN(6)),
		Moves: Moves(r.IntN(allWays)), Base: 0.01 + 0.07*r.Float64(), Step: []float64{1, 5, 5, 10}[r.IntN(4)],
		Gauges: 1 + r.IntN(2), Tare: 1.5 * r.Float64()}
	if r.IntN(2) == 0 {
		h.Heads = 0.5 * r.Float64()
	}
	h.Rounds = int((5 + 5*r.Float64()) * hoursOfYear / h.Interval) // five to ten years
	h.Spares = r.IntN(h.Cylinders + 1)
	if h.Moves == InTurn {
		h.Spares = h.Cylinders
	}
	return h
}

const hoursOfYear = 5500.0

type living struct {
	holder   int
	left     float64 // as it was read after setting
	true_    float64
	isNew    bool
	set      int // index of the valve in which it was set
	gauge    int
	setDay   float64
	known    bool
	fittedOn float64
	ageing   float64 // its own share of the loss
}

// Sail makes one ship. change adjusts the habits that were drawn; nil leaves them.
func Sail(seed uint64, faults []Fault, change func(*Habits)) *Ship {
	r := rand.New(rand.NewPCG(seed, 20))
	s := &Ship{Habits: habits(r)}
	for _, f := range faults {
		s.Planted = append(s.Planted, Planted{Fault: f, Guilty: -1, From: math.MaxInt, To: -1, fromDay: math.Inf(1),
			toDay: math.Inf(1)})
	}
	if change != nil {
		change(&s.Habits)
	}
	v := &voyage{Ship: s, r: r, h: s.Habits}
	v.sail()
	return s
}

type voyage struct {
	*Ship
	r      *rand.Rand
	h      Habits
	fitted [][]living
	ready  []living
	heads  [][]int // by engine: of each cylinder, and the spare one last
	events []event
	tare   map[int]float64
	rate   float64 // of leak-down and opening pressure of this ship
}

type event struct {
	day    float64
	engine int
	round  int
	turn   int // of its engine
}

func (v *voyage) sail() {
	h, r := v.h, v.r
	every := h.Interval / hoursOfYear * 365
	v.rate = 0.8 + 0.4*r.Float64()
	end := every * float64(h.Rounds+1)
	for e := range h.Engines {
		first := every * (0.9 + 0.2*r.Float64())
		for n := range h.Rounds {
			v.events = append(v.events, event{first + every*float64(n)*(0.97+0.06*r.Float64()), e, 1, n})
		}
	}
	rounds := slices.Clone(v.events)
	slices.SortFunc(rounds, func(a, b event) int { return int(math.Copysign(1, a.day-b.day)) })
	for i := range rounds {
		rounds[i].round = i
	}
	v.events = rounds
	for d := 0.0; d < end+200; d += 25 + 50*r.Float64() {
		v.bunkers = append(v.bunkers, d)
	}
	v.tare = map[int]float64{}
	holder := 0
	for e := range h.Engines {
		var row []living
		var heads []int
		for c := range h.Cylinders {
			row = append(row, v.fresh(holder))
			heads = append(heads, e*100+c)
			holder++
		}
		v.fitted, v.heads = append(v.fitted, row), append(v.heads, append(heads, e*100+h.Cylinders))
	}
	for range h.Spares {
		v.ready = append(v.ready, v.fresh(holder))
		holder++
	}
	v.plant(end, holder)
	v.days = end + 200
	at := 0
	for i, ev := range rounds {
		// single pulls before this round
		for e := range h.Engines {
			from := 0.0
			if i > 0 {
				from = rounds[i-1].day
			}
			v.pullBetween(e, from, ev.day, &at)
		}
		v.round(ev, at)
		at++
	}
	v.Events = at
}

func (v *voyage) fresh(holder int) living {
	l := living{holder: holder, set: -1, gauge: -1, ageing: v.r.NormFloat64(), known: false}
	l.true_ = 320
	return l
}

// plant decides when and what.
func (v *voyage) plant(end float64, holders int) {
	r := v.r
	spoilt := 0 // the round that a bunker spoilt
	for i := range v.Planted {
		p := &v.Planted[i]
		switch p.Kind {
		case "position", "head":
			p.Guilty = r.IntN(v.h.Engines)*100 + r.IntN(v.h.Cylinders)
			p.fromDay = end * (0.1 + 0.5*r.Float64())
		case "holder":
			p.Guilty = r.IntN(holders)
			p.fromDay = end * (0.1 + 0.4*r.Float64())
		case "bunker":
			// one that was in use for the weeks before a round
			spoilt = len(v.events)/3 + r.IntN(max(1, len(v.events)/2))
			for b, d := range v.bunkers {
				if d < v.events[spoilt].day-20 {
					p.Guilty = b
				}
			}
		case "gauge":
			if p.After {
				v.gaugeWrong(p, min(spoilt+1, len(v.events)-2), 1)
			} else {
				v.gaugeWrong(p, len(v.events)/3+r.IntN(max(1, len(v.events)/2)), 1+r.IntN(2))
			}
		}
	}
}

// gaugeWrong makes the gauge of a round wrong for so many rounds in which it is used.
func (v *voyage) gaugeWrong(p *Planted, n, rounds int) {
	p.Guilty = n % v.h.Gauges
	p.fromDay = v.events[n].day - 1
	last := min(n+(rounds-1)*v.h.Gauges, len(v.events)-1)
	p.toDay = v.events[last].day + 1
}

// shows is what a gauge shows of the truth on a day.
func (v *voyage) shows(gauge int, truth, day float64) float64 {
	for _, p := range v.Planted {
		if p.Kind == "gauge" && gauge == p.Guilty && day >= p.fromDay && day <= p.toDay {
			truth *= 1 + p.Off
		}
	}
	return truth
}

// read is a gauge reading: the middle of three, in the steps in which it is read.
func (v *voyage) read(gauge int, truth, day float64, ev int) float64 {
	tare, known := v.tare[ev]
	if !known {
		tare = v.h.Tare * v.r.NormFloat64()
		v.tare[ev] = tare
	}
	var three []float64
	for range 3 {
		x := v.shows(gauge, truth, day) + tare + 1.5*v.r.NormFloat64()
		three = append(three, v.h.Step*math.Round(x/v.h.Step))
	}
	slices.Sort(three)
	return three[1]
}

// fails is the chance that a valve failed in a service period, and which planted fault had to do with it.
func (v *voyage) fails(e, c int, l living, from, day float64) (p float64, by *Planted) {
	p = v.h.Base
	if v.h.Wear {
		p = 1 - math.Pow(1-p, (day-from)*hoursOfYear/365/v.h.Interval)
	}
	for i := range v.Planted {
		f := &v.Planted[i]
		is := false
		switch f.Kind {
		case "position":
			is = e*100+c == f.Guilty && day > f.fromDay
		case "head":
			is = v.heads[e][c] == f.Guilty && day > f.fromDay
		case "holder":
			is = l.holder == f.Guilty && day > f.fromDay
		case "bunker":
			is = v.burned(f.Guilty, from, day) > 0.1
		}
		if is && f.Share > p {
			p, by = f.Share, f
		}
	}
	return p, by
}

// burned is the share of a period that ran on a bunker; its deposits stay.
func (v *voyage) burned(b int, from, day float64) float64 {
	if b < 0 || day <= from {
		return 0
	}
	begin, end := v.bunkers[b], math.Inf(1)
	if b+1 < len(v.bunkers) {
		end = v.bunkers[b+1]
	}
	return math.Max(0, math.Min(day, end)-math.Max(from, begin)) / (day - from)
}

func (v *voyage) pullBetween(e int, from, to float64, at *int) {
	h, r := v.h, v.r
	// those without a cause
	days := to - from
	n := 0
	for x := r.ExpFloat64(); x < h.Pulls*days/365; x += r.ExpFloat64() {
		n++
	}
	for range n {
		v.one(e, r.IntN(h.Cylinders), from+days*r.Float64(), at)
	}
	// a bad place or a cracked holder is noticed before its time, now and then
	for c := range h.Cylinders {
		l := v.fitted[e][c]
		if _, by := v.fails(e, c, l, l.fittedOn, to); by != nil && by.Kind != "bunker" && l.fittedOn+60 < to &&
			r.Float64() < 0.2*by.Share {
			v.one(e, c, math.Max(l.fittedOn+30, from+days*r.Float64()), at)
		}
	}
}

// one pulls a single valve for its signs, and fits another.
func (v *voyage) one(e, c int, day float64, at *int) {
	l := v.fitted[e][c]
	if day <= l.fittedOn+5 {
		return
	}
	out := v.bench(e, c, l, day, -1, *at, true)
	if len(v.ready) > 0 {
		v.fitted[e][c], v.ready = v.ready[0], append(v.ready[1:], out)
	} else {
		v.fitted[e][c] = out
	}
	v.fitted[e][c].fittedOn = day
	*at++
}

func (v *voyage) round(ev event, at int) {
	h, r := v.h, v.r
	var out []living
	var cylinders []int
	for c := range h.Cylinders {
		if h.Lasting && c == h.Cylinders-1 && ev.turn%2 == 1 {
			continue
		}
		cylinders = append(cylinders, c)
		out = append(out, v.bench(ev.engine, c, v.fitted[ev.engine][c], ev.day, ev.round, at, false))
	}
	n := len(cylinders)
	in := slices.Clone(out)
	switch h.Moves {
	case InTurn:
		all := append(slices.Clone(v.ready), out...)
		in = all[:n]
		v.ready = all[n:]
		r.Shuffle(len(in), func(i, j int) { in[i], in[j] = in[j], in[i] })
	case ByOne:
		all := append(slices.Clone(out), v.ready...)
		all = append(all[1:], all[0])
		in, v.ready = all[:n], all[n:]
	case AtWill:
		all := append(slices.Clone(v.ready), out...)
		r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		in, v.ready = all[:n], all[n:]
	case Seldom:
		for range 1 + r.IntN(3) {
			if len(v.ready) > 0 && r.Float64() < 0.5 {
				i, j := r.IntN(len(in)), r.IntN(len(v.ready))
				in[i], v.ready[j] = v.ready[j], in[i]
			} else {
				i, j := r.IntN(len(in)), r.IntN(len(in))
				in[i], in[j] = in[j], in[i]
			}
		}
	}
	for j, c := range cylinders {
		in[j].fittedOn = ev.day + 1
		v.fitted[ev.engine][c] = in[j]
	}
	if heads := v.heads[ev.engine]; r.Float64() < h.Heads {
		c := cylinders[r.IntN(n)]
		heads[c], heads[h.Cylinders] = heads[h.Cylinders], heads[c]
	}
}

// bench tests a valve as found, and sets it again.
func (v *voyage) bench(e, c int, l living, day float64, round, at int, pulled bool) living {
	r, h := v.r, v.h
	hours := (day - l.fittedOn) * hoursOfYear / 365
	p, by := v.fails(e, c, l, l.fittedOn, day)
	x := Valve{Engine: e, Cylinder: c, Round: round, Event: at, Day: day, Holder: l.holder, Hours: hours,
		Pulled: pulled, New: l.isNew, Left: l.left, Known: l.known, SetIn: l.set, Set: l.gauge, SetOn: l.setDay,
		Failed: pulled || r.Float64() < p, Head: -1}
	if h.Heads > 0 {
		x.Head = v.heads[e][c]
	}
	gauge := 0
	if round >= 0 {
		gauge = round % h.Gauges
	} else {
		gauge = r.IntN(h.Gauges)
	}
	x.Tested = gauge
	// springs settle and seats wear: half of it in the first thousand hours
	loss := 14.0
	if l.isNew {
		loss = 24
	}
	truth := l.true_ - v.rate*loss*(1-math.Exp(-hours/1400)) - 4*r.NormFloat64() - 2*l.ageing
	x.Usual = -v.rate * loss * (1 - math.Exp(-hours/1400))
	leak := 12 * math.Exp(-hours/9000+0.18*r.NormFloat64())
	fouled := slices.ContainsFunc(v.Planted, func(f Planted) bool {
		return f.Kind == "bunker" && v.burned(f.Guilty, l.fittedOn, day) > 0.1
	})
	if fouled {
		truth -= 8
		x.Usual -= 8
		leak *= 0.5
	} else if x.Failed {
		truth -= 6 * math.Abs(r.NormFloat64())
		leak *= 0.8
	}
	var fuels []int
	for b := range v.bunkers {
		if v.burned(b, l.fittedOn, day) > 0.1 {
			fuels = append(fuels, b)
		}
	}
	v.fuels = append(v.fuels, fuels)
	x.Found, x.Leak = v.read(gauge, truth, day, at), leak
	x.Renewed = x.Failed && r.Float64() < 0.6 || r.Float64() < 0.15
	next := living{holder: l.holder, isNew: x.Renewed, set: len(v.Valves), gauge: gauge, setDay: day, known: true,
		ageing: l.ageing}
	want := 322.0
	if next.isNew {
		want = 342
	}
	// the screw is turned until the gauge shows the setting
	next.true_ = want * truthOf(v, gauge, day)
	next.left = v.read(gauge, next.true_, day, at)
	x.AsLeft = next.left
	for i := range v.Planted {
		f := &v.Planted[i]
		if f == by || f.Kind == "gauge" && gauge == f.Guilty && day >= f.fromDay && day <= f.toDay {
			f.From, f.To = min(f.From, at), max(f.To, at)
		}
	}
	v.Valves = append(v.Valves, x)
	return next
}

func truthOf(v *voyage, gauge int, day float64) float64 { return 1 / v.shows(gauge, 1, day) }

// Position is engine and cylinder as a name.
func (x *Valve) Position() string { return fmt.Sprintf("ME%d-%d", x.Engine+1, x.Cylinder+1) }
