package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// Association is a thing that goes along with findings more often than chance explains. It is no proof of a cause.
type Association struct {
	Kind, Which string  // "holder", "H-109"
	With        string  // "bad as found", or "opening pressure off the ship's normal"
	Bad, N      int     // findings among the valves that had it
	RestBad     int     // findings among the others
	RestN       int     //
	Effect      float64 // bar, for a shift; 0 for a count
	P           float64 // chance of at least as much, if it had nothing to do with it
	Adjusted    float64 // the same, allowing for everything that was asked (Holm)
	Order       int     // 1 for the clearest; the records it explains are set aside before the next is looked for
}

// clear is the chance above which nothing is named: one in twenty, common practice, no source.
const clear = 0.05

// Associations asks, for bad valves and for shifted opening pressures, what goes along with them. The clearest is named, its records are
// set aside, and the rest is asked again, so that who merely worked on that holder or in that month is not named with it. asked counts
// every question, for the multiplicity.
func (e *Evidence) Associations() (found []Association, asked int) {
	f, n := e.count()
	g, m := e.shifted()
	return append(f, g...), n + m
}

// traits are what a valve had: holder, position, batch, bunkers, gauge, season and hand, each as kind and name. A holder is that of the
// service life; gauge and hand are those that set it.
func (e *Evidence) traits(o Opening) [][2]string {
	s := o.Stay
	all := [][2]string{{"holder", s.Holder}, {"position", s.Position.String()}, {"engine", s.Engine}, {"season", season(o.Day)}}
	if p := e.Book.Parts[s.Nozzle]; p != nil && p.Batch.Stated() {
		all = append(all, [2]string{"nozzle batch", p.Batch.Written})
	}
	if set := s.Opened; set != nil {
		all = append(all, [2]string{"hand who set it", set.By.Written})
		if g := set.AsLeft.Gauge.Written; g != "" {
			all = append(all, [2]string{"gauge it was set with", e.gauge(g, set.AsLeft.Date.Day)})
		}
	}
	all = append(all, [2]string{"hand who tested it", o.Overhaul.By.Written}, [2]string{"gauge it was tested with", e.gauge(o.Overhaul.AsFound.Gauge.Written, o.Overhaul.AsFound.Date.Day)})
	days := s.To.Days(s.From)
	for i := range e.Book.Bunkers {
		b := &e.Book.Bunkers[i]
		to := s.To
		if b.To.Day != 0 {
			to = min(to, b.To.Day)
		}
		// a fuel of a tenth of the days counts as burned: fouling of a few days does not burn away again
		if b.From.Day != 0 && 10*to.Days(max(s.From, b.From.Day)) >= days {
			all = append(all, [2]string{"bunker", b.Stem.Written + " of " + b.Received.Written})
		}
	}
	return slices.DeleteFunc(all, func(t [2]string) bool { return t[1] == "" })
}

// gauge names a gauge, and the time in which it is on record as wrong apart from the rest: it was another gauge then.
func (e *Evidence) gauge(id string, day logbook.Day) string {
	if i := e.Book.Instruments[id]; i != nil {
		for _, w := range i.FoundWrong {
			if w.From.Day <= day && (w.To.Day == 0 || day <= w.To.Day) {
				return id + " from " + w.From.Written + " to " + w.To.Written
			}
		}
	}
	return id
}

func season(d logbook.Day) string {
	return [...]string{"winter", "spring", "summer", "autumn"}[int(d.Time().Month())%12/3]
}

// least is the fewest valves that a trait is asked about: two may be chance.
const least = 3

type trait [2]string

// subjects groups openings by trait, in a fixed order.
func (e *Evidence) subjects(of []Opening, about func(kind string) bool) (names []trait, by map[trait][]int) {
	by = map[trait][]int{}
	for i, o := range of {
		for _, t := range e.traits(o) {
			if !about(t[0]) {
				continue
			}
			if l := by[t]; len(l) == 0 || l[len(l)-1] != i {
				by[t] = append(l, i)
			}
		}
	}
	for t, l := range by {
		if len(l) >= least && len(l) < len(of) {
			names = append(names, t)
		}
	}
	sort.Slice(names, func(i, j int) bool {
		return names[i][0]+"\x00"+names[i][1] < names[j][0]+"\x00"+names[j][1]
	})
	return names, by
}

