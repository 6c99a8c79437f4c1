package recurring

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Pressures is one explanation of opening pressures that are off the ship's normal.
type Pressures struct {
	Kind        Kind
	Name        string
	Visits      []int     // those it moves, oldest first
	Sign        []int     // for each: 1 where it moves the reading as found, -1 where it moved the setting before
	Off         []float64 // for each: how far it is off the ship's normal without them, bar
	Rounds      [2]int    // numbers in time of the first and the last round, where it is a gauge's
	Bar         float64   // by how much
	Uncertainty float64   // of it, k = 2
	Chance      float64   // that honest readings of this ship show as much for any of the explanations asked about
	Asked       int
	Within      bool     // no more than two gauges of their class may differ: neither is named
	Rival       *Rival   // explains as much; nil where this one alone does
	Or          [][2]int // other rounds in which the same gauge, if wrong, explains as much
	weight      float64
}

// Normal of the pressures of a ship: what her valves usually lose, by setting class and hours.
type pressureNormal struct {
	off    []float64 // by visit, bar off normal; NaN where it does not compare
	valve  float64   // standard deviation of a valve within its round
	round  float64   // standard deviation of what all readings of a round have in common
	degree float64   // degrees of freedom behind the two
}

// LastOff is the index in Visits of the last one that is off by half of what all are, or more.
func (p *Pressures) LastOff() int {
	for n := len(p.Off) - 1; n > 0; n-- {
		if float64(p.Sign[n])*p.Off[n]/p.Bar >= 0.5 {
			return n
		}
	}
	return 0
}

const (
	// fewClass is the fewest valves that make a normal.
	fewClass = 6
	// mostOf is the share of all valves above which an explanation would make the ship's normal the exception.
	mostOf = 0.6
	// fewRounds is the fewest rounds that tell what rounds differ by; roundLeast and roundUnknown are bar, from memory.
	fewRounds, roundLeast, roundUnknown = 4, 1.0, 1.5
	// gaugeOff is by how much a gauge that is wrong is wrong, as a standard deviation in bar.
	gaugeOff = 20.0
	// roundsMost is how many rounds one explanation of a gauge that was put right spans at most.
	roundsMost = 40
)

// ExplainPressures names what explains opening pressures that are off, the clearest first. A gauge moves what was read
// with it up, and what was set with it down at the next removal; a holder or a position moves its own valves. failures
// are what was named before: a round that failed as a whole is explained, and leaves the ship's normal.
//
// Each explanation is a least-squares estimate with the scatter of valves and of whole rounds; its chance is that of
// Student's distribution times what its share of the questions allows (Bonferroni with weights; Holm 1979, Scand. J.
// Stat. 6, 65). Of several the one that explains most against nothing is named first (Kass & Raftery 1995).
func ExplainPressures(visits []Visit, failures []Failures, level float64) (named []Pressures, asked int) {
	out := make([]bool, len(visits))
	for _, f := range failures {
		for _, i := range f.Visits {
			if f.Kind == ByRound || f.Kind == ByFuel || visits[i].Failed {
				out[i] = true
			}
		}
	}
	for {
		q := newPressing(visits, out, normalPressures(visits, out, out))
		best, ok := q.best()
		if len(named) == 0 {
			asked = q.asked
		}
		if !ok || best.Chance > level/2 { // each leaves the normal first, and so looks a little clearer
			return named, asked
		}
		best.Asked = asked
		q.rivals(&best)
		named = append(named, best)
		for _, i := range best.Visits {
			out[i] = true
		}
	}
}

// pressing holds what all explanations of pressures are asked with.
type pressing struct {
	visits []Visit
	out    []bool // those that are explained
	normal pressureNormal
	tested [][]int // by round in time, the visits tested in it
	set    [][]int // by round in time, the visits that were set in it
	all    int     // visits that count
	least  float64 // holders and positions that differ by less are of one kind
	asked  int
	tries  []Pressures
}

func newPressing(visits []Visit, out []bool, normal pressureNormal) *pressing {
	q := &pressing{visits: visits, normal: normal, out: out, least: leastApart(visits)}
	last := -1
	for i := range visits {
		last = max(last, visits[i].TestedIn)
	}
	q.tested, q.set = make([][]int, last+1), make([][]int, last+1)
	for i := range visits {
		v := &visits[i]
		if !q.counts(i) {
			continue
		}
		q.all++
		q.tested[v.TestedIn] = append(q.tested[v.TestedIn], i)
		if v.SetIn >= 0 {
			s := visits[v.SetIn].TestedIn
			q.set[s] = append(q.set[s], i)
		}
	}
	return q
}

// counts says that a visit compares and nothing has explained it.
func (q *pressing) counts(i int) bool { return !q.out[i] && !math.IsNaN(q.normal.off[i]) }

