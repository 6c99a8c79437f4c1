package evidence

import (
	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// Association is a thing that occurs with findings more often than chance explains. It is no proof of a cause.
type Association struct {
	Kind, Which string  // "holder", "H-109"
	With        string  // "failed", or "opening pressure off the ship's normal"
	Bad, N      int     // findings among the valves that had it
	RestBad     int     // findings among the others
	RestN       int     //
	Effect      float64 // bar, for a shift; 0 for a count
	Uncertainty float64 // of it, k = 2
	Ran, Others float64 // mean hours that those with it and the others had run; 0 where not known
	Chance      float64 // of as much at the ship's own rate, for any of the explanations asked about
	Least       bool    // no history drawn reached it: Chance is the most it can be
	Rival       string  // what explains as much, so that the two cannot be told apart; empty where there is none
	Order       int     // 1 for the clearest; the records it explains are set aside before the next is looked for

	valves map[*logbook.Overhaul]bool // it covers
}

// What associations occur with.
const (
	withFailed = "failed"
	withShift  = "opening pressure off the ship's normal"
)

// Associations are what the engine of recurring findings names by the day, the clearest first, and how many
// explanations it asked about. Checks and pages ask the same engine.
func (e *Evidence) Associations() (found []Association, asked int) {
	return e.named, e.Recurring.Asked
}

func (e *Evidence) associate() {
	all := e.Recurring
	for n := range all.Failures {
		f := &all.Failures[n]
		a := Association{Kind: f.Kind.String(), Which: e.called(f.Kind, f.Name, f.Visits), With: withFailed, Bad: f.Failed,
			N: len(f.Visits), RestBad: f.RestOf, RestN: f.Rest, Chance: f.Chance, Least: f.Least,
			Rival: e.rival(f.Rival, f.Visits), Order: n + 1}
		e.ran(&a, f.Visits)
		e.named = append(e.named, a)
	}
	for n := range all.Pressures {
		p := &all.Pressures[n]
		a := Association{Kind: p.Kind.String(), Which: e.called(p.Kind, p.Name, p.Visits), With: withShift,
			N: len(p.Visits), RestN: len(all.Shifts) - len(p.Visits), Effect: p.Bar, Uncertainty: p.Uncertainty,
			Chance: p.Chance, Rival: e.rival(p.Rival, p.Visits), Order: n + 1}
		if p.Within {
			a.Rival = "the gauge it was held against: two of their class may differ by as much"
		}
		e.ran(&a, p.Visits)
		e.named = append(e.named, a)
	}
}

// called is the name of a part, or of the round of some visits.
func (e *Evidence) called(k recurring.Kind, name string, visits []int) string {
	if k == recurring.ByRound {
		return e.Recurring.RoundOf(visits[0]).Name
	}
	return name
}

func (e *Evidence) rival(r *recurring.Rival, visits []int) string {
	if r == nil {
		return ""
	}
	return r.Kind.String() + " " + e.called(r.Kind, r.Name, visits)
}

// ran notes the valves of an association, and the mean hours that they and all others had run.
func (e *Evidence) ran(a *Association, visits []int) {
	a.valves = map[*logbook.Overhaul]bool{}
	for _, i := range visits {
		a.valves[e.Recurring.Visits[i].Overhaul] = true
	}
	var own, others sum
	for i := range e.Openings {
		if o := &e.Openings[i]; a.valves[o.Overhaul] {
			own.run(o.Hours)
		} else {
			others.run(o.Hours)
		}
	}
	a.Ran, a.Others = own.mean(), others.mean()
}

type sum struct {
	n     int
	value float64
}

// run adds the hours of a valve, where they are known.
func (s *sum) run(hours float64) {
	if hours > 0 {
		s.n, s.value = s.n+1, s.value+hours
	}
}

func (s sum) mean() float64 {
	if s.n == 0 {
		return 0
	}
	return s.value / float64(s.n)
}

// The kinds that the interval review asks about.
var aHolder, aPosition, aRound, aBunker = recurring.ByHolder.String(), recurring.ByPosition.String(),
	recurring.ByRound.String(), recurring.ByFuel.String()