// count asks what bad valves have in common, by Fisher's exact test.
func (e *Evidence) count() (found []Association, asked int) {
	var open []Opening
	for _, o := range e.Openings {
		if o.State != Unknown {
			open = append(open, o)
		}
	}
	for order := 1; ; order++ {
		// a gauge makes no valve bad, so gauges are not asked
		names, by := e.subjects(open, func(kind string) bool { return !strings.HasPrefix(kind, "gauge") })
		if order == 1 {
			asked = len(names)
		}
		total := 0
		for _, o := range open {
			if o.State == Bad {
				total++
			}
		}
		best := Association{P: math.Inf(1)}
		for _, t := range names {
			a := Association{Kind: t[0], Which: t[1], With: "bad as found", N: len(by[t]), RestN: len(open) - len(by[t]), Order: order}
			for _, i := range by[t] {
				if open[i].State == Bad {
					a.Bad++
				}
			}
			a.RestBad = total - a.Bad
			a.P = atLeast(a.Bad, a.N, total, len(open))
			if a.P < best.P {
				best = a
			}
		}
		// of those left, the clearest is held against as many questions as are left: Holm's step down
		best.Adjusted = math.Min(1, best.P*float64(asked-order+1))
		if best.Adjusted > clear || math.IsInf(best.P, 1) {
			return found, asked
		}
		found = append(found, best)
		open = drop(open, by[trait{best.Kind, best.Which}])
	}
}

func drop(open []Opening, gone []int) []Opening {
	var left []Opening
	for i, o := range open {
		if _, out := slices.BinarySearch(gone, i); !out {
			left = append(left, o)
		}
	}
	return left
}

// atLeast is the chance that n drawn from all hold at least bad of the total bad.
//
// Source: Fisher's exact test, one-sided; the hypergeometric distribution in any text.
func atLeast(bad, n, total, all int) float64 {
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

// shifted asks what goes along with an opening pressure that came back off the ship's normal of its setting class, by the rank sum of the
// valves that had a trait against the others. Ranks keep one misread value from accusing anything.
func (e *Evidence) shifted() (found []Association, asked int) {
	at := map[*logbook.Overhaul]Opening{}
	for _, o := range e.Openings {
		at[o.Overhaul] = o
	}
	var open []Opening
	var off []float64
	usual := map[logbook.Class]float64{}
	for class := logbook.Used; class <= logbook.Reground; class++ {
		usual[class] = e.Causes.Usual(class).Median
	}
	for _, s := range e.Causes.Shifts {
		o, ok := at[s.Overhaul]
		if !ok || s.Settled || e.Causes.FouledWith(s.Overhaul) != nil {
			continue
		}
		open, off = append(open, o), append(off, s.Bar-usual[s.Left.Class])
	}
	for order := 1; ; order++ {
		// fuel fouls and wears, it moves no spring by itself, and seasons go with the fuel: neither is asked
		names, by := e.subjects(open, func(kind string) bool { return kind != "bunker" && kind != "season" })
		if order == 1 {
			asked = len(names)
		}
		ranks := rank(off)
		best := Association{P: math.Inf(1)}
		for _, t := range names {
			a := Association{Kind: t[0], Which: t[1], With: "opening pressure off the ship's normal", N: len(by[t]), RestN: len(open) - len(by[t]), Order: order}
			sum, mean, rest := 0.0, 0.0, 0.0
			in := map[int]bool{}
			for _, i := range by[t] {
				sum, mean, in[i] = sum+ranks[i], mean+off[i]/float64(a.N), true
			}
			for i := range off {
				if !in[i] {
					rest += off[i] / float64(a.RestN)
				}
			}
			a.Effect = mean - rest
			a.P = rankSum(sum, a.N, ranks)
			if a.P < best.P {
				best = a
			}
		}
		best.Adjusted = math.Min(1, best.P*float64(asked-order+1))
		if best.Adjusted > clear || math.IsInf(best.P, 1) {
			return found, asked
		}
		found = append(found, best)
		gone := by[trait{best.Kind, best.Which}]
		var left []float64
		for i, v := range off {
			if _, out := slices.BinarySearch(gone, i); !out {
				left = append(left, v)
			}
		}
		open, off = drop(open, gone), left
	}
}

// rank gives each value its rank, ties their mean.
func rank(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	ranks := make([]float64, len(values))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && values[order[j]] == values[order[i]] {
			j++
		}
		for _, k := range order[i:j] {
			ranks[k] = float64(i+j+1) / 2
		}
		i = j
	}
	return ranks
}

