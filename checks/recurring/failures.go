package recurring

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Failures is one explanation of valves that failed, and how it compares with the others.
type Failures struct {
	Kind   Kind
	Name   string
	Visits []int   // those it covers, oldest first
	Failed int     // of them
	Rest   int     // the others that were looked at
	RestOf int     // of the others, failed
	Chance float64 // that honest valves of this ship show as much for any of the explanations asked about
	Least  bool    // no history drawn reached it: Chance is the most it can be
	Asked  int     // explanations asked about
	Rival  *Rival  // explains as much; nil where this one alone does
	weight float64 // logarithm of the odds against nothing
}

// Rival is an explanation that the records cannot tell from the one named.
type Rival struct {
	Kind Kind
	Name string
}

const (
	// draws is how many histories are drawn to find a chance; half a hundred of them above settle that there is nothing.
	draws = 1999
	// apart is how much likelier an explanation must be than a rival: Good, Probability and the Weighing of Evidence
	// (1950) calls a factor of ten worth having, his deciban scale from memory.
	apart = 2.302585
)

// shares are the odds that a kind starts with: a part or a place fails by itself more often than a whole round does,
// which shows itself in many valves at once.
var shares = [kinds]float64{ByRound: 0.06, ByFuel: 0.06, ByPosition: 0.35, ByHead: 0.05, ByHolder: 0.43, ByBatch: 0.05}

// unit is a set of visits that one explanation covers, oldest first.
type unit struct {
	kind   Kind
	name   string
	at     []int     // indexes of the visits that were looked at
	prior  float64   // logarithm of its share of the odds
	whole  bool      // all of it or nothing: a round is no part of a round
	leak   float64   // leak-down of the round against normal, in standard errors
	leakOf float64   // variance that a fault adds to leak, in its own
	worn   []float64 // of the visits up to each: what the chances by their hours add up to, in mean visits
}

// comparison holds what all explanations of failures are asked with.
type comparison struct {
	visits []Visit
	judged []int // indexes of the visits that count
	units  []unit
	failed []bool    // by visit
	n, k   int       // visits that count; of them failed
	worn   []float64 // by visit, its chance to fail by its hours over that of the mean visit
	most   float64   // of worn
	free   int       // degrees of freedom behind the scatter of leak-down
	odds   map[[2]int]float64
}

// ExplainFailures names what explains the valves that failed, the clearest first. What one explains is set aside
// before the next is asked about, so that what only was there is not named with it.
//
// Each explanation is compared with nothing: the ship's own share of failures among all other visits. Its own share may
// be anything, each as likely (a uniform prior; Good 1950, Kass & Raftery 1995, J. Am. Stat. Assoc. 90, 773). A visit
// counts by its hours as far as this ship's valves fail more the longer they run (type ageing). A part may have been at
// fault from some visit to another; each such span takes a share of the odds. The best odds of all are held against
// those that the same failures show when they are dealt to the visits at random, which allows for all that was asked: a
// permutation test of the largest statistic (Westfall & Young 1993, Resampling-Based Multiple Testing).
func ExplainFailures(visits []Visit, level float64) (named []Failures, asked int) {
	gone := make([]bool, len(visits))
	for {
		w := newComparison(visits, gone)
		if len(named) == 0 {
			asked = len(w.units)
		}
		best, ok := w.best(w.failed, nil)
		if !ok {
			return named, asked
		}
		chance, least := w.chance(best.weight)
		if chance > level/float64(len(named)+1) {
			return named, asked
		}
		f := w.answer(best)
		f.Chance, f.Least, f.Asked = chance, least, asked
		if f.Rival = w.rival(best); f.Rival == nil && !w.spread(&w.units[best.unit], best, w.failed) {
			f.Rival = &Rival{ByPosition, visits[f.last(visits)].Position}
		}
		named = append(named, f)
		for _, i := range f.Visits {
			gone[i] = true
		}
		if f.Rival != nil { // whichever it was, both are explained
			for i := range visits {
				if visits[i].Failed && (visits[i].nameOf(f.Rival.Kind) == f.Rival.Name) {
					gone[i] = true
				}
			}
		}
	}
}

