package planning

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// Ahead is a round before it is done: what comes out of each cylinder, which ready spare may go in, and what is needed
// for it. It proposes; whoever does the round decides.
type Ahead struct {
	Engine string
	Day    logbook.Day
	Seats  []Seat
	Passed []Passed // valves in the spares rack that go nowhere, each with its reason
	plan   *Plan
	names  map[string]bool // instruments named in the engine's last rounds
	last   *logbook.Round  // the engine's last round; nil for the first
}

// Seat is one cylinder of the round.
type Seat struct {
	logbook.Position
	Holder, Nozzle string // what comes out, by the book; empty where it knows none
	Ran            string // hours in service against the interval, in words
	Renew          string // why its nozzle is to be renewed; empty where its hours allow another interval
	In             Spare  // what goes in; its Holder is empty where no ready spare is left
	Why            string // why that one, or why none
}

// Spare is a valve in the spares rack, and what is to be thought of before it goes in.
type Spare struct {
	Holder, Nozzle, Marking, Place string
	Left                           string // hours of the nozzle's life left, in words
	Tested                         logbook.Day
	Doubts                         []string
	habit                          map[string]int // cylinders of the engine it sat in before, and how often
	Again                          bool           // tested again before it goes in
}

// Passed is a valve in the spares rack that is not proposed.
type Passed struct{ Holder, Why string }

// Ahead plans a round of one engine on a day. cylinders narrows it; fit names holders by their cylinder that somebody
// has decided on.
func (p *Plan) Ahead(engine string, day logbook.Day, cylinders []string, fit map[string]string) *Ahead {
	a := &Ahead{Engine: engine, Day: day, plan: p, names: map[string]bool{}}
	for _, r := range p.Report.Rounds {
		if r.Engine == engine && r.First < day {
			a.last = &r
			for _, o := range r.Overhauls {
				for _, id := range instrumentsOf(o) {
					a.names[id] = true
				}
			}
		}
	}
	for _, pos := range p.Book.Positions() {
		if pos.Engine == engine && (len(cylinders) == 0 || slices.Contains(cylinders, pos.Cylinder)) {
			a.Seats = append(a.Seats, p.seat(pos, day))
		}
	}
	a.assign(p.spares(a), fit)
	return a
}

// seat is what comes out of a position.
func (p *Plan) seat(pos logbook.Position, day logbook.Day) Seat {
	s := Seat{Position: pos, Ran: "not known"}
	period := p.lives.At(pos, day)
	if period == nil {
		s.Ran = "nothing is fitted by the book"
		return s
	}
	s.Holder, s.Nozzle = period.Holder, period.Nozzle
	interval, stated := p.Book.IntervalOn(pos, day)
	if ran, known := p.lives.HoursOn(period, p.today); known {
		s.Ran = hoursOf(ran, true)
		if stated {
			s.Ran = fmt.Sprintf("%.0f h of %s", ran, interval.Hours)
		}
	}
	if stated && interval.Decision != nil {
		s.Ran += " (" + interval.Decision.ID.Written + ")"
	}
	age := p.age(period.Nozzle, period.Holder, pos, p.Book.LimitsOf(pos.Engine))
	switch left := age.Life - age.Hours; {
	case !age.Known || age.Life <= 0:
	case left <= 0:
		s.Renew = fmt.Sprintf("%.0f h run, life %.0f h", age.Hours, age.Life)
	case stated && left < interval.Hours.Float()/2:
		s.Renew = fmt.Sprintf("%.0f h left of %.0f h", left, age.Life)
	}
	return s
}

