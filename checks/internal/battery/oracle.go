package battery

import (
	"math"

	"needlebook/checks/recurring"
)

// kinds are what the oracle looks through for a kind of fault.
var kinds = map[string]recurring.Kind{"position": recurring.ByPosition, "head": recurring.ByHead,
	"holder": recurring.ByHolder, "bunker": recurring.ByFuel}

// Best is, for a kind of fault and the share that it fails, the part that the likelihood ratio against nothing is
// highest for, by its logarithm. By the lemma of Neyman and Pearson (1933) no test of one part finds more at equal
// false alarms; which part it is, and since when, the oracle has to look for as everybody has. Base rate, scatter and
// normal of the ship it knows.
func (s *Ship) Best(k Fault, visits []recurring.Visit) (name string, odds float64) {
	odds = math.Inf(-1)
	take := func(n string, o float64) {
		if o > odds {
			name, odds = n, o
		}
	}
	switch kind := kinds[k.Kind]; kind {
	case recurring.ByPosition, recurring.ByHead, recurring.ByHolder:
		for n, at := range s.units(kind, visits) {
			sum, best := 0.0, math.Inf(-1)
			for i := len(at) - 1; i >= 0; i-- { // since when
				sum += s.ratio(k.Share, visits[at[i]].Failed)
				best = math.Max(best, sum)
			}
			take(n, best)
		}
	case recurring.ByFuel:
		for n, at := range s.units(kind, visits) {
			sum := 0.0
			for _, i := range at {
				sum += s.ratio(k.Share, visits[i].Failed)
				const sd, short = 0.18, -0.693
				l := visits[i].Leak
				sum += (l*l - (l-short)*(l-short)) / (2 * sd * sd)
			}
			take(n, sum)
		}
	}
	return name, odds
}

func (s *Ship) ratio(share float64, failed bool) float64 {
	p, q := s.Habits.Base, math.Min(math.Max(share, s.Habits.Base), 0.97)
	if s.Habits.Pulls > 0 {
		years := s.Habits.Interval * float64(s.Habits.Rounds) / hoursOfYear
		pulls := s.Habits.Pulls * years
		p = (p*float64(s.Habits.Rounds*s.Habits.Cylinders) + pulls) / (float64(s.Habits.Rounds*s.Habits.Cylinders) + pulls)
	}
	if failed {
		return math.Log(q / p)
	}
	return math.Log((1 - q) / (1 - p))
}

func (s *Ship) units(k recurring.Kind, visits []recurring.Visit) map[string][]int {
	all := map[string][]int{}
	for i := range visits {
		switch k {
		case recurring.ByPosition:
			all[visits[i].Position] = append(all[visits[i].Position], i)
		case recurring.ByHead:
			if visits[i].Head != "" {
				all[visits[i].Head] = append(all[visits[i].Head], i)
			}
		case recurring.ByHolder:
			all[visits[i].Holder] = append(all[visits[i].Holder], i)
		case recurring.ByFuel:
			for _, f := range visits[i].Fuels {
				all[f] = append(all[f], i)
			}
		}
	}
	return all
}

// Wrong is the gauge, and the events from and to which it was wrong by so much, that the likelihood ratio is highest
// for. It counts valves up to an event; a negative one is the whole.
func (s *Ship) Wrong(off float64, upTo int) (gauge, from, to int, odds float64) {
	odds = math.Inf(-1)
	h := s.Habits
	valve2 := 16 + 4 + 2*(1.5*1.5*0.45+h.Step*h.Step/12)
	used := make([][]int, h.Gauges) // by gauge, events
	tested, set := map[int][]int{}, map[int][]int{}
	for i := range s.Valves {
		x := &s.Valves[i]
		if upTo >= 0 && x.Event > upTo || !x.Known {
			continue
		}
		if u := used[x.Tested]; len(u) == 0 || u[len(u)-1] != x.Event {
			used[x.Tested] = append(u, x.Event)
		}
		tested[x.Event] = append(tested[x.Event], i)
		e := s.Valves[x.SetIn].Event
		set[e] = append(set[e], i)
	}
	for g := range used {
		for a := range used[g] {
			sign, each := map[int]int{}, map[int]int{}
			for b := a; b < min(a+2, len(used[g])); b++ {
				e := used[g][b]
				for _, i := range tested[e] {
					sign[i]++
				}
				for _, i := range set[e] {
					sign[i]--
				}
				sum, n := 0.0, 0.0
				clear(each)
				for i, c := range sign {
					x := &s.Valves[i]
					sum += float64(c) * (x.Found - x.Left - x.Usual)
					n += float64(c * c)
					each[x.Event] += c
					each[s.Valves[x.SetIn].Event] -= c
				}
				r2 := 0.0
				for _, c := range each {
					r2 += float64(c * c)
				}
				own := valve2*n + h.Tare*h.Tare*r2
				for _, d := range []float64{off * 322, -off * 322} {
					if o := d*n*sum/own - d*d*n*n/own/2; n > 0 && o > odds {
						gauge, from, to, odds = g, used[g][a], e, o
					}
				}
			}
		}
	}
	return gauge, from, to, odds
}

// Back is the event at which most of the valves that were set while a gauge was wrong have come back.
func (s *Ship) Back(p Planted) int {
	last := -1
	n := 0
	for i := range s.Valves {
		x := &s.Valves[i]
		if x.SetIn < 0 || x.Set != p.Guilty {
			continue
		}
		if set := s.Valves[x.SetIn].Event; set >= p.From && set <= p.To {
			if n++; 3*n >= 2*s.Habits.Cylinders {
				return x.Event
			}
			last = x.Event
		}
	}
	return last
}