// normalPressures is the ship's normal without the visits that are out, and how all visits differ from it. A class of
// which too few are left then keeps all that are not explained.
func normalPressures(visits []Visit, explained, out []bool) pressureNormal {
	p := pressureNormal{off: make([]float64, len(visits))}
	of := map[int][]int{}
	step := 0.0
	for i := range visits {
		if v := &visits[i]; v.Compares {
			if of[v.Class] == nil {
				of[v.Class] = []int{}
			}
			if !out[i] && !v.Excused {
				of[v.Class] = append(of[v.Class], i)
				step = max(step, v.Step)
			}
		}
	}
	lines := map[int]func(float64) float64{}
	for class, which := range of {
		if len(which) < fewClass {
			which = nil
			for i := range visits {
				if v := &visits[i]; v.Compares && !v.Excused && !explained[i] && v.Class == class {
					which = append(which, i)
				}
			}
		}
		if len(which) < fewClass {
			continue
		}
		hours, bars := make([]float64, len(which)), make([]float64, len(which))
		for j, i := range which {
			hours[j], bars[j] = visits[i].Hours, visits[i].Bar
		}
		lines[class] = robustLine(hours, bars)
	}
	rounds := map[int][]float64{}
	for i := range visits {
		v := &visits[i]
		p.off[i] = math.NaN()
		if line := lines[v.Class]; line != nil && v.Compares {
			p.off[i] = v.Bar - line(v.Hours)
		}
		if off := p.off[i]; !math.IsNaN(off) && !out[i] && !v.Excused {
			rounds[visits[i].TestedIn] = append(rounds[visits[i].TestedIn], off)
		}
	}
	var within, means []float64
	var sizes []float64
	for _, r := range sortedKeys(rounds) {
		offs := rounds[r]
		m := mean(offs)
		if len(offs) >= 2 {
			for _, x := range offs {
				within = append(within, (x-m)/math.Sqrt(1-1/float64(len(offs))))
			}
		}
		if len(offs) >= 3 {
			means, sizes = append(means, m), append(sizes, float64(len(offs)))
		}
	}
	p.valve = math.Sqrt(math.Max(math.Pow(scaleOf(within, 0), 2), 2*step*step/12+1))
	// A gauge that was wrong for many rounds moves their scatter, but changes twice only; one that was wrong for one
	// round moves two steps in few. The lower of the two is what rounds differ by without it.
	var apart, steps []float64
	for i, m := range means {
		apart = append(apart, m/(p.valve/math.Sqrt(sizes[i])))
		if i > 0 {
			steps = append(steps, math.Abs(m-means[i-1])/(p.valve*math.Sqrt(1/sizes[i-1]+1/sizes[i])))
		}
	}
	least := roundUnknown
	if len(means) >= fewRounds {
		least = roundLeast
		more := math.Max(0, math.Pow(math.Min(scaleOf(apart, middle(apart)), toDeviation*middle(steps)), 2)-1)
		p.round = math.Sqrt(more * p.valve * p.valve / mean(sizes) / 2) // of the test and of the setting before
	}
	p.round = math.Max(p.round, least)
	p.degree = math.Max(3, float64(len(means))+float64(len(within))/4)
	return p
}

func mean(values []float64) float64 {
	m := 0.0
	for _, v := range values {
		m += v / float64(len(values))
	}
	return m
}

