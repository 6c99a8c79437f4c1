package site

import "needlebook/logbook"

// present is the valve in a position today and where it stands in its interval.
type present struct {
	stay     *logbook.Stay // nil for an empty position
	run      float64       // hours since it was fitted, with those before the book
	runKnown bool
	read     logbook.Day // of the counter, on which the hours rest
	interval logbook.Interval
	limited  bool // the book states an interval
}

func (s *site) presentIn(p logbook.Position) present {
	now := present{stay: s.lives.At(p, s.today)}
	now.interval, now.limited = s.Book.IntervalOn(p, s.today)
	if now.stay != nil {
		now.run, now.runKnown = s.lives.HoursOn(now.stay, s.today)
		if now.read = s.lastReading(p.Engine); now.read == 0 || now.read < now.stay.From {
			now.runKnown = false
		}
	}
	return now
}

// lastReading is the day of the engine's last counter reading by today; 0 where there is none.
func (s *site) lastReading(engine string) logbook.Day {
	var last logbook.Day
	for _, r := range s.Book.Hours[engine] {
		if r.Counter.Valid && r.Date.Day <= s.today {
			last = max(last, r.Date.Day)
		}
	}
	return last
}

// left are the hours left to the interval, negative when it is past.
func (n present) left() (hours float64, known bool) {
	if n.stay == nil || !n.runKnown || !n.limited {
		return 0, false
	}
	return n.interval.Hours.Float() - n.run, true
}

// intervalFrom says in words where an interval is written.
func (s *site) intervalFrom(i logbook.Interval) string {
	if d := i.Decision; d != nil {
		return d.Kind.Written + " " + d.ID.Written
	}
	for _, l := range s.Book.Limits {
		if e, ok := l.EditionOf(i.Hours.Place); ok {
			return e.Source.Written
		}
	}
	return i.Hours.Place.Path
}