func newComparison(visits []Visit, gone []bool) *comparison {
	w := &comparison{visits: visits, failed: make([]bool, len(visits)), odds: map[[2]int]float64{}}
	at := map[Kind]map[string]int{}
	for i := range visits {
		v := &visits[i]
		if !v.Looked || gone[i] {
			continue
		}
		w.judged = append(w.judged, i)
		w.failed[i] = v.Failed
		w.n++
		if v.Failed {
			w.k++
		}
		add := func(k Kind, name string) {
			if name == "" {
				return
			}
			if at[k] == nil {
				at[k] = map[string]int{}
			}
			j, known := at[k][name]
			if !known {
				j = len(w.units)
				at[k][name] = j
				w.units = append(w.units, unit{kind: k, name: name, whole: k == ByRound || k == ByFuel || k == ByBatch})
			}
			w.units[j].at = append(w.units[j].at, i)
		}
		for _, k := range []Kind{ByRound, ByPosition, ByHead, ByHolder, ByBatch} {
			add(k, v.nameOf(k))
		}
		for _, f := range v.Fuels {
			add(ByFuel, f)
		}
	}
	w.units = slices.DeleteFunc(w.units, func(u unit) bool {
		return len(u.at) < 2 || u.whole && len(u.at) < 3 || len(u.at) >= w.n
	})
	of := map[Kind]int{}
	for _, u := range w.units {
		of[u.kind]++
	}
	for i := range w.units {
		u := &w.units[i]
		u.prior = math.Log(shares[u.kind] / float64(of[u.kind]))
	}
	w.leaks()
	w.byHours()
	return w
}

// byHours weights each visit by its hours.
func (w *comparison) byHours() {
	w.worn, w.most = ageing(w.visits, w.judged), 0
	for _, i := range w.judged {
		w.most = max(w.most, w.worn[i])
	}
	for i := range w.units {
		u := &w.units[i]
		u.worn = make([]float64, len(u.at)+1)
		for j, v := range u.at {
			u.worn[j+1] = u.worn[j] + w.worn[v]
		}
	}
}

// span is part of a unit: its visits from one index to another, both within.
type span struct {
	unit, from, to int
	weight         float64
}

// best is the span with the highest odds. keep says which spans count; nil for all.
func (w *comparison) best(failed []bool, keep func(span) bool) (span, bool) {
	best := span{unit: -1, weight: math.Inf(-1)}
	var at []int
	for i := range w.units {
		u := &w.units[i]
		at = at[:0]
		for j, v := range u.at {
			if failed[v] {
				at = append(at, j)
			}
		}
		m := len(u.at)
		try := func(from, to, k int, prior float64) {
			weight := u.prior + prior + w.against(k, u.worn[to+1]-u.worn[from])
			if u.kind == ByRound {
				weight += leakOdds(u.leak, u.leakOf)
			}
			s := span{i, from, to, weight}
			if weight > best.weight && (u.kind == ByHolder || w.spread(u, s, failed)) && (keep == nil || keep(s)) {
				best = s
			}
		}
		if u.whole {
			if len(at) >= 2 || u.leak < 0 {
				try(0, m-1, len(at), 0)
			}
			continue
		}
		// nine tenths of the odds for a fault that lasts, the rest for one that ended
		lasting, ended := math.Log(0.9/float64(m)), math.Log(0.2/(float64(m)*float64(m+1)))
		for a := range at {
			if len(at)-a >= 2 {
				try(at[a], m-1, len(at)-a, lasting)
			}
			for b := a + 1; b < len(at); b++ {
				try(at[a], at[b], b-a+1, ended)
			}
		}
	}
	return best, best.unit >= 0
}

// against is the logarithm of the odds of k failures in so many visits, weighted by their hours, the ship's other
// visits being what they are.
func (w *comparison) against(k int, visits float64) float64 {
	key := [2]int{k, int(math.Round(exposureSteps * visits))}
	if odds, known := w.odds[key]; known {
		return odds
	}
	visits = max(float64(key[1])/exposureSteps, float64(k)) // none fails more than once
	base := min(0.99, (float64(w.k-k)+0.5)/(max(0, float64(w.n)-visits)+1))
	odds := 0.0
	if float64(k) < base*visits {
		odds = math.Inf(-1)
	} else {
		rest := visits - float64(k)
		odds = logBeta(float64(k)+1, rest+1) - float64(k)*math.Log(base) - rest*math.Log1p(-base)
	}
	w.odds[key] = odds
	return odds
}

