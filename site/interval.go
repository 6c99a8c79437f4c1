package site

import (
	"slices"

	"needlebook/logbook"
)

// allowed is how long a valve may run in a position, and where that is written.
type allowed struct {
	hours float64
	from  string // in words: "decision T-02"
	at    logbook.Place
}

// intervalOf is the interval that holds for a position today: a decision that names it, else what the owner set for the engine,
// else what the limits file states. ok is false where the book states none.
func (s *site) intervalOf(p logbook.Position) (allowed, bool) {
	var best *logbook.Decision
	for _, d := range s.Book.Decisions {
		if !d.Interval.Quantity.Valid() || !holdsFor(d.Engines, p.Engine) || !holdsFor(d.Cylinders, p.Cylinder) {
			continue
		}
		if d.Date.Day > s.today || d.Until.Day != 0 && d.Until.Day < s.today || d.Closed.Stated() && d.Closed.Date.Day <= s.today {
			continue
		}
		if best == nil || narrower(d, best) {
			best = d
		}
	}
	if best != nil {
		return allowed{best.Interval.Float(), best.Kind.Written + " " + best.ID.Written, best.Interval.Place}, true
	}
	if e := s.Book.Engine(p.Engine); e != nil && e.Interval.Quantity.Valid() {
		return allowed{e.Interval.Float(), "book.md", e.Interval.Place}, true
	}
	if l := s.Book.LimitsOf(p.Engine); l != nil {
		if in, ok := l.On(s.today); ok && in.Interval.Quantity.Valid() {
			e, _ := l.EditionOf(in.Interval.Place)
			return allowed{in.Interval.Float(), e.Source.Written, in.Interval.Place}, true
		}
	}
	return allowed{}, false
}

// holdsFor says that a decision holds for one of its engines or cylinders: all, where it names none.
func holdsFor(list logbook.Serials, one string) bool {
	return len(list.Each) == 0 || slices.ContainsFunc(list.Each, func(s logbook.Serial) bool { return s.Written == one })
}

// narrower says that a decision goes before another: it names cylinders where the other does not, else it is the later one.
func narrower(a, b *logbook.Decision) bool {
	if x, y := len(a.Cylinders.Each) > 0, len(b.Cylinders.Each) > 0; x != y {
		return x
	}
	if a.Date.Day != b.Date.Day {
		return a.Date.Day > b.Date.Day
	}
	return a.Path > b.Path
}

// present is the valve in a position today and where it stands in its interval.
type present struct {
	stay     *logbook.Stay // nil for an empty position
	run      float64
	runKnown bool
	limit    allowed
	limited  bool
}

func (s *site) presentIn(p logbook.Position) present {
	now := present{stay: s.lives.At(p, s.today)}
	now.limit, now.limited = s.intervalOf(p)
	if now.stay != nil {
		now.run, now.runKnown = s.lives.HoursOn(now.stay, s.today)
		now.run += now.stay.Before
	}
	return now
}

// left are the hours left to the interval, negative when it is past.
func (n present) left() (hours float64, known bool) {
	if n.stay == nil || !n.runKnown || !n.limited {
		return 0, false
	}
	return n.limit.hours - n.run, true
}
