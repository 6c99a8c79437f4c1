package recurring

import (
	"sort"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Fouled is a round that shows the same fault in too many valves for a fault of each.
type Fouled struct {
	Round   logbook.Round
	Judged  int                 // valves whose seat or spray was tested as found
	Bad     []*logbook.Overhaul // of these, with a leaking seat or a spray that was not whole
	Early   []*logbook.Overhaul // of the bad, those below half their interval
	Leak    LeakDown            // leak-down of the round against the ship's normal at that age
	Many    bool                // so large a share is bad
	Soon    bool                // so many are bad below half the interval
	Short   bool                // leak-down is so far below normal
	Bunkers []BunkerUse         // in use while these valves ran, the longest first
	Earlier []int               // indexes in Causes.Fouled of earlier rounds that ran on one of the bunkers
}

// LeakDown is the mean of a round and the ship's normal at the ages of its valves, in seconds.
type LeakDown struct {
	N           int     // valves of the round that compare
	Mean, Usual float64 // their mean, and what the ship's earlier valves showed at the same ages
	Over        int     // those earlier valves
}

// BunkerUse is a bunker and the days of the service periods that it was in use.
type BunkerUse struct {
	Bunker *logbook.Bunker
	Days   int // most days of any one stay
	Of     int // days of that stay
}

// FouledWith is the fouled round that a record belongs to; nil where its round was not fouled.
func (c *Recurring) FouledWith(o *logbook.Overhaul) *Fouled { return c.fouled[o] }

func (c *Recurring) findFouled(rounds []logbook.Round) {
	var normal []point
	for at, next := 0, 0; at < len(rounds); at = next {
		for next = at; next < len(rounds) && rounds[next].First == rounds[at].First; next++ {
		}
		usual := ageingOf(newest(normal, c.settings.NormalOver.Int()), c.settings.LikeAge.Float()/100)
		var fouled []Fouled
		for _, r := range rounds[at:next] {
			if f := c.round(r, usual); f.Many || f.Soon || f.Short {
				fouled = append(fouled, f)
			}
		}
		for i := range fouled {
			f := &fouled[i]
			f.Bunkers = c.bunkers(f.Round)
			f.Earlier = c.sameBunker(f.Bunkers)
		}
		bad := map[*logbook.Overhaul]bool{}
		for i := range fouled {
			c.Fouled = append(c.Fouled, fouled[i])
			for _, o := range fouled[i].Round.Overhauls {
				bad[o] = true
			}
		}
		for _, r := range rounds[at:next] { // the rounds of one day do not judge one another
			for _, o := range r.Overhauls {
				if p, ok := c.leak(o); ok && !bad[o] && !c.settled(o) {
					normal = append(normal, p)
				}
			}
		}
	}
	for i := range c.Fouled {
		for _, o := range c.Fouled[i].Round.Overhauls {
			c.fouled[o] = &c.Fouled[i]
		}
	}
}

// round holds one round against the settings of the book. A holder that was condemned in the end explains its own
// valve.
func (c *Recurring) round(r logbook.Round, usual ageing) Fouled {
	f := Fouled{Round: r}
	lives := c.book.Lives()
	for _, o := range r.Overhauls {
		if c.settled(o) {
			continue
		}
		seat, spray := c.judged.Find(o, keys.AsFoundSeatState), c.judged.Find(o, keys.AsFoundSpray)
		if !seat.Result.Out() && !spray.Result.Out() {
			if seat.Written != "" || spray.Written != "" {
				f.Judged++
			}
			continue
		}
		f.Judged++
		f.Bad = append(f.Bad, o)
		period := lives.ClosedBy(o)
		if i, ok := c.interval(o); ok && period != nil && period.HoursKnown && period.Hours < i/2 {
			f.Early = append(f.Early, o)
		}
	}
	f.Leak = c.leakOf(r, usual)
	st := c.settings
	f.Many = f.Judged >= st.SetLeast.Int() && len(f.Bad) >= st.RoundEarly.Int() &&
		float64(len(f.Bad))*100 >= st.RoundBad.Float()*float64(f.Judged)
	f.Soon = len(f.Early) >= st.RoundEarly.Int()
	f.Short = f.Leak.N >= st.SetLeast.Int() && f.Leak.Mean*100 < st.RoundLeak.Float()*f.Leak.Usual
	return f
}

// interval is the interval in hours that held for a record when the valve came out.
func (c *Recurring) interval(o *logbook.Overhaul) (float64, bool) {
	i, ok := c.book.IntervalOn(logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written},
		o.Removed.Date.Day)
	return i.Hours.Float(), ok
}

// leak is the as-found leak-down of a record with the running hours it came after.
func (c *Recurring) leak(o *logbook.Overhaul) (point, bool) {
	period, time := c.book.Lives().ClosedBy(o), o.AsFound.LeakDown.Time
	if period == nil || !period.HoursKnown || !time.Quantity.Valid() || time.Float() <= 0 {
		return point{}, false
	}
	return point{period.Hours, time.Float()}, true
}

// leakOf compares the round's leak-down with what this ship's earlier valves showed at the same ages.
func (c *Recurring) leakOf(r logbook.Round, usual ageing) LeakDown {
	l := LeakDown{Over: usual.n}
	if usual.n < c.settings.SetBaseline.Int() {
		return l
	}
	for _, o := range r.Overhauls {
		p, ok := c.leak(o)
		if !ok || c.settled(o) {
			continue
		}
		if u, ok := usual.at(p.hours, c.settings.LikeAge.Float()/100); ok {
			l.N++
			l.Mean += p.value
			l.Usual += u
		}
	}
	if l.N > 0 {
		l.Mean, l.Usual = l.Mean/float64(l.N), l.Usual/float64(l.N)
	}
	return l
}

// bunkers lists the bunkers that were in use while the valves of a round ran, by the days of the stay they fill most
// of.
func (c *Recurring) bunkers(r logbook.Round) []BunkerUse {
	var uses []BunkerUse
	for i := range c.book.Bunkers {
		b := &c.book.Bunkers[i]
		use := BunkerUse{Bunker: b}
		for _, o := range r.Overhauls {
			s := c.book.Lives().ClosedBy(o)
			if s == nil || b.From.Day == 0 {
				continue
			}
			to := s.To
			if b.To.Day != 0 {
				to = min(to, b.To.Day)
			}
			if days := to.Days(max(s.From, b.From.Day)); days > 0 && days > use.Days {
				use.Days, use.Of = days, s.To.Days(s.From)
			}
		}
		if use.Days > 0 {
			uses = append(uses, use)
		}
	}
	sort.SliceStable(uses, func(i, j int) bool { return uses[i].Days > uses[j].Days })
	return uses
}

// sameBunker finds the earlier fouled rounds that ran on one of the bunkers.
func (c *Recurring) sameBunker(uses []BunkerUse) []int {
	var earlier []int
	for i, f := range c.Fouled {
		shared := false
		for _, u := range f.Bunkers {
			for _, v := range uses {
				shared = shared || u.Bunker == v.Bunker
			}
		}
		if shared {
			earlier = append(earlier, i)
		}
	}
	return earlier
}
