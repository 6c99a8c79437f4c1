package evidence

import (
	"cmp"
	"math"
	"slices"

	"needlebook/checks/drift"
	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// Association is a thing that occurs with findings more often than chance explains. It is no proof of a cause.
type Association struct {
	Kind, Which string  // "holder", "H-109"
	With        string  // "failed as found", or "opening pressure off the ship's normal"
	Bad, N      int     // findings among the valves that had it
	RestBad     int     // findings among the others
	RestN       int     //
	Effect      float64 // bar, for a shift; 0 for a count
	Ran, Others float64 // mean hours that those with it and the others had run; 0 where not known
	P           float64 // chance of at least as much, if it had nothing to do with it
	Adjusted    float64 // the same, allowing for everything that could have been answered (Holm)
	Exact       bool    // every way was counted; else the normal distribution stands in
	Order       int     // 1 for the clearest; the records it explains are set aside before the next is looked for
}

// What associations occur with.
const (
	withBad   = "failed as found"
	withShift = "opening pressure off the ship's normal"
)

// clear is the chance above which nothing is named: one in twenty, common practice, no source.
const clear = 0.05

// Associations asks, for bad valves and for shifted opening pressures, what occurs with them. The clearest is named,
// its records are set aside, and the rest is asked again, so that who merely worked on that holder or in that month is
// not named with it. asked counts every question.
//
// A holder, a position or a batch is a matter of each valve; rounds fouled as a whole say nothing of it and are left
// out. Fuel, gauge, season, engine and hand are shared by all valves of one round: what one round shows speaks once,
// however many valves it had, so for these whole rounds are counted and not valves.
func (e *Evidence) Associations() (found []Association, asked int) { return e.named, e.asked }

func (e *Evidence) associate() {
	r := roll{number: map[trait]int{}}
	bad, n := stepDown(withBad, e.badOnes(&r), &r)
	off, m := stepDown(withShift, e.shiftedOnes(&r), &r)
	e.named, e.asked = append(bad, off...), n+m
}

// roll gives each trait a number, so that grouping thousands of valves by it compares no texts.
type roll struct {
	traits []trait
	number map[trait]int
}

func (r *roll) numbers(all []trait) []int {
	out := make([]int, len(all))
	for i, t := range all {
		n, known := r.number[t]
		if !known {
			n = len(r.traits)
			r.number[t], r.traits = n, append(r.traits, t)
		}
		out[i] = n
	}
	return out
}

// seen is an opening with what it showed: 1 or 0 for bad or fine, bar off the ship's normal for a shift.
type seen struct {
	*Opening
	value  float64
	fouled bool // its round was fouled as a whole
	round  string
	had    []int // traits by their numbers
}

func (e *Evidence) seen(o *Opening, value float64, r *roll) seen {
	return seen{o, value, e.Recurring.FouledWith(o.Overhaul) != nil, cmp.Or(e.round[o.Overhaul], o.Overhaul.Stem),
		r.numbers(e.traits(*o))}
}

func (e *Evidence) badOnes(r *roll) []seen {
	var all []seen
	openings := slices.Concat(e.Openings, e.ageless)
	for i := range openings {
		switch o := &openings[i]; o.State {
		case Bad:
			all = append(all, e.seen(o, 1, r))
		case Fine:
			all = append(all, e.seen(o, 0, r))
		}
	}
	return all
}

// shiftedOnes are the opening pressures that came back, held against the ship's normal for their type, setting class
// and hours. Those set or tested with a gauge on record as wrong are explained by that, and stand in a table of their
// own.
func (e *Evidence) shiftedOnes(r *roll) []seen {
	at := map[*logbook.Overhaul]*Opening{}
	for i := range e.Openings {
		at[e.Openings[i].Overhaul] = &e.Openings[i]
	}
	// a valve loses pressure by its hours, and one type otherwise than another: neither is for the engine or the hand to
	// answer
	type alike struct {
		limits *logbook.Limits
		class  logbook.Class
	}
	var all []seen
	of := map[alike][]int{}
	for _, s := range e.Recurring.Shifts {
		if o, ok := at[s.Overhaul]; ok && !s.Settled && s.LeftWrong == nil && s.FoundWrong == nil &&
			e.Recurring.FouledWith(s.Overhaul) == nil {
			k := alike{e.Book.LimitsOf(o.ServicePeriod.Engine), s.Left.Class}
			of[k] = append(of[k], len(all))
			all = append(all, e.seen(o, s.Bar, r))
		}
	}
	for _, which := range of {
		hours, bars := make([]float64, len(which)), make([]float64, len(which))
		for i, j := range which {
			hours[i], bars[i] = all[j].Hours, all[j].value
		}
		usual := e.habit(hours, bars)
		for i, j := range which {
			all[j].value -= usual(hours[i])
		}
	}
	return all
}

// habit is how opening pressures usually come back after so many hours: a median line through the latest, or their
// middle where no line can be drawn.
func (e *Evidence) habit(hours, bars []float64) func(hours float64) float64 {
	from := max(0, len(bars)-robustOver)
	line, err := drift.MedianFit(hours[from:], bars[from:], e.level())
	if err != nil {
		mid := recurring.Habit(bars, 0).Median
		return func(float64) float64 { return mid }
	}
	off := make([]float64, len(bars))
	for i, h := range hours {
		off[i] = bars[i] - line.At(h)
	}
	mid := recurring.Habit(off, 0).Median // the line's own middle is that of the latest
	return func(h float64) float64 { return line.At(h) + mid }
}

// trait is what a valve had: kind and name.
type trait struct{ kind, name string }

// The kinds of trait. Those of the valve are asked valve by valve, the others round by round.
const (
	aHolder     = "holder"
	aPosition   = "position"
	aBatch      = "nozzle batch"
	anEngine    = "engine"
	aBunker     = "bunker"
	aSeason     = "season"
	gaugeSet    = "gauge it was set with"
	gaugeTried  = "gauge it was tested with"
	signerSet   = "person who set it"
	signerTried = "person who tested it"
)

// mayLack says that a record may leave the kind out. Valves of which it is not known are no company to hold the others
// against: a person must not stand out from the valves that nobody on record set.
func (t trait) mayLack() bool {
	return slices.Contains([]string{aBatch, gaugeSet, gaugeTried, signerSet, signerTried}, t.kind)
}

func (t trait) ofValve() bool { return t.kind == aHolder || t.kind == aPosition || t.kind == aBatch }

// asks says that a kind can have to do with a finding: a gauge makes no valve bad; fuel fouls and wears but moves no
// spring by itself, and seasons go with the fuel.
func (t trait) asks(with string) bool {
	if with == withBad {
		return t.kind != gaugeSet && t.kind != gaugeTried
	}
	return t.kind != aBunker && t.kind != aSeason
}

// traits are what a valve had. A holder is that of the service life; gauge and hand are those that set it and those
// that tested it.
func (e *Evidence) traits(o Opening) []trait {
	s := o.ServicePeriod
	all := []trait{{aHolder, s.Holder}, {aPosition, s.Position.String()}, {anEngine, s.Engine}, {aSeason, season(o.Day)}}
	if p := e.Book.Part("nozzle", s.Nozzle); p != nil {
		all = append(all, trait{aBatch, p.Batch.Written})
	}
	if set := s.Opened; set != nil {
		all = append(all, trait{signerSet, set.By.Written}, trait{gaugeSet, set.AsLeft.Gauge.Written})
	}
	all = append(all, trait{signerTried, o.Overhaul.By.Written}, trait{gaugeTried, o.Overhaul.AsFound.Gauge.Written})
	days := s.To.Days(s.From)
	for i := range e.Book.Bunkers {
		b := &e.Book.Bunkers[i]
		to := s.To
		if b.To.Day != 0 {
			to = min(to, b.To.Day)
		}
		// a fuel of a tenth of the days counts as burned: fouling of a few days does not burn away again
		if b.From.Day != 0 && 10*to.Days(max(s.From, b.From.Day)) >= days {
			all = append(all, trait{aBunker, bunkerName(b)})
		}
	}
	return slices.DeleteFunc(all, func(t trait) bool { return t.name == "" })
}

// bunkerName tells deliveries from one port apart.
func bunkerName(b *logbook.Bunker) string { return b.Stem.Written + " of " + b.Received.Written }

// season is empty for an overhaul without a day.
func season(d logbook.Day) string {
	if d == 0 {
		return ""
	}
	return [...]string{"winter", "spring", "summer", "autumn"}[int(d.Time().Month())%12/3]
}

// least is the fewest valves that a trait is asked about: two may be chance.
const least = 3

// subjects groups overhauls by trait: names are those asked about, in a fixed order, by their numbers.
func subjects(of []seen, with string, r *roll) (names []int, by [][]int) {
	by = make([][]int, len(r.traits))
	for i, o := range of {
		for _, n := range o.had {
			if l, t := by[n], r.traits[n]; t.asks(with) && !(t.ofValve() && o.fouled) && (len(l) == 0 || l[len(l)-1] != i) {
				by[n] = append(l, i)
			}
		}
	}
	known := map[string]int{} // overhauls that tell, by kind; none has two of a kind that may lack
	for n, l := range by {
		known[r.traits[n].kind] += len(l)
	}
	for n, l := range by {
		all := len(of)
		if t := r.traits[n]; t.mayLack() {
			all = known[t.kind]
		}
		if len(l) >= least && len(l) < all {
			names = append(names, n)
		}
	}
	slices.SortFunc(names, func(i, j int) int {
		a, b := r.traits[i], r.traits[j]
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.name, b.name))
	})
	return names, by
}

