package logbook

// Interval is how long a valve may run between overhauls in one position, and where that is written.
type Interval struct {
	Hours    Amount
	Decision *Decision // the decision that sets it; nil where engine or limits file does
}

// IntervalOn is the interval that holds in a position on a day: that of a decision in force (a trial or an interval;
// one that names cylinders before one that names engines, the later before the earlier), else the engine's own, else
// that of the limits file. One of minutes or of centuries counts as not stated. ok is false where none is stated.
func (b *Book) IntervalOn(p Position, day Day) (i Interval, ok bool) {
	best := -1
	for _, d := range b.Decisions {
		if rank := d.reach(p); rank >= 0 && d.holds(day) && b.believesInterval(d.Interval) {
			if rank > best || rank == best && d.Date.Day >= i.Decision.Date.Day {
				best, i = rank, Interval{d.Interval, d}
			}
		}
	}
	if best >= 0 {
		return i, true
	}
	if e := b.Engine(p.Engine); e != nil && b.believesInterval(e.Interval) {
		return Interval{Hours: e.Interval}, true
	}
	if l := b.LimitsOf(p.Engine); l != nil {
		if e, in := l.On(day); in && b.believesInterval(e.Interval) {
			return Interval{Hours: e.Interval}, true
		}
	}
	return Interval{}, false
}

// DoubtedInterval is the interval that is stated for a position on a day, of the decision, the engine or the limits,
// and that cannot be the time between two overhauls; one that is not valid where there is none.
func (b *Book) DoubtedInterval(p Position, day Day) Amount {
	var stated []Amount
	for _, d := range b.Decisions {
		if d.reach(p) >= 0 && d.holds(day) {
			stated = append(stated, d.Interval)
		}
	}
	if e := b.Engine(p.Engine); e != nil {
		stated = append(stated, e.Interval)
	}
	if l := b.LimitsOf(p.Engine); l != nil {
		if e, in := l.On(day); in {
			stated = append(stated, e.Interval)
		}
	}
	for _, a := range stated {
		if a.Quantity.Valid() && !b.believesInterval(a) {
			return a
		}
	}
	return Amount{}
}

func (b *Book) believesInterval(a Amount) bool {
	return a.Quantity.Valid() && b.Settings().BelievesInterval(a.Float())
}

// BelievesInterval says that hours can be the time between two overhauls at all.
func (s *Settings) BelievesInterval(hours float64) bool {
	return hours >= s.IntervalLeast.Float() && hours <= s.IntervalMost.Float()
}

// holds says that a trial or an interval is in force on a day.
func (d *Decision) holds(day Day) bool {
	return d.Kind.Is("trial", "interval") && d.Date.Day != 0 && d.Date.Day <= day &&
		(d.Until.Day == 0 || day <= d.Until.Day) && (!d.Closed.Stated() || d.Closed.Date.Day == 0 || day < d.Closed.Date.Day)
}

// reach ranks how closely a decision names a position: 2 by cylinder, 1 by engine, 0 where it names neither, -1 where
// it does not concern the position. Cylinders may be written "4" or "ME2-4".
func (d *Decision) reach(p Position) int {
	names := func(list Serials, also ...string) bool {
		for _, s := range list.Each {
			for _, w := range also {
				if s.Written == w {
					return true
				}
			}
		}
		return false
	}
	engine := len(d.Engines.Each) == 0 || names(d.Engines, p.Engine)
	switch {
	case len(d.Cylinders.Each) > 0 && names(d.Cylinders, p.String()):
		return 2
	case len(d.Cylinders.Each) > 0 && (!engine || !names(d.Cylinders, p.Cylinder)):
		return -1
	case len(d.Cylinders.Each) > 0:
		return 2
	case !engine:
		return -1
	case len(d.Engines.Each) > 0:
		return 1
	}
	return 0
}