// spares are the valves in the rack that may go into the engine, and beside them those that may not.
func (p *Plan) spares(a *Ahead) (all []Spare) {
	limits := p.Book.LimitsOf(a.Engine)
	_, permitted := p.permitted(a.Engine, a.Day)
	for _, r := range p.Report.Spares {
		pass := func(format string, args ...any) {
			a.Passed = append(a.Passed, Passed{r.Holder, fmt.Sprintf(format, args...)})
		}
		s := Spare{Holder: r.Holder, Nozzle: r.Nozzle, Place: r.Place, Tested: r.Since, Left: "not known",
			habit: map[string]int{}}
		s.Marking = p.markingIn(&logbook.ServicePeriod{Nozzle: r.Nozzle, Opened: r.Overhaul})
		of := p.Book.LimitsOfHolder(r.Holder)
		if r.Overhaul != nil {
			of = cmp.Or(p.Book.LimitsFor(r.Overhaul), of)
		}
		age := p.age(r.Nozzle, r.Holder, logbook.Position{}, limits)
		switch {
		case of != nil && of != limits:
			pass("it is of another type, %s", of.Name)
			continue
		case s.Marking != "" && len(permitted) > 0 && !slices.Contains(permitted, s.Marking):
			pass("marking %s is not permitted on %s, permitted: %s", s.Marking, a.Engine, strings.Join(permitted, "; "))
			continue
		case !r.State.Tested || len(r.State.Because) > 0:
			pass("not ready: %s", r.State)
			continue
		case age.Known && age.Life > 0 && age.Hours >= age.Life:
			pass("nozzle %s has run %.0f h, life %.0f h", r.Nozzle, age.Hours, age.Life)
			continue
		}
		if age.Known && age.Life > 0 {
			s.Left = fmt.Sprintf("%.0f h", age.Life-age.Hours)
		}
		s.Doubts = p.doubts(a, r.Overhaul, age, of == nil, s.Marking == "" && len(permitted) > 0)
		if d, most := a.Day.Days(r.Since), p.Book.Settings().SpareTestAge; float64(d) > most.Float() {
			s.Again = true
			words := fmt.Sprintf("test again: tested %d d before, limit %s", d, most.Written)
			if r.Overhaul == nil { // of the starting state, which tells no test
				words = "test again: no test is on record, on board since " + r.Since.String()
			}
			s.Doubts = append(s.Doubts, words)
		}
		if r.Overhaul == nil {
			s.Tested = 0
		}
		if r.State.Under != "" {
			s.Doubts = append(s.Doubts, "under "+r.State.Under)
		}
		for _, period := range p.lives.OfHolder(r.Holder) {
			if period.Engine == a.Engine {
				s.habit[period.Cylinder]++
			}
		}
		all = append(all, s)
	}
	return all
}

// doubts are what is to be thought of before a spare goes in, beside the age of its test.
func (p *Plan) doubts(a *Ahead, o *logbook.Overhaul, age Age, anyType, anyMarking bool) (all []string) {
	if o != nil && o.Trial.Stated() {
		all = append(all, "under trial "+o.Trial.Written)
	}
	least := math.Inf(1)
	for _, s := range a.Seats {
		if i, stated := p.Book.IntervalOn(s.Position, a.Day); stated {
			least = min(least, i.Hours.Float())
		}
	}
	if left := age.Life - age.Hours; age.Known && age.Life > 0 && left < least && !math.IsInf(least, 1) {
		all = append(all, fmt.Sprintf("nozzle %s has %.0f h left, interval %.0f h", age.Nozzle, left, least))
	}
	if anyType {
		all = append(all, "its type is not stated")
	}
	if anyMarking {
		all = append(all, "its marking is not in the book: read it")
	}
	return all
}

// assign puts the spares into the cylinders: those that somebody decided on first, then as many as there are cylinders,
// those with the fewest doubts, into the cylinder that each sat in most often.
func (a *Ahead) assign(spares []Spare, fit map[string]string) {
	free := map[string]*Seat{}
	for i := range a.Seats {
		s := &a.Seats[i]
		holder, decided := fit[s.Cylinder]
		if !decided {
			free[s.Cylinder] = s
			continue
		}
		s.Why = "as decided"
		for _, other := range a.Seats[:i] {
			if other.In.Holder == holder {
				s.In.Holder, s.Why = holder, "as decided, and it is decided for "+other.Position.String()+" already"
			}
		}
		if s.In.Holder != "" {
			continue
		}
		at := slices.IndexFunc(spares, func(x Spare) bool { return x.Holder == holder })
		switch {
		case at >= 0:
			s.In = spares[at]
			spares = slices.Delete(spares, at, at+1)
		default:
			s.In.Holder, s.Why = holder, a.whyNot(s, holder)
		}
	}
	for _, s := range a.Seats { // one that comes out of this round is not free to go in by itself
		spares = slices.DeleteFunc(spares, func(x Spare) bool { return x.Holder == s.Holder })
	}
	most := func(x Spare) (n int) {
		for c := range free {
			n = max(n, x.habit[c])
		}
		return n
	}
	slices.SortStableFunc(spares, func(x, y Spare) int {
		return cmp.Or(compareBool(x.Again, y.Again), cmp.Compare(len(x.Doubts), len(y.Doubts)),
			cmp.Compare(most(y), most(x)), cmp.Compare(x.Tested, y.Tested), cmp.Compare(x.Holder, y.Holder))
	})
	used := min(len(spares), len(free))
	none := "no ready spare is left"
	if len(spares) == 0 {
		none = "there is no ready spare"
	}
	for _, x := range spares[used:] {
		a.Passed = append(a.Passed, Passed{x.Holder, "it is not needed"})
	}
	a.place(spares[:used], free)
	for _, s := range free {
		s.Why = none + ": its own valve goes back after the overhaul"
		if s.Holder == "" {
			s.Why = none
		}
	}
}