// stepDown names the clearest association, sets its records aside, and asks again, until chance explains what is left.
// What the valves themselves had and what whole rounds shared are two sets of questions, each held against its own
// number.
func stepDown(with string, open []seen, r *roll) (found []Association, asked int) {
	for order := 1; ; order++ {
		names, by := subjects(open, with, r)
		if order == 1 {
			asked = len(names)
		}
		whole := inquire(with, open)
		telling := map[string]inquiry{} // by kind, where a record may lack it
		answers := make([]Association, len(names))
		least := map[bool][]float64{}
		for i, n := range names {
			var smallest float64
			t, asking, had := r.traits[n], whole, by[n]
			if t.mayLack() {
				if _, made := telling[t.kind]; !made {
					telling[t.kind] = inquire(with, thatTell(open, t.kind, r))
				}
				asking = telling[t.kind]
				had = asking.among(had, whole)
			}
			answers[i], smallest = asking.about(t, had)
			least[t.ofValve()] = append(least[t.ofValve()], smallest)
		}
		times := map[bool]float64{true: float64(within(least[true], clear)), false: float64(within(least[false], clear))}
		best := -1
		for i, n := range names {
			a := &answers[i]
			a.Order, a.Adjusted = order, math.Min(1, a.P*times[r.traits[n].ofValve()])
			if best < 0 || cmp.Or(cmp.Compare(a.Adjusted, answers[best].Adjusted), cmp.Compare(a.P, answers[best].P)) < 0 {
				best = i
			}
		}
		if best < 0 || answers[best].Adjusted > clear {
			return found, asked
		}
		found = append(found, answers[best])
		left := make([]seen, 0, len(open))
		for i, o := range open {
			if _, out := slices.BinarySearch(by[names[best]], i); !out {
				left = append(left, o)
			}
		}
		open = left
	}
}

