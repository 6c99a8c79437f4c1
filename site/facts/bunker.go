package facts

import (
	"cmp"
	"math"
	"slices"

	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// Burned is a service period that ran on a bunker.
type Burned struct {
	*logbook.ServicePeriod
	Days, Of int              // of its days, on this bunker
	Visit    *recurring.Visit // how its valve was seen on the bench afterwards; nil while it runs, or where none was
	Shift    *recurring.Shift // what its opening pressure lost; nil where that does not compare
	Normal   recurring.Normal // of its round and setting
	Known    bool             // Normal is known
}

// least is the part of its days that a valve must have run on a bunker to be told as its own: the same tenth that the
// recurring findings go by.
const least = 10

// BurnedFrom are the service periods that ran on a bunker for a tenth of their days or more, the newest first.
func (k *Facts) BurnedFrom(b *logbook.Bunker) []Burned {
	var all []Burned
	for _, p := range k.Lives.ServicePeriods {
		begin, end := max(p.From, b.From.Day), cmp.Or(p.To, k.Today)
		of := end.Days(p.From)
		if b.To.Day != 0 {
			end = min(end, b.To.Day)
		}
		if days := end.Days(begin); p.From != 0 && b.From.Day != 0 && days > 0 && days*least >= of {
			all = append(all, k.burned(p, days, of))
		}
	}
	slices.SortStableFunc(all, func(a, b Burned) int { return cmp.Compare(b.order(), a.order()) })
	return all
}

// order is the day by which the newest comes first: one in service is newer than any.
func (b Burned) order() logbook.Day { return cmp.Or(b.To, math.MaxInt32) }

func (k *Facts) burned(p *logbook.ServicePeriod, days, of int) Burned {
	one := Burned{ServicePeriod: p, Days: days, Of: of}
	if p.Closed == nil {
		return one
	}
	r := k.Recurring()
	if i := slices.IndexFunc(r.Visits, func(v recurring.Visit) bool { return v.Overhaul == p.Closed }); i >= 0 {
		one.Visit = &r.Visits[i]
	}
	for i := range r.Against {
		a := &r.Against[i]
		n := slices.IndexFunc(a.Shifts, func(s recurring.Shift) bool { return s.Overhaul == p.Closed })
		if n >= 0 {
			one.Shift, one.Normal, one.Known = &a.Shifts[n], a.Normal, true
			return one
		}
	}
	if i := slices.IndexFunc(r.Shifts, func(s recurring.Shift) bool { return s.Overhaul == p.Closed }); i >= 0 {
		one.Shift = &r.Shifts[i]
	}
	return one
}

// FailedOn counts the valves of a bunker that were looked at, and those that failed.
func FailedOn(all []Burned) (failed, looked int) {
	for _, b := range all {
		if b.Visit != nil && b.Visit.Looked {
			looked++
			if b.Visit.Failed {
				failed++
			}
		}
	}
	return failed, looked
}
