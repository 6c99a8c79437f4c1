package logbook

import "math"

// Pace is how fast an engine runs: its hours a day over the last time, and the least and most of the months before.
// Known is false where the readings do not tell, or the engine stands.
type Pace struct {
	PerDay, Low, High float64
	Known             bool
	Read              Day // day of the last counter reading: beyond it the counter tells nothing
}

// The pace is taken over three months, and its spread from the months of the half year before: common practice, no
// source. Months in which the engine stood still are no pace.
const (
	paceDays  = 90
	monthDays = 30
	months    = 6
)

// PaceOf is the pace of an engine by a day.
func (b *Book) PaceOf(engine string, today Day) Pace {
	var p Pace
	for _, r := range b.Hours[b.HostOf(engine)] {
		if r.Counter.Valid && r.Date.Day <= today {
			p.Read = max(p.Read, r.Date.Day)
		}
	}
	for days := paceDays; days >= monthDays/2 && !p.Known; days /= 2 { // a young book has less to go by
		p.PerDay, p.Known = b.Rate(engine, p.Read, days)
	}
	if !p.Known || p.PerDay <= 0 {
		return Pace{Read: p.Read}
	}
	p.Low, p.High = p.PerDay, p.PerDay
	for m := range months {
		if v, ok := b.Rate(engine, p.Read-Day(m*monthDays), monthDays); ok && v > p.PerDay/4 {
			p.Low, p.High = math.Min(p.Low, v), math.Max(p.High, v)
		}
	}
	return p
}