func sortedKeys[V any](m map[int]V) []int {
	var all []int
	for k := range m {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}

// robustLine is what is usual after so many hours: a line by Huber's weights where the ages differ, else a middle.
//
// Source: Huber, Robust Statistics, section 7.
func robustLine(x, y []float64) func(float64) float64 {
	mx, sx := mean(x), 0.0
	for _, v := range x {
		sx += (v - mx) * (v - mx) / float64(len(x))
	}
	a, b := middle(y), 0.0
	sloped := len(x) >= 2*fewClass && math.Sqrt(sx) > 0.15*mx
	off := make([]float64, len(y))
	for range 30 {
		for i := range y {
			off[i] = math.Abs(y[i] - a - b*(x[i]-mx))
		}
		cut := 1.345 * max(scaleOf(off, 0), 0.5)
		var sw, swx, swy, swxx, swxy float64
		for i := range y {
			w := 1.0
			if off[i] > cut {
				w = cut / off[i]
			}
			d := x[i] - mx
			sw, swx, swy, swxx, swxy = sw+w, swx+w*d, swy+w*y[i], swxx+w*d*d, swxy+w*d*y[i]
		}
		if det := sw*swxx - swx*swx; sloped && det > 0 {
			b = (sw*swxy - swx*swy) / det
			a = (swy - b*swx) / sw
		} else {
			a = swy / sw
		}
	}
	return func(h float64) float64 { return a + b*(h-mx) }
}

// sums is an explanation while it grows visit by visit.
type sums struct {
	sign map[int]int // by visit
	each map[int]int // by round: its readings less its settings
	s, n float64     // readings less settings, and how many
	r2   float64     // squares of each
}

func newSums() *sums { return &sums{sign: map[int]int{}, each: map[int]int{}} }

// add moves a visit by +1, read, or -1, set.
func (t *sums) add(q *pressing, i, by int) {
	was := t.sign[i]
	now := was + by
	t.sign[i] = now
	v := &q.visits[i]
	t.s += float64(by) * q.normal.off[i]
	t.n += float64(now*now - was*was)
	t.count(v.TestedIn, by)
	if v.SetIn >= 0 {
		t.count(q.visits[v.SetIn].TestedIn, -by)
	}
}

func (t *sums) count(round, by int) {
	was := t.each[round]
	now := was + by
	t.each[round] = now
	t.r2 += float64(now*now - was*was)
}

// tryout makes an explanation of what was added, with its share of the questions.
func (q *pressing) tryout(t *sums, k Kind, name string, from, to int, share float64) {
	if t.n < 3 || t.n > mostOf*float64(q.all) {
		return
	}
	p := &q.normal
	own := p.valve*p.valve*t.n + p.round*p.round*t.r2
	z := t.s / math.Sqrt(own)
	err := math.Sqrt(own) / t.n
	tail := 2 * distuv.StudentsT{Nu: p.degree, Sigma: 1}.Survival(math.Abs(z))
	v := gaugeOff * gaugeOff / (err * err)
	q.tries = append(q.tries, Pressures{Kind: k, Name: name, Rounds: [2]int{from, to}, Bar: t.s / t.n,
		Uncertainty: 2 * err, Chance: math.Min(1, tail/share),
		weight: z*z/2*v/(1+v) - math.Log1p(v)/2 + math.Log(share)})
}

// best asks all explanations and gives the one that explains most. What it explains leaves the normal, and all are
// asked again, until the same one is the best.
func (q *pressing) best() (Pressures, bool) {
	best, ok := q.ask()
	q.asked = len(q.tries)
	for range 4 {
		if !ok {
			return best, false
		}
		out := slices.Clone(q.out)
		for _, i := range best.Visits {
			out[i] = true
		}
		q.normal = normalPressures(q.visits, q.out, out)
		was := best
		if best, ok = q.ask(); ok && best.Kind == was.Kind && best.Name == was.Name && best.Rounds == was.Rounds {
			break
		}
	}
	return best, ok
}

// ask asks all explanations and gives the one that explains most.
func (q *pressing) ask() (Pressures, bool) {
	q.tries = nil
	gauges, holders, positions := map[string]bool{}, map[string][]int{}, map[string][]int{}
	for i := range q.visits {
		v := &q.visits[i]
		if v.Tested != "" {
			gauges[v.Tested] = true
		}
		if v.Set != "" {
			gauges[v.Set] = true
		}
		if q.counts(i) {
			holders[v.Holder] = append(holders[v.Holder], i)
			positions[v.Position] = append(positions[v.Position], i)
		}
	}
	for g := range gauges {
		q.gauge(g, 0.5/float64(len(gauges)), len(gauges) > 1)
	}
	q.parts(ByHolder, holders, 0.25)
	q.parts(ByPosition, positions, 0.25)
	if len(q.tries) == 0 {
		return Pressures{}, false
	}
	slices.SortFunc(q.tries, func(a, b Pressures) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name),
			cmp.Compare(b.Rounds[0], a.Rounds[0]), cmp.Compare(b.Rounds[1], a.Rounds[1]))
	})
	best := q.tries[0]
	q.fill(&best)
	return best, true
}

// used are the rounds, in time, in which a gauge was used.
func (q *pressing) used(g string) []int {
	in := map[int]bool{}
	for r := range q.tested {
		for _, i := range q.tested[r] {
			if q.visits[i].Tested == g {
				in[r] = true
			}
		}
		for _, i := range q.set[r] {
			if q.visits[i].Set == g {
				in[r] = true
			}
		}
	}
	return sortedKeys(in)
}

// moved calls add for each visit that a gauge moves by being wrong in one round.
func (q *pressing) moved(g string, r int, add func(i, by int)) {
	for _, i := range q.tested[r] {
		if q.visits[i].Tested == g {
			add(i, 1)
		}
	}
	for _, i := range q.set[r] {
		if q.visits[i].Set == g {
			add(i, -1)
		}
	}
}

