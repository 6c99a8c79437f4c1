package logbook

import (
	"slices"
	"sort"
	"strings"
)

// Round is the overhauls of one engine that were pulled together.
type Round struct {
	Engine    string
	First     Day         // day of the first removal
	Name      string      // "<engine> <day>", or as the records name it
	Overhauls []*Overhaul // by cylinder in the engine's order
}

// Job is the round's job in the ship's maintenance system, with its permit and risk assessment, as its records name
// them: each once, in their order; empty where none does.
func (r Round) Job() string {
	var numbers, permits, risks []string
	add := func(all *[]string, t Text) {
		if t.Stated() && !slices.Contains(*all, t.Written) {
			*all = append(*all, t.Written)
		}
	}
	for _, o := range r.Overhauls {
		add(&numbers, o.Job.Number)
		add(&permits, o.Job.Permit)
		add(&risks, o.Job.Risk)
	}
	var parts []string
	for _, x := range []struct {
		name string
		all  []string
	}{{"job", numbers}, {"permit", permits}, {"risk assessment", risks}} {
		if len(x.all) > 0 {
			parts = append(parts, x.name+" "+strings.Join(x.all, " and "))
		}
	}
	return strings.Join(parts, ", ")
}

// last is the day of the removal that came last.
func (r Round) last() Day { return r.Overhauls[len(r.Overhauls)-1].Removed.Date.Day }

// Rounds groups the removals: one engine, each within the setting of the one before it, or the same explicit name. By
// day, then engine.
func (b *Book) Rounds() []Round {
	within := int(b.Vessel.Settings.WithDefaults().RoundWithin.Float())
	byEngine := map[string][]*Overhaul{}
	for _, o := range b.Overhauls {
		if o.Removed.Engine.Stated() && o.Removed.Date.Day != 0 {
			byEngine[o.Removed.Engine.Written] = append(byEngine[o.Removed.Engine.Written], o)
		}
	}
	var rounds []Round
	for engine, list := range byEngine {
		named := map[string]int{}
		last := -1
		for _, o := range list {
			if o.Round.Stated() {
				i, ok := named[o.Round.Written]
				if !ok {
					i = len(rounds)
					named[o.Round.Written] = i
					rounds = append(rounds, Round{Engine: engine, First: o.Removed.Date.Day, Name: o.Round.Written})
				}
				rounds[i].Overhauls = append(rounds[i].Overhauls, o)
				continue
			}
			if last < 0 || o.Removed.Date.Day.Days(rounds[last].last()) > within {
				last = len(rounds)
				rounds = append(rounds, Round{Engine: engine, First: o.Removed.Date.Day,
					Name: engine + " " + o.Removed.Date.Day.String()})
			}
			rounds[last].Overhauls = append(rounds[last].Overhauls, o)
		}
	}
	sort.Slice(rounds, func(i, j int) bool {
		if rounds[i].First != rounds[j].First {
			return rounds[i].First < rounds[j].First
		}
		return rounds[i].Name < rounds[j].Name
	})
	for _, r := range rounds {
		order := b.cylinderOrder(r.Engine)
		sort.SliceStable(r.Overhauls, func(i, j int) bool {
			return order[r.Overhauls[i].Removed.Cylinder.Written] < order[r.Overhauls[j].Removed.Cylinder.Written]
		})
	}
	return rounds
}

func (b *Book) cylinderOrder(engine string) map[string]int {
	order := map[string]int{}
	if e := b.Engine(engine); e != nil {
		for i, c := range e.Cylinders.Each {
			order[c.Written] = i
		}
	}
	return order
}

// FittedIn are the records of the valves that went into the cylinders of a round next, once each, by cylinder in the
// engine's order. One that came out in the same round is among its own records already, and left out here.
func (b *Book) FittedIn(r Round) (all []*Overhaul) {
	for _, o := range r.Overhauls {
		if s := b.lives.After(o); s != nil && s.Opened != nil && !slices.Contains(r.Overhauls, s.Opened) &&
			!slices.Contains(all, s.Opened) {
			all = append(all, s.Opened)
		}
	}
	return all
}

// After is the service period that came next in the cylinder that a record's valve was removed from; nil where none is
// on record.
func (l *Lives) After(o *Overhaul) *ServicePeriod {
	closed := l.closed[o]
	for _, s := range l.byPosition[Position{o.Removed.Engine.Written, o.Removed.Cylinder.Written}] {
		if s != closed && s.From >= o.Removed.Date.Day {
			return s
		}
	}
	return nil
}
