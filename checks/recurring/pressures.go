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
	// fouledLoss and fouledScatter are what deposits of a bad fuel add to the loss of all valves of a round, in bar and
	// as a standard deviation, from memory: they never raise the opening pressure.
	fouledLoss, fouledScatter = 6.0, 8.0
	// believed is how many standard deviations a valve is from its round at most; what lies beyond is its own matter.
	believed = 4.0
	// alike is the squared correlation from which on two explanations are of the same readings.
	alike = 0.2
	// springs is by how much holders of one kind differ in what they lose, bar as a standard deviation, from memory.
	springs = 3.0
)

// ExplainPressures names what explains opening pressures that are off, the clearest first. A gauge moves what was read
// with it up, and what was set with it down at the next removal; a holder or a position moves its own valves. failures
// are what was named before: a round that failed as a whole has lost more than others, and a valve that failed by its
// holder or its position says nothing of gauges.
//
// Each explanation is estimated together with the ship's normal, with what rounds differ by and with what was named
// before it (package type mixed); its chance is that of Student's distribution, with the degrees of freedom of
// Satterthwaite (1946, Biometrics Bull. 2, 110), over its share of the questions (Bonferroni with weights; Holm 1979,
// Scand. J. Stat. 6, 65). Of several the one that explains most against nothing is named first (Kass & Raftery 1995).
func ExplainPressures(visits []Visit, failures []Failures, level float64) (named []Pressures, asked int) {
	for {
		q := newPressing(visits, failures, named)
		best, ok := q.best()
		if len(named) == 0 {
			asked = q.asked
		}
		if !ok || best.Chance > level/float64(len(named)+1) {
			return named, asked
		}
		best.Asked = asked
		q.rivals(&best)
		q.fill(&best)
		q.stayed(&best)
		named = append(named, best)
	}
}

// pressing holds what all explanations of pressures are asked with.
type pressing struct {
	visits []Visit
	counts []bool // those that compare, in a class of which there are enough, and that nothing has spoilt
	fouled []int  // by visit, the failure of a round or a fuel that it is of; -1 for none
	fouls  int    // how many such failures there are
	named  []Pressures
	off    []float64 // by visit, how far it is off what is usual in its class after so many hours, and off what is named
	scatter
	model  *mixed
	fixed  int     // columns of the model whose effects are the ship's normal, and what is named: from the first
	tested [][]int // by round in time, the visits tested in it
	set    [][]int // by round in time, the visits that were set in it
	all    int     // visits that count
	least  float64 // holders and positions that differ by less are of one kind
	asked  int
	tries  []Pressures
}

