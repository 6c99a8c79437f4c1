package facts

import (
	"cmp"

	"needlebook/logbook"
)

// Present is the valve in a position today and where it stands in its interval.
type Present struct {
	ServicePeriod *logbook.ServicePeriod // nil for an empty position
	Run           float64                // hours since it was fitted, with those before the book
	RunKnown      bool
	Read          logbook.Day // of the counter, on which the hours rest
	Interval      logbook.Interval
	Limited       bool // the book states an interval
}

// PresentIn is the valve in a position on the day of the book.
func (k *Facts) PresentIn(p logbook.Position) Present {
	now := Present{ServicePeriod: k.Lives.At(p, k.Today)}
	now.Interval, now.Limited = k.Book.IntervalOn(p, k.Today)
	if now.ServicePeriod != nil {
		now.Run, now.RunKnown = k.Lives.HoursOn(now.ServicePeriod, k.Today)
		if now.Read = k.lastReading(p.Engine); now.Read == 0 || now.Read < now.ServicePeriod.From {
			now.RunKnown = false
		}
	}
	return now
}

// lastReading is the day of the engine's last counter reading by today; 0 where there is none.
func (k *Facts) lastReading(engine string) logbook.Day {
	var last logbook.Day
	for _, r := range k.Book.Hours[k.Book.HostOf(engine)] {
		if r.Counter.Valid && r.Date.Day <= k.Today {
			last = max(last, r.Date.Day)
		}
	}
	return last
}

// Left are the hours left to the interval, negative when it is past.
func (n Present) Left() (hours float64, known bool) {
	if n.ServicePeriod == nil || !n.RunKnown || !n.Limited {
		return 0, false
	}
	return n.Interval.Hours.Float() - n.Run, true
}

// IntervalFrom says in words where an interval is written.
func (k *Facts) IntervalFrom(i logbook.Interval) string {
	if d := i.Decision; d != nil {
		return d.Kind.Written + " " + d.ID.Written
	}
	for _, l := range k.Book.Limits {
		if e, ok := l.RevisionOf(i.Hours.Place); ok {
			return e.Source.Written
		}
	}
	return i.Hours.Place.Path
}

// DeferralsOn are the deferrals that are not closed and name the valve, its nozzle or the record that fitted it.
func (k *Facts) DeferralsOn(period *logbook.ServicePeriod) []*logbook.Deferral {
	var open []*logbook.Deferral
	for _, d := range k.Book.Deferrals {
		if d.Closed.Stated() && d.Closed.Date.Day <= k.Today {
			continue
		}
		record := period.Opened != nil && d.Record.Stated() && d.Record.Written == period.Opened.Stem
		if record || d.Holder.Stated() && d.Holder.Written == period.Holder || d.Nozzle.Stated() &&
			d.Nozzle.Written == period.Nozzle {
			open = append(open, d)
		}
	}
	return open
}

// Lacks says why a deferral does not hold: what it does not say, or whose signature its terms have not. Empty where it
// does.
func (k *Facts) Lacks(d *logbook.Deferral) string {
	return cmp.Or(k.Book.Lacks(d), k.Trail.Unapproved(d))
}

// ReadySpares is the number of valves that may be fitted as they lie.
func (k *Facts) ReadySpares() int {
	n := 0
	for _, r := range k.Report.Spares {
		if r.State.Yes() {
			n++
		}
	}
	return n
}

// RackLeft is how a spare was left, as the opening state of the book has it.
func (k *Facts) RackLeft(holder string) string {
	for _, r := range k.Book.Vessel.Opening.Rack {
		if r.Holder.Written == holder && r.Left.Stated() {
			return r.Left.String()
		}
	}
	return "–"
}