// rankSum is the two-sided chance of a rank sum at least so far from its middle, by the normal approximation to all permutations, with the
// variance of the ranks as they are, ties and all.
//
// Source: Wilcoxon 1945; Mann and Whitney 1947, Annals of Mathematical Statistics 18, 50; permutation variance of a sum in any text.
func rankSum(sum float64, n int, ranks []float64) float64 {
	all := float64(len(ranks))
	mean, square := 0.0, 0.0
	for _, r := range ranks {
		mean += r / all
	}
	for _, r := range ranks {
		square += (r - mean) * (r - mean)
	}
	variance := float64(n) * (all - float64(n)) / (all * (all - 1)) * square
	if variance <= 0 {
		return 1
	}
	z := math.Max(0, math.Abs(sum-float64(n)*mean)-0.5) / math.Sqrt(variance)
	return math.Erfc(z / math.Sqrt2)
}

// CausesPaper says what goes along with repeated findings, and who and what does not.
func (e *Evidence) CausesPaper() paper.Paper {
	found, asked := e.Associations()
	out := paper.Paper{Name: "causes", Title: "What goes along with repeated findings? " + e.Book.Vessel.Name.Written + ", " + e.today.String()}
	out.Lead = []string{fmt.Sprintf("%d questions were asked: holder, position, engine, nozzle batch, bunker, gauge, season, hand; named is what chance explains less than once in twenty, allowing for all of them", asked)}
	t := paper.Table{Name: "causes", Title: "what stands out, the clearest first", Columns: []string{"what", "which", "goes along with", "of those with it", "of the others", "effect", "chance alone", "allowing for all asked"}, Empty: "nothing: chance explains what there is"}
	for _, a := range found {
		own, rest, effect := fmt.Sprintf("%d of %d", a.Bad, a.N), fmt.Sprintf("%d of %d", a.RestBad, a.RestN), "–"
		if a.With != "bad as found" {
			own, rest, effect = fmt.Sprintf("n %d", a.N), fmt.Sprintf("n %d", a.RestN), fmt.Sprintf("%+.0f bar", a.Effect)
		} else if a.RestN > 0 && a.N > 0 {
			effect = fmt.Sprintf("%s against %s", percent(float64(a.Bad)/float64(a.N)), percent(float64(a.RestBad)/float64(a.RestN)))
		}
		which := paper.Text(a.Which)
		if a.Kind == "holder" {
			which = paper.Holder(a.Which)
		}
		t.Add(paper.Text(a.Kind), which, paper.Text(a.With), paper.Text(own), paper.Text(rest), paper.Text(effect), paper.Text(chance(a.P)), paper.Text(chance(a.Adjusted)))
	}
	out.Tables = []paper.Table{t, e.rejections()}
	out.Notes = []string{"what goes along with a finding need not cause it: look at the part, the gauge or the fuel before saying so",
		"each line sets aside the records it explains before the next is asked, so that who only worked with them is not named",
		"gauges are asked about pressures only, fuel and season about bad valves only: neither can do the other; and valves of one round share gauge, fuel and hand, so that for these the chance is somewhat larger than shown",
		"hands are asked about like everything else; no order of persons is made"}
	return out
}

func chance(p float64) string {
	if p < 0.0001 {
		return "under 0.0001"
	}
	return fmt.Sprintf("%.4f", p)
}

// rejections counts nozzles taken out before their life, by holder and position.
func (e *Evidence) rejections() paper.Table {
	t := paper.Table{Name: "rejections", Title: "nozzles taken out of use, by holder", Columns: []string{"holder", "nozzles", "not explained", "explained by", "mean service h", "where"}, Empty: "none"}
	type sum struct {
		n, open int
		hours   float64
		why     map[string]int
		where   []string
	}
	by := map[string]*sum{}
	for _, r := range e.Causes.Rejections {
		if !r.Renewed || r.Overhaul.Day() > e.today {
			continue
		}
		s := by[r.Holder]
		if s == nil {
			s = &sum{why: map[string]int{}}
			by[r.Holder] = s
		}
		s.n++
		if stay := e.lives.ClosedBy(r.Overhaul); stay != nil {
			s.hours += stay.Hours
		}
		s.where = append(s.where, r.Position.String())
		why := r.Explained
		if strings.HasPrefix(why, "not early") {
			why = "its hours"
		}
		if why == "" {
			s.open++
		} else {
			s.why[why]++
		}
	}
	names := make([]string, 0, len(by))
	for h := range by {
		names = append(names, h)
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(by[b].open-by[a].open, by[b].n-by[a].n, strings.Compare(a, b))
	})
	for _, h := range names {
		s := by[h]
		var why []string
		for w, n := range s.why {
			why = append(why, fmt.Sprintf("%s (%d)", w, n))
		}
		slices.Sort(why)
		t.Add(paper.Holder(h), num(s.n), num(s.open), paper.Text(strings.Join(why, "; ")), paper.Text(fmt.Sprintf("%.0f", s.hours/float64(s.n))), paper.Text(strings.Join(s.where, " ")))
	}
	return t
}