func newPressing(visits []Visit, failures []Failures, named []Pressures) *pressing {
	q := &pressing{visits: visits, counts: make([]bool, len(visits)), fouled: make([]int, len(visits)), named: named,
		least: leastApart(visits)}
	last := -1
	for i := range visits {
		q.counts[i], q.fouled[i] = visits[i].Compares, -1
		last = max(last, visits[i].TestedIn)
	}
	for _, f := range failures {
		whole := f.Kind == ByRound || f.Kind == ByFuel
		for _, i := range f.Visits {
			if whole {
				q.fouled[i] = q.fouls
			} else if visits[i].Failed {
				q.counts[i] = false
			}
		}
		if whole {
			q.fouls++
		}
	}
	of := map[int]int{}
	for i := range visits {
		if q.counts[i] {
			of[visits[i].Class]++
		}
	}
	q.tested, q.set = make([][]int, last+1), make([][]int, last+1)
	for i := range visits {
		v := &visits[i]
		if q.counts[i] = q.counts[i] && of[v.Class] >= fewClass; !q.counts[i] {
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

// scatter is what the opening pressures of a ship scatter by.
type scatter struct {
	valve, round       float64   // standard deviation of a valve within its round, and of what a round has in common, bar
	valveFree, roundOf float64   // degrees of freedom behind the two
	apart              []float64 // by visit, how far it lies beyond what is believed of a valve in its round
}

// scatterOf is the scatter of what the given explanations leave. What fouled rounds show is no part of it.
func (q *pressing) scatterOf(without []Pressures) scatter {
	off, step := q.offNormal(without)
	s := scatter{apart: make([]float64, len(q.visits))}
	var within, means, sizes []float64
	between, pairs := q.betweenGauges(off)
	for _, at := range q.tested {
		var offs []float64
		for _, i := range at {
			if q.fouled[i] < 0 {
				offs = append(offs, off[i]-between[i])
			}
		}
		if len(offs) == 0 {
			continue
		}
		m := mean(offs)
		if len(offs) >= 2 {
			for _, x := range offs {
				within = append(within, (x-m)/math.Sqrt(1-1/float64(len(offs))))
			}
			s.valveFree += float64(len(offs)-1) * huberEfficiency
		}
		if len(offs) >= 3 {
			means, sizes = append(means, m), append(sizes, float64(len(offs)))
		}
	}
	s.valve = math.Sqrt(math.Max(math.Pow(scaleOf(within, 0), 2), 2*step*step/12+1))
	// A gauge that was wrong for many rounds moves their scatter, but changes twice only; one that was wrong for one
	// round moves two steps in few. The lower of the two is what rounds differ by without it.
	var apart, steps []float64
	for i, m := range means {
		apart = append(apart, m/(s.valve/math.Sqrt(sizes[i])))
		if i > 0 {
			steps = append(steps, math.Abs(m-means[i-1])/(s.valve*math.Sqrt(1/sizes[i-1]+1/sizes[i])))
		}
	}
	least := roundUnknown
	if len(means) >= fewRounds {
		least = roundLeast
		more := math.Max(0, math.Pow(math.Min(scaleOf(apart, middle(apart)), toDeviation*middle(steps)), 2)-1)
		s.round = math.Sqrt(more * s.valve * s.valve / mean(sizes) / 2) // of the test and of the setting before
	}
	s.round = math.Max(s.round, least)
	s.valveFree, s.roundOf = math.Max(3, s.valveFree), math.Max(3, float64(len(means)-pairs))
	for _, at := range q.tested {
		q.alone(at, off, &s)
	}
	return s
}

// betweenGauges is, by visit, what two gauges differ by in the middle, where one set and the other tested in three
// rounds or more: that they always differ is nothing that rounds scatter by. pairs is how many such middles there are,
// at least one.
func (q *pressing) betweenGauges(off []float64) (between []float64, pairs int) {
	between = make([]float64, len(off))
	of := map[[2]string][]int{}
	for r := range q.tested {
		for _, i := range q.tested[r] {
			if v := &q.visits[i]; q.fouled[i] < 0 {
				of[[2]string{v.Set, v.Tested}] = append(of[[2]string{v.Set, v.Tested}], i)
			}
		}
	}
	for _, at := range of {
		rounds := map[int]bool{}
		var offs []float64
		for _, i := range at {
			rounds[q.visits[i].TestedIn] = true
			offs = append(offs, off[i])
		}
		if len(rounds) < 3 {
			continue
		}
		pairs++
		usual := middle(offs)
		for _, i := range at {
			between[i] = usual
		}
	}
	return between, max(1, pairs)
}

// huberEfficiency is what of its degrees of freedom a scale keeps whose squares are cut, for normal values. Source:
// Huber, Robust Statistics, section 5.7; from memory.
const huberEfficiency = 0.75

// alone notes what lies further from its round than is believed of a valve.
func (q *pressing) alone(at []int, off []float64, s *scatter) {
	if len(at) < 3 {
		return
	}
	offs := make([]float64, len(at))
	for n, i := range at {
		offs[n] = off[i]
	}
	m := middle(offs)
	for _, i := range at {
		if x := math.Abs(off[i]-m) - believed*s.valve; x > 0 {
			s.apart[i] = math.Copysign(x, off[i]-m)
		}
	}
}

// offNormal is how each visit differs from what is usual in its class after so many hours, and from what explanations
// make of it; and the coarsest step.
func (q *pressing) offNormal(without []Pressures) (off []float64, step float64) {
	bars := make([]float64, len(q.visits))
	for i := range q.visits {
		bars[i] = q.visits[i].Bar
	}
	for _, p := range without {
		for n, i := range p.Visits {
			bars[i] -= float64(p.Sign[n]) * p.Bar
		}
	}
	of := map[int][]int{}
	for i := range q.visits {
		if q.counts[i] {
			of[q.visits[i].Class] = append(of[q.visits[i].Class], i)
			step = math.Max(step, q.visits[i].Step)
		}
	}
	off = make([]float64, len(q.visits))
	for _, all := range of {
		which := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return q.fouled[i] >= 0 || q.visits[i].Excused })
		if len(which) < fewClass {
			which = all
		}
		hours, y := make([]float64, len(which)), make([]float64, len(which))
		for j, i := range which {
			hours[j], y[j] = q.visits[i].Hours, bars[i]
		}
		line := robustLine(hours, y)
		for _, i := range all {
			off[i] = bars[i] - line(q.visits[i].Hours)
		}
	}
	return off, step
}

// build makes the model with the scatter as it is, with the effects of what is given.
func (q *pressing) build(effects []Pressures) bool {
	n := len(q.visits)
	m := &mixed{rows: make([][]entry, n), y: make([]float64, n), apart: q.apart, valve2: q.valve * q.valve}
	q.model = m
	level, slope := map[int]int{}, map[int]int{}
	hours := map[int][]float64{}
	for i := range q.visits {
		if v := &q.visits[i]; q.counts[i] {
			hours[v.Class] = append(hours[v.Class], v.Hours)
		}
	}
	usual := map[int]float64{}
	for _, class := range sortedKeys(hours) {
		level[class], usual[class] = m.column(-1), mean(hours[class])
		if spreads(hours[class]) {
			slope[class] = m.column(-1)
		}
	}
	for i := range q.visits {
		v := &q.visits[i]
		if !q.counts[i] {
			continue
		}
		m.y[i] = v.Bar
		m.add(i, level[v.Class], 1)
		if c, has := slope[v.Class]; has {
			m.add(i, c, v.Hours/usual[v.Class]-1)
		}
	}
	for _, p := range effects {
		c := m.column(-1)
		for j, i := range p.Visits {
			if q.counts[i] {
				m.add(i, c, float64(p.Sign[j]))
			}
		}
	}
	q.fixed = m.columns
	rounds := make([]int, len(q.tested))
	for r := range rounds {
		rounds[r] = m.column(q.round * q.round)
	}
	fouls := make([]int, q.fouls)
	for f := range fouls {
		fouls[f] = m.column(fouledScatter * fouledScatter)
	}
	for i := range q.visits {
		v := &q.visits[i]
		if !q.counts[i] {
			continue
		}
		m.add(i, rounds[v.TestedIn], 1)
		if v.SetIn >= 0 {
			m.add(i, rounds[q.visits[v.SetIn].TestedIn], -1)
		}
		if f := q.fouled[i]; f >= 0 {
			m.y[i] += fouledLoss
			m.add(i, fouls[f], 1)
		}
	}
	return m.solve()
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
	mx := mean(x)
	a, b := middle(y), 0.0
	sloped := spreads(x)
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

// spreads says that ages differ enough to tell a slope: those of several valves, as one old valve alone would make it.
func spreads(hours []float64) bool {
	if len(hours) < 2*fewClass {
		return false
	}
	usual, apart := middle(hours), 0
	for _, h := range hours {
		if math.Abs(h-usual) > 0.15*usual {
			apart++
		}
	}
	return apart >= fewClass
}

// extent is an explanation while it grows group by group.
type extent struct {
	score, whole float64 // with valves as far apart as is believed, and as they are
	info         float64
	n            float64 // squares of its signs
	net          float64 // signs: those that read high less those that read low
	rounds       float64 // squares of what it adds to each round
}

// family is groups of visits of which the explanations of one gauge, holder or position are made.
type family struct {
	single []extent   // what each is by itself
	before [][]common // of each, the sums of what it has in common with the first ones: with none, with one, and so on
	after  []common   // of each, the sum of what it has in common with all that follow it
}

// common is what two groups have in common, as an [extent] has it.
type common struct{ info, n, rounds float64 }

func (c *common) add(o common) { c.info, c.n, c.rounds = c.info+o.info, c.n+o.n, c.rounds+o.rounds }

func (q *pressing) family(signs [][]signed) family {
	f := family{before: make([][]common, len(signs)), after: make([]common, len(signs))}
	groups := make([]group, len(signs))
	for a := range signs {
		groups[a] = q.model.group(signs[a])
		g, sum := &groups[a], common{}
		f.before[a] = make([]common, a+1)
		for b := range a {
			both := q.common(g, &groups[b])
			sum.add(both)
			f.after[b].add(both)
			f.before[a][b+1] = sum
		}
		own := q.common(g, g)
		x := extent{score: q.model.score(g, false), whole: q.model.score(g, true), info: own.info, n: own.n,
			rounds: own.rounds}
		for _, s := range g.sign {
			x.net += float64(s.by)
		}
		f.single = append(f.single, x)
	}
	return f
}

func (q *pressing) common(a, b *group) common {
	return common{q.model.together(a, b), a.shared(b), a.beside(b, q.fixed, q.fixed+len(q.tested))}
}

// grow takes one more group into an extent that has those from one up to it.
func (f *family) grow(x *extent, group, from int) {
	x.take(f.single[group], f.before[group][group])
	x.add(f.before[group][from], -2)
}

// growBack takes one more group into an extent that has all that follow it.
func (f *family) growBack(x *extent, group int) { x.take(f.single[group], f.after[group]) }

// take adds one group, and what it has in common with those that an extent has.
func (x *extent) take(g extent, both common) {
	x.score, x.whole, x.net = x.score+g.score, x.whole+g.whole, x.net+g.net
	x.add(common{g.info, g.n, g.rounds}, 1)
	x.add(both, 2)
}

func (x *extent) add(c common, times float64) {
	x.info, x.n, x.rounds = x.info+times*c.info, x.n+times*c.n, x.rounds+times*c.rounds
}

// tryout makes an explanation of an extent, with its share of the questions.
func (q *pressing) tryout(x extent, k Kind, name string, from, to int, share float64) {
	if x.n < 3 || math.Abs(x.net) > mostOf*float64(q.all) || x.info*gaugeOff*gaugeOff < 1 {
		return
	}
	valves, rounds, known := q.valve*q.valve/x.n, q.round*q.round*x.rounds/x.n/x.n, 0.0
	if k != ByGauge {
		known = springs * springs
	}
	err, all := math.Sqrt(1/x.info+known), valves+rounds+known
	free := all * all / (valves*valves/q.valveFree + rounds*rounds/q.roundOf)
	z := x.score / x.info / err
	tail := 2 * distuv.StudentsT{Nu: free, Sigma: 1}.Survival(math.Abs(z))
	v := gaugeOff * gaugeOff / (err * err)
	q.tries = append(q.tries, Pressures{Kind: k, Name: name, Rounds: [2]int{from, to}, Bar: x.whole / x.info,
		Uncertainty: 2 * err, Chance: math.Min(1, tail/share),
		weight: z*z/2*v/(1+v) - math.Log1p(v)/2 + math.Log(share)})
}

// best asks all explanations and gives the one that explains most. What it explains leaves the scatter, and all are
// asked again, until the same one is the best.
func (q *pressing) best() (Pressures, bool) {
	q.off, _ = q.offNormal(q.named)
	q.scatter = q.scatterOf(q.named)
	best, ok := q.ask()
	q.asked = len(q.tries)
	for range 4 {
		if !ok {
			return best, false
		}
		was := best
		q.signs(&was)
		q.scatter = q.scatterOf(append(slices.Clone(q.named), was))
		if best, ok = q.ask(); ok && best.Kind == was.Kind && best.Name == was.Name && best.Rounds == was.Rounds {
			break
		}
	}
	return best, ok
}

// ask asks all explanations and gives the one that explains most.
func (q *pressing) ask() (Pressures, bool) {
	q.tries = nil
	if q.all == 0 || !q.build(q.named) {
		return Pressures{}, false
	}
	gauges, holders, positions := map[string]bool{}, map[string][]int{}, map[string][]int{}
	for i := range q.visits {
		v := &q.visits[i]
		if v.Tested != "" {
			gauges[v.Tested] = true
		}
		if v.Set != "" {
			gauges[v.Set] = true
		}
		if q.counts[i] {
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
	return q.tries[0], true
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

// gauge asks whether a gauge was wrong in one round, from some round on, or from one to another. A quarter of its share
// is for its last round, which can still be set right, one for any one round, and one each for the others. Where it is
// the only gauge, wrong in all of its rounds is right.
func (q *pressing) gauge(g string, share float64, others bool) {
	used := q.used(g)
	m := len(used)
	if m == 0 {
		return
	}
	one := share / 4 / float64(m)
	on := share / 4 / float64(m)
	signs := make([][]signed, m)
	for a, r := range used {
		signs[a] = q.signed(g, r, r)
	}
	f := q.family(signs)
	var x extent
	for a := m - 1; a >= 0 && (a > 0 || others); a-- { // from some round on
		f.growBack(&x, a)
		if a < m-1 {
			q.tryout(x, ByGauge, g, used[a], used[m-1], on)
		}
	}
	for a := range m {
		var x extent
		for b := a; b < min(m, a+roundsMost); b++ {
			f.grow(&x, b, a)
			switch {
			case a == b:
				if m > 1 || others {
					q.tryout(x, ByGauge, g, used[a], used[b], one+last(a == m-1, share/4))
				}
			case b < m-1:
				n := float64(b - a + 1) // that it was found out soon is likelier: the shares of all lengths add up to one
				q.tryout(x, ByGauge, g, used[a], used[b], on/(n*(n-1)))
			}
		}
	}
}

func last(is bool, share float64) float64 {
	if is {
		return share
	}
	return 0
}

// parts asks whether the valves of one holder or one position are off from some visit on, or to another. It takes most
// of those visits: one broken spring is none of it. A holder that stayed in one position is asked about with that
// position alone ([pressing.stayed]).
func (q *pressing) parts(k Kind, all map[string][]int, share float64) {
	other := map[Kind]Kind{ByHolder: ByPosition, ByPosition: ByHolder}[k]
	for name, at := range all {
		if name == "" || len(at) < 3 {
			continue
		}
		signs := make([][]signed, len(at))
		for a, i := range at {
			signs[a] = []signed{{i, 1}}
		}
		f := q.family(signs)
		m := float64(len(at))
		lasting, ended := share/2/float64(len(all))/m, share/float64(len(all))/(m*(m+1))
		for a := range at {
			others := map[string]bool{}
			var x extent
			for b := a; b < len(at); b++ {
				f.grow(&x, b, a)
				others[q.visits[at[b]].nameOf(other)] = true
				if k == ByHolder && len(others) < 2 || math.Abs(x.whole) <= q.least*x.info || !q.most(at[a:b+1], x.whole/x.info/2) {
					continue
				}
				part := ended
				if b == len(at)-1 {
					part = lasting
				}
				x.score = x.whole
				q.tryout(x, k, name, q.visits[at[a]].TestedIn, q.visits[at[b]].TestedIn, part)
			}
		}
	}
}

// most says that more than half of some visits are off by so much, or more.
func (q *pressing) most(at []int, bar float64) bool {
	n := 0
	for _, i := range at {
		if q.off[i]*bar >= bar*bar {
			n++
		}
	}
	return 2*n > len(at)
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

// signed are the visits that a gauge moves by being wrong from one round to another, and which way.
func (q *pressing) signed(g string, from, to int) (all []signed) {
	for r := from; r <= to; r++ {
		q.moved(g, r, func(i, by int) { all = append(all, signed{i, by}) })
	}
	slices.SortFunc(all, func(a, b signed) int { return a.visit - b.visit })
	kept := all[:0]
	for i := 0; i < len(all); {
		s := all[i]
		for i++; i < len(all) && all[i].visit == s.visit; i++ {
			s.by += all[i].by
		}
		if s.by != 0 {
			kept = append(kept, s)
		}
	}
	return kept
}

// signs lists the visits that an explanation moves, and which way.
func (q *pressing) signs(p *Pressures) (sign []signed) {
	if p.Kind == ByGauge {
		sign = q.signed(p.Name, p.Rounds[0], min(p.Rounds[1], len(q.tested)-1))
	} else {
		for i := range q.visits {
			if v := &q.visits[i]; v.nameOf(p.Kind) == p.Name && v.TestedIn >= p.Rounds[0] &&
				v.TestedIn <= p.Rounds[1] && q.counts[i] {
				sign = append(sign, signed{i, 1})
			}
		}
	}
	p.Visits, p.Sign = nil, nil
	for _, s := range sign {
		p.Visits, p.Sign = append(p.Visits, s.visit), append(p.Sign, s.by)
	}
	return sign
}

// fill works out how far each visit of an explanation is off the ship's normal without it.
func (q *pressing) fill(p *Pressures) {
	q.signs(p)
	if p.Kind == ByGauge {
		p.Within = math.Abs(p.Bar) <= q.permitted(p.Visits)
	}
	if !q.build(append(slices.Clone(q.named), *p)) {
		return
	}
	effects, own := q.model.effects(), q.fixed-1
	for _, i := range p.Visits {
		off := q.visits[i].Bar
		for _, e := range q.model.rows[i] {
			if e.column < own {
				off -= e.times * effects[e.column]
			}
		}
		p.Off = append(p.Off, off)
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

// rivals finds what else explains the same readings and is nearly as likely: something else, or the same gauge at
// another time.
func (q *pressing) rivals(best *Pressures) {
	mine := q.model.group(q.signs(best))
	own := q.model.together(&mine, &mine)
	for i := range q.tries {
		p := &q.tries[i]
		if best.weight-p.weight > apart {
			return
		}
		other := q.model.group(q.signs(p))
		both := q.model.together(&mine, &other)
		switch {
		case both*both < alike*own*q.model.together(&other, &other):
		case p.Kind != best.Kind || p.Name != best.Name:
			best.Rival = &Rival{p.Kind, p.Name}
			return
		case p.Rounds[0] > best.Rounds[1] || p.Rounds[1] < best.Rounds[0]:
			best.Or = append(best.Or, p.Rounds)
		}
	}
}

// stayed says with a position the one holder that was in it in all of its visits: nothing shows which of them it is.
func (q *pressing) stayed(p *Pressures) {
	holder := q.visits[p.Visits[0]].Holder
	if p.Kind == ByPosition && p.Rival == nil && holder != "" &&
		!slices.ContainsFunc(p.Visits, func(i int) bool { return q.visits[i].Holder != holder }) {
		p.Rival = &Rival{ByHolder, holder}
	}
}

// expMean is the middle in the sense of ratios: the exponential of the mean of logarithms.
func expMean(logs []float64) float64 { return math.Exp(mean(logs)) }