// thatTell are the overhauls that tell of a kind.
func thatTell(open []seen, kind string, r *roll) []seen {
	out := make([]seen, 0, len(open))
	for _, o := range open {
		if slices.ContainsFunc(o.had, func(n int) bool { return r.traits[n].kind == kind }) {
			out = append(out, o)
		}
	}
	return out
}

// among are indexes into one inquiry as indexes into another about some of its overhauls; both keep their order.
func (q inquiry) among(had []int, whole inquiry) []int {
	out := make([]int, 0, len(had))
	at := 0
	for _, i := range had {
		for q.open[at].Overhaul != whole.open[i].Overhaul {
			at++
		}
		out = append(out, at)
	}
	return out
}

// together gives the overhauls of one round one number, in the order they come.
func together(open []seen) []int {
	of := map[string]int{}
	all := make([]int, len(open))
	for i, o := range open {
		if _, known := of[o.round]; !known {
			of[o.round] = len(of)
		}
		all[i] = of[o.round]
	}
	return all
}

// inquiry is what every question of one step shares.
type inquiry struct {
	with            string
	open            []seen
	rounds          []int // number of the round of each
	size            []int // valves of each round
	valves, sums    pool  // scores of the valves, and added up round by round
	total, unspoilt sum   // of all valves, and of those whose round was not fouled
	aged            sum   // hours of those whose hours are known
	agedUnspoilt    sum   // and whose round was not fouled
}