// exposureSteps is how finely visits weighted by their hours are told apart.
const exposureSteps = 16

func logBeta(a, b float64) float64 {
	x, _ := math.Lgamma(a)
	y, _ := math.Lgamma(b)
	z, _ := math.Lgamma(a + b)
	return x + y - z
}

// spread says that the failures of a span are not those of one part in one place. A holder that failed in one position
// alone may be named with it, and never by itself.
func (w *comparison) spread(u *unit, s span, failed []bool) bool {
	other := ByHolder
	if u.kind == ByHolder {
		other = ByPosition
	}
	first, any := "", false
	for _, i := range u.at[s.from : s.to+1] {
		if u.kind == ByRound || failed[i] {
			name := w.visits[i].nameOf(other)
			if any && name != first {
				return true
			}
			first, any = name, true
		}
	}
	return false
}

// chance is the share of histories in which the same failures, dealt at random, the likelier the longer a valve ran,
// give as high odds to anything. The draws are the same in every run.
func (w *comparison) chance(weight float64) (p float64, least bool) {
	draw := rand.New(rand.NewPCG(uint64(w.n), uint64(w.k)))
	dealt := make([]bool, len(w.failed))
	order := slices.Clone(w.judged)
	leak := make([]float64, len(w.units))
	for i := range w.units {
		leak[i] = w.units[i].leak
	}
	defer func() {
		for i := range w.units {
			w.units[i].leak = leak[i]
		}
	}()
	reached := 0
	for d := 1; d <= draws; d++ {
		for i := range w.k { // the first k of a shuffle are the ones that failed
			j := i + draw.IntN(len(order)-i)
			for draw.Float64()*w.most > w.worn[order[j]] {
				j = i + draw.IntN(len(order)-i)
			}
			order[i], order[j] = order[j], order[i]
			dealt[order[i]] = true
		}
		scale := w.scale(draw)
		for i := range w.units {
			if w.units[i].leakOf > 0 {
				w.units[i].leak = draw.NormFloat64() / scale
			}
		}
		if best, ok := w.best(dealt, nil); ok && best.weight >= weight {
			reached++
		}
		for i := range w.k {
			dealt[order[i]] = false
		}
		if reached >= 50 {
			return float64(reached+1) / float64(d+1), false
		}
	}
	return float64(reached+1) / (draws + 1), reached == 0
}

// scale draws how far off an estimate of the scatter of leak-down may be, of so few rounds: Student's distribution.
func (w *comparison) scale(draw *rand.Rand) float64 {
	if w.free == 0 {
		return 1
	}
	sum := 0.0
	for range w.free {
		x := draw.NormFloat64()
		sum += x * x
	}
	return math.Sqrt(sum / float64(w.free))
}

// last is the latest visit that failed.
func (f *Failures) last(visits []Visit) int {
	for n := len(f.Visits) - 1; n > 0; n-- {
		if visits[f.Visits[n]].Failed {
			return f.Visits[n]
		}
	}
	return f.Visits[0]
}

func (w *comparison) answer(s span) Failures {
	u := &w.units[s.unit]
	f := Failures{Kind: u.kind, Name: u.name, Visits: u.at[s.from : s.to+1], weight: s.weight}
	for _, i := range f.Visits {
		if w.failed[i] {
			f.Failed++
		}
	}
	f.Rest, f.RestOf = w.n-len(f.Visits), w.k-f.Failed
	return f
}