// place takes, again and again, the spare and the free cylinder that belong together most.
func (a *Ahead) place(spares []Spare, free map[string]*Seat) {
	for len(spares) > 0 {
		best, seat := 0, (*Seat)(nil)
		for i, x := range spares {
			for j := range a.Seats {
				s := free[a.Seats[j].Cylinder]
				if s != nil && (seat == nil || x.habit[s.Cylinder] > spares[best].habit[seat.Cylinder]) {
					best, seat = i, s
				}
			}
		}
		x := spares[best]
		seat.In, seat.Why = x, "free to go anywhere"
		if n := x.habit[seat.Cylinder]; n > 0 {
			seat.Why = "sat here " + logbook.Counted(n, "time") + " before"
		}
		delete(free, seat.Cylinder)
		spares = slices.Delete(spares, best, best+1)
	}
}

// whyNot says of a holder that somebody decided on, and that is no spare that may go in, what speaks against it.
func (a *Ahead) whyNot(s *Seat, holder string) string {
	if holder == s.Holder {
		return "goes back after the overhaul, as decided"
	}
	for _, p := range a.Passed {
		if p.Holder == holder {
			return "as decided, and " + p.Why
		}
	}
	return "as decided, and it is no ready spare by the book"
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// Paper is the plan as it is read: what goes where, what is needed against what is on board, and how long it took.
func (a *Ahead) Paper() paper.Paper {
	p := a.plan
	out := paper.Paper{Name: "round", Title: fmt.Sprintf("A round of %s on %s: %s", a.Engine, a.Day,
		logbook.Counted(len(a.Seats), "valve"))}
	if read := p.paces[a.Engine].Read; read != 0 && read != a.Day {
		out.Lead = append(out.Lead, "hours are those by the counter of "+read.String())
	}
	t := paper.Table{Name: "valves", Columns: []string{"cylinder", "comes out", "nozzle", "has run", "goes in",
		"nozzle in", "marking", "life left", "tested", "why", "before it goes in"}, Empty: "no such cylinder"}
	for _, s := range a.Seats {
		t.Add(paper.At(s.Position), paper.Holder(dash(s.Holder)), paper.Nozzle(dash(s.Nozzle)), paper.Text(s.Ran),
			paper.Holder(dash(s.In.Holder)), paper.Nozzle(dash(s.In.Nozzle)), paper.Text(dash(s.In.Marking)),
			paper.Text(dash(s.In.Left)), paper.Text(dash(s.In.Tested.String())), paper.Text(s.Why),
			paper.Text(dash(strings.Join(s.In.Doubts, "; "))))
	}
	out.Tables = append(out.Tables, t, a.passed(), a.parts(), a.tools(), p.took(a.last))
	out.Notes = []string{"it proposes, and whoever does the round decides; the stamps on the valves come before the book"}
	if slices.ContainsFunc(a.Seats, func(s Seat) bool { return s.In.Again }) {
		out.Notes = append(out.Notes, "a spare that is tested again as it lies has a row of its own in the table, and "+
			"boxes on the back of the sheet; one that is opened: needlebook enter HOLDER")
	}
	return out
}

func (a *Ahead) passed() paper.Table {
	t := paper.Table{Name: "passed", Title: "in the spares rack and not proposed", Columns: []string{"holder", "why"},
		Empty: "none"}
	for _, x := range a.Passed {
		t.Add(paper.Holder(x.Holder), paper.Text(x.Why))
	}
	return t
}

// parts are the nozzles that are at their life, and what each valve of the last round took from the stores, for as many
// valves as come out now.
func (a *Ahead) parts() paper.Table {
	t := paper.Table{Name: "parts", Title: "parts and seals, against what is on board",
		Columns: []string{"item", "part number", "needed", "on board", "short", "because"},
		Empty:   "not known: the stores book nothing for a round of this engine"}
	n := 0
	for _, s := range a.Seats {
		if s.Holder != "" {
			n++
		}
	}
	used, valves := a.usedLast()
	renew := 0
	for _, s := range a.Seats {
		if s.Renew != "" {
			renew++
		}
	}
	for _, it := range a.plan.items {
		needed, because := 0.0, ""
		switch {
		case it.Nozzle && renew > 0 && slices.Contains(it.Types, a.limitsName()):
			needed, because = float64(renew), "nozzles at or near their life"
		case !it.Nozzle && used[it.Name] > 0 && valves > 0:
			needed = math.Ceil(used[it.Name]*float64(n)/float64(valves) - 1e-9)
			because = fmt.Sprintf("%g for %s last time", used[it.Name], logbook.Counted(valves, "valve"))
		default:
			continue
		}
		short := math.Max(0, needed-it.OnBoard)
		shown := dash("")
		if short > 0 {
			shown = fmt.Sprintf("%g", short)
		}
		t.Add(paper.Text(it.Name), paper.Text(dash(it.PartNo)), num(needed), num(it.OnBoard), paper.Text(shown),
			paper.Text(because))
	}
	return t
}

func (a *Ahead) limitsName() string {
	if l := a.plan.Book.LimitsOf(a.Engine); l != nil {
		return l.Name
	}
	return ""
}

// afterRound is how long after the last fitting of a round its parts are booked out: from memory, no source.
const afterRound = 7

// usedLast is what left the stores in the days of the engine's last round, by item, and how many valves were overhauled
// then, whatever engine they were of.
func (a *Ahead) usedLast() (used map[string]float64, valves int) {
	used = map[string]float64{}
	if a.last == nil {
		return used, 0
	}
	from, to := daysOf(a.last)
	for _, o := range a.plan.Book.Overhauls {
		if d := o.Day(); d >= from && d <= to {
			valves++
		}
	}
	for _, m := range a.plan.Book.Stock {
		if d := m.Date.Day; m.Change.Valid && m.Change.Value < 0 && d >= from && d <= to+afterRound {
			used[m.Item.Written] -= m.Change.Value
		}
	}
	return used, valves
}

// daysOf are the first and the last day of a round, from its first removal to the last test or fitting.
func daysOf(r *logbook.Round) (from, to logbook.Day) {
	from, to = r.First, r.First
	for _, o := range r.Overhauls {
		for _, d := range []logbook.Day{o.Removed.Date.Day, o.AsLeft.Date.Day, o.Stored.Date.Day} {
			to = max(to, d)
		}
	}
	return from, to
}

// tools are the instruments of the last round, kind by kind: those in date on the day, and those that are not.
func (a *Ahead) tools() paper.Table {
	t := paper.Table{Name: "tools", Title: "instruments, on the day of the round",
		Columns: []string{"kind", "in date", "not in date"}, Empty: "not known: no earlier round names one"}
	kinds := map[string]bool{}
	for id := range a.names {
		if i := a.plan.Book.Instruments[id]; i != nil {
			kinds[i.Kind.Written] = true
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(kinds)) {
		var in, out []string
		for _, id := range slices.Sorted(maps.Keys(a.plan.Book.Instruments)) {
			i := a.plan.Book.Instruments[id]
			switch {
			case i.Kind.Written != kind:
			case i.Until.Day != 0 && i.Until.Day < a.Day:
				out = append(out, id+" since "+i.Until.Day.String())
			case i.Until.Day != 0:
				in = append(in, id+" until "+i.Until.Day.String())
			default:
				in = append(in, id)
			}
		}
		t.Add(paper.Text(cmp.Or(kind, "kind not stated")), paper.Text(cmp.Or(strings.Join(in, ", "), "none")),
			paper.Text(dash(strings.Join(out, ", "))))
	}
	return t
}

// took is how long the last round took.
func (p *Plan) took(r *logbook.Round) paper.Table {
	t := paper.Table{Name: "time", Title: "how long the last round took", Columns: []string{"round", "valves", "days",
		"bench minutes a valve"}, Empty: "no earlier round is on record"}
	if r == nil {
		return t
	}
	from, to := daysOf(r)
	minutes, timed := 0.0, 0
	for _, o := range r.Overhauls {
		if o.Minutes.Valid {
			minutes, timed = minutes+o.Minutes.Value, timed+1
		}
	}
	each := "not noted"
	if timed > 0 {
		each = fmt.Sprintf("%.0f, of %s", minutes/float64(timed), logbook.Counted(timed, "valve"))
	}
	t.Add(paper.Text(r.Name), num(float64(len(r.Overhauls))), num(float64(to.Days(from)+1)), paper.Text(each))
	return t
}