type sum struct {
	n     int
	value float64
}

// run adds the hours of a valve, where they are known.
func (s *sum) run(o seen) {
	if o.Hours > 0 {
		s.n, s.value = s.n+1, s.value+o.Hours
	}
}

func (s sum) mean() float64 {
	if s.n == 0 {
		return 0
	}
	return s.value / float64(s.n)
}

func inquire(with string, open []seen) inquiry {
	q := inquiry{with: with, open: open, rounds: together(open)}
	if len(open) == 0 {
		return q
	}
	scores := doubled(open)
	sums := make([]int, slices.Max(q.rounds)+1)
	q.size = make([]int, len(sums))
	for i, r := range q.rounds {
		sums[r] += scores[i]
		q.size[r]++
		q.total.n, q.total.value = q.total.n+1, q.total.value+open[i].value
		q.aged.run(open[i])
		if !open[i].fouled {
			q.agedUnspoilt.run(open[i])
			q.unspoilt.n, q.unspoilt.value = q.unspoilt.n+1, q.unspoilt.value+open[i].value
		}
	}
	q.valves, q.sums = newPool(scores), newPool(sums)
	return q
}

// about holds the valves that had a trait, given by their indexes, against the others. smallest is the least chance the
// question can have.
func (q inquiry) about(t trait, had []int) (a Association, smallest float64) {
	all := q.total
	if t.ofValve() {
		all = q.unspoilt
	}
	a = Association{Kind: t.kind, Which: t.name, With: q.with, N: len(had), RestN: all.n - len(had), P: 1}
	own := 0.0
	var ran sum
	for _, i := range had {
		own += q.open[i].value
		ran.run(q.open[i])
	}
	if a.RestN == 0 {
		return a, 1
	}
	aged := q.aged
	if t.ofValve() {
		aged = q.agedUnspoilt
	}
	a.Ran, a.Others = ran.mean(), sum{aged.n - ran.n, aged.value - ran.value}.mean()
	if q.with == withBad {
		a.Bad, a.RestBad = int(own), int(all.value-own)
	} else {
		a.Effect = own/float64(a.N) - (all.value-own)/float64(a.RestN)
	}
	if t.ofValve() && q.with == withBad {
		a.P, a.Exact = fisher(a.Bad, a.N, int(all.value), all.n), true
		return a, fisher(min(a.N, int(all.value)), a.N, int(all.value), all.n)
	}
	from := q.valves
	if !t.ofValve() {
		from, had = q.sums, q.whole(had)
	}
	if len(had) == 0 || len(had) == len(from.scores) {
		return a, 1
	}
	drawn := 0
	for _, i := range had {
		drawn += from.scores[i]
	}
	high, low, exact := from.tails(len(had), drawn)
	a.P, a.Exact = high, exact
	if q.with == withShift {
		a.P = math.Min(1, 2*math.Min(high, low))
	}
	return a, from.leastTail(len(had), q.with == withShift)
}

// whole are the rounds of which at least half of the valves had a trait.
func (q inquiry) whole(had []int) []int {
	with := make([]int, len(q.size))
	for _, i := range had {
		with[q.rounds[i]]++
	}
	var rounds []int
	for r, n := range with {
		if n > 0 && 2*n >= q.size[r] {
			rounds = append(rounds, r)
		}
	}
	return rounds
}

// fisher is the chance that n drawn from all hold at least bad of the total bad.
//
// Source: Fisher's exact test, one-sided; the hypergeometric distribution in any text.
func fisher(bad, n, total, all int) float64 {
	choose := func(n, k int) float64 {
		if k < 0 || k > n {
			return math.Inf(-1)
		}
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(k + 1))
		c, _ := math.Lgamma(float64(n - k + 1))
		return a - b - c
	}
	p := 0.0
	for k := bad; k <= min(n, total); k++ {
		p += math.Exp(choose(total, k) + choose(all-total, n-k) - choose(all, n))
	}
	return math.Min(1, p)
}