// gauge asks whether a gauge was wrong in one round, from some round on, or from one to another. Half of its share is
// for one round, a quarter each for the others. Where it is the only gauge, wrong in all of its rounds is right.
func (q *pressing) gauge(g string, share float64, others bool) {
	used := q.used(g)
	m := len(used)
	if m == 0 {
		return
	}
	one := share / 2 / float64(m)
	on := share / 4 / float64(m)
	t := newSums()
	for a := m - 1; a >= 0 && (a > 0 || others); a-- { // from some round on
		q.moved(g, used[a], func(i, by int) { t.add(q, i, by) })
		if a < m-1 {
			q.tryout(t, ByGauge, g, used[a], used[m-1], on)
		}
	}
	for a := range m {
		t := newSums()
		for b := a; b < min(m, a+roundsMost); b++ {
			q.moved(g, used[b], func(i, by int) { t.add(q, i, by) })
			switch {
			case a == b:
				if m > 1 || others {
					q.tryout(t, ByGauge, g, used[a], used[b], one)
				}
			case b < m-1:
				n := float64(b - a + 1) // that it was found out soon is likelier: the shares of all lengths add up to one
				q.tryout(t, ByGauge, g, used[a], used[b], on/(n*(n-1)))
			}
		}
	}
}

// parts asks whether the valves of one holder or one position are off from some visit on. It takes two of the other.
func (q *pressing) parts(k Kind, all map[string][]int, share float64) {
	for name, at := range all {
		if name == "" || len(at) < 3 {
			continue
		}
		t := newSums()
		others := map[string]bool{}
		for a := len(at) - 1; a >= 0; a-- {
			t.add(q, at[a], 1)
			if k == ByHolder {
				others[q.visits[at[a]].Position] = true
			} else {
				others[q.visits[at[a]].Holder] = true
			}
			if len(others) >= 2 && math.Abs(t.s/t.n) > q.least {
				q.tryout(t, k, name, q.visits[at[a]].TestedIn, q.visits[at[len(at)-1]].TestedIn,
					share/float64(len(all))/float64(len(at)))
			}
		}
	}
}

// leastApart is what two gauges of the ship may differ by, and a step in which they are read.
func leastApart(visits []Visit) float64 {
	most := 0.0
	for i := range visits {
		v := &visits[i]
		most = math.Max(most, v.Step+math.Hypot(v.ErrorOf, v.ErrorSet))
	}
	return most
}

// fill lists the visits that an explanation moves.
func (q *pressing) fill(p *Pressures) {
	sign := map[int]int{}
	switch p.Kind {
	case ByGauge:
		for _, r := range q.used(p.Name) {
			if r >= p.Rounds[0] && r <= p.Rounds[1] {
				q.moved(p.Name, r, func(i, by int) { sign[i] += by })
			}
		}
	default:
		for i := range q.visits {
			v := &q.visits[i]
			if v.nameOf(p.Kind) == p.Name && v.TestedIn >= p.Rounds[0] && q.counts(i) {
				sign[i] = 1
			}
		}
	}
	for _, i := range sortedKeys(sign) {
		if sign[i] != 0 {
			p.Visits, p.Sign, p.Off = append(p.Visits, i), append(p.Sign, sign[i]), append(p.Off, q.normal.off[i])
		}
	}
	if p.Kind == ByGauge {
		p.Within = math.Abs(p.Bar) <= q.permitted(p.Visits)
	}
}

// permitted is how far two gauges that are both within their class may show apart, in bar, in the mean of some visits
// that were set with one and tested with another. One gauge has its own error both times.
func (q *pressing) permitted(visits []int) (bar float64) {
	for _, i := range visits {
		if v := &q.visits[i]; v.Set != "" && v.Set != v.Tested {
			bar += (v.ErrorOf + v.ErrorSet) / float64(len(visits))
		}
	}
	return bar
}

// rivals finds what else moves half of the same visits or more and is nearly as likely: something else, or the same
// gauge at another time.
func (q *pressing) rivals(best *Pressures) {
	mine := map[int]bool{}
	for _, i := range best.Visits {
		mine[i] = true
	}
	for i := range q.tries {
		p := &q.tries[i]
		if best.weight-p.weight > apart {
			return
		}
		q.fill(p)
		shared := 0
		for _, i := range p.Visits {
			if mine[i] {
				shared++
			}
		}
		switch {
		case 2*shared < len(best.Visits):
		case p.Kind != best.Kind || p.Name != best.Name:
			best.Rival = &Rival{p.Kind, p.Name}
			return
		case p.Rounds[0] > best.Rounds[1] || p.Rounds[1] < best.Rounds[0]:
			best.Or = append(best.Or, p.Rounds)
		}
	}
}

// expMean is the middle in the sense of ratios: the exponential of the mean of logarithms.
func expMean(logs []float64) float64 { return math.Exp(mean(logs)) }
