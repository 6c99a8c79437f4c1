package recurring

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Fouled is a round that failed as a whole: fuel, or whatever else its valves shared, explains it best.
type Fouled struct {
	Round   logbook.Round
	By      *Failures           // the explanation that it is part of
	Bad     []*logbook.Overhaul // its valves that failed
	Judged  int                 // its valves that were looked at
	Soon    bool                // most of those that failed had not run half their interval
	Leak    float64             // leak-down of its valves as a share of the ship's normal at their ages; 0 where not known
	Bunkers []BunkerUse         // in use while these valves ran; first the one that explains it, else the longest
	Earlier []int               // indexes in Recurring.Fouled of earlier rounds that ran on that one
}

// FouledWith is the fouled round that a record belongs to; nil where its round was not fouled.
func (c *Recurring) FouledWith(o *logbook.Overhaul) *Fouled { return c.fouled[o] }

// findFouled lists the rounds that the engine names: one by itself, or those that ran on a bunker.
func (c *Recurring) findFouled(rounds []logbook.Round) {
	by := make([]*Failures, len(rounds))
	for i := range c.Failures {
		f := &c.Failures[i]
		if f.Rival != nil || f.Kind != ByRound && f.Kind != ByFuel {
			continue
		}
		for _, v := range f.Visits {
			if n := c.Visits[v].TestedIn; by[n] == nil && (f.Kind == ByRound || c.Visits[v].Failed) {
				by[n] = f
			}
		}
	}
	for n, f := range by {
		if f != nil {
			c.Fouled = append(c.Fouled, c.fouledRound(rounds[n], n, f))
		}
	}
	for i := range c.Fouled {
		for _, o := range c.Fouled[i].Round.Overhauls {
			c.fouled[o] = &c.Fouled[i]
		}
	}
}

func (c *Recurring) fouledRound(r logbook.Round, n int, by *Failures) Fouled {
	f := Fouled{Round: r, By: by, Bunkers: c.bunkers(r)}
	early := 0
	var leak []float64
	for i := range c.Visits {
		v := &c.Visits[i]
		if v.TestedIn != n {
			continue
		}
		if v.Leaks {
			leak = append(leak, v.Leak)
		}
		if v.Looked {
			f.Judged++
		}
		if !v.Failed {
			continue
		}
		f.Bad = append(f.Bad, v.Overhaul)
		period := c.book.Lives().ClosedBy(v.Overhaul)
		if i, ok := c.interval(v.Overhaul); ok && period != nil && period.HoursKnown && period.Hours < i/2 {
			early++
		}
	}
	f.Soon = len(f.Bad) > 0 && 2*early > len(f.Bad)
	if len(leak) >= 3 {
		f.Leak = expMean(leak)
	}
	for i, u := range f.Bunkers {
		if by.Kind == ByFuel && u.Name() == by.Name {
			copy(f.Bunkers[1:i+1], f.Bunkers[:i])
			f.Bunkers[0] = u
			break
		}
	}
	if len(f.Bunkers) > 0 {
		for i := range c.Fouled {
			if b := c.Fouled[i].Bunkers; len(b) > 0 && b[0].Bunker == f.Bunkers[0].Bunker {
				f.Earlier = append(f.Earlier, i)
			}
		}
	}
	return f
}

// interval is the interval in hours that held for a record when the valve came out.
func (c *Recurring) interval(o *logbook.Overhaul) (float64, bool) {
	i, ok := c.book.IntervalOn(positionOf(o), o.Removed.Date.Day)
	return i.Hours.Float(), ok
}

// PlaceOf is the line that shows what a valve failed by: its seat, its spray, or its leak-down.
func (c *Recurring) PlaceOf(o *logbook.Overhaul) logbook.Place {
	for _, key := range []string{keys.AsFoundSeatState, keys.AsFoundSpray, keys.AsFoundLeakDownTime} {
		if x := c.judged.Find(o, key); x.Result.Out() {
			return x.Place
		}
	}
	return o.Removed.Place
}