// rival is the best explanation of another kind that covers half of the failures or more and is nearly as likely. A
// round and the fuel that it ran on are one matter, and a head on its only position.
func (w *comparison) rival(best span) *Rival {
	mine := map[int]bool{}
	failures := 0
	u := &w.units[best.unit]
	for _, i := range u.at[best.from : best.to+1] {
		if w.failed[i] {
			mine[i] = true
			failures++
		}
	}
	other, ok := w.best(w.failed, func(s span) bool {
		v := &w.units[s.unit]
		if v.kind == u.kind || oneFuel(u.kind, v.kind) {
			return false
		}
		shared := 0
		for _, i := range v.at[s.from : s.to+1] {
			if mine[i] {
				shared++
			}
		}
		alike := failures == shared && s.to-s.from == best.to-best.from && onlyPlace(u.kind, v.kind)
		return 2*shared >= failures && !alike
	})
	if !ok || best.weight-other.weight > apart {
		return nil
	}
	return &Rival{w.units[other.unit].kind, w.units[other.unit].name}
}

func oneFuel(a, b Kind) bool { return min(a, b) == ByRound && max(a, b) == ByFuel }

func onlyPlace(a, b Kind) bool { return min(a, b) == ByPosition && max(a, b) == ByHead }

// leakOdds is the logarithm of the odds that a round's leak-down is short by some amount against nothing; z is its
// distance from normal in standard errors, v the variance a fault adds in those.
func leakOdds(z, v float64) float64 {
	if v <= 0 {
		return 0
	}
	z = max(z, -6)
	odds := z*z/2*v/(1+v) - math.Log1p(v)/2
	if z > 0 {
		odds = -z*z/2*v/(1+v) - math.Log1p(v)/2
	}
	return odds
}

// shorter is by how much a bad fuel shortens leak-down, as a standard deviation of its logarithm: a third or half of
// it.
const shorter = 0.7

// leaks holds the leak-down of each round against the ship's normal.
func (w *comparison) leaks() {
	var within []float64
	type mean struct{ sum, n float64 }
	means := make([]mean, len(w.units))
	for i := range w.units {
		if w.units[i].kind != ByRound {
			continue
		}
		var off []float64
		for _, j := range w.units[i].at {
			if w.visits[j].Leaks {
				off = append(off, w.visits[j].Leak)
			}
		}
		if len(off) < 2 {
			continue
		}
		m := 0.0
		for _, x := range off {
			m += x / float64(len(off))
		}
		means[i] = mean{m, float64(len(off))}
		for _, x := range off {
			within = append(within, (x-m)/math.Sqrt(1-1/float64(len(off))))
		}
	}
	if len(within) < 12 {
		return
	}
	own := max(scaleOf(within, 0), 0.02)
	var out []float64
	var center []float64
	for _, m := range means {
		if m.n > 0 {
			center = append(center, m.sum)
		}
	}
	mid := middle(center)
	w.free = max(1, min(len(center)-1, 30))
	for _, m := range means {
		if m.n > 0 {
			out = append(out, (m.sum-mid)/math.Sqrt(own*own/m.n))
		}
	}
	more := math.Max(0, math.Pow(scaleOf(out, 0), 2)-1) // what rounds differ beyond their valves
	for i, m := range means {
		if m.n > 0 {
			err2 := own * own / m.n * (1 + more)
			err2 = math.Max(err2, 0.05*0.05)
			w.units[i].leak, w.units[i].leakOf = (m.sum-mid)/math.Sqrt(err2), shorter*shorter/err2
		}
	}
}

// scaleOf is the standard deviation of values about a middle, robust against a few that are off and steady where
// readings come in steps: squares are cut at one and a half deviations, and made up for what a normal distribution
// loses by that.
//
// Source: Huber, Robust Statistics, section 6.4, proposal 2 with the middle known.
func scaleOf(values []float64, middle float64) float64 {
	const cut = 1.5
	// the mean of min(x², cut²) of a standard normal x
	const kept = 0.77846
	if len(values) == 0 {
		return 0
	}
	s2 := 0.0
	for _, v := range values {
		s2 += (v - middle) * (v - middle) / float64(len(values))
	}
	for range 30 {
		sum := 0.0
		for _, v := range values {
			sum += math.Min((v-middle)*(v-middle), cut*cut*s2)
		}
		s2 = sum / float64(len(values)) / kept
	}
	return math.Sqrt(s2)
}
