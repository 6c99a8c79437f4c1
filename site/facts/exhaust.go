package facts

import (
	"cmp"
	"slices"

	"needlebook/logbook"
)

// Reading is one exhaust deviation.
type Reading struct {
	Hours  float64 // of the engine in all
	Kelvin float64
	Day    logbook.Day
	Words  string
	Record *logbook.Overhaul // before or after a change of valves; nil for one of the running file
	After  bool
}

// ExhaustOf are the readings of a cylinder: of the running file, and of the records before and after a change. By day.
// They are not to be changed.
func (k *Facts) ExhaustOf(p logbook.Position) []Reading { return k.exhaust()[p] }

// gatherExhaust are those of every cylinder, as each is shown beside all others of its engine.
func (k *Facts) gatherExhaust() map[logbook.Position][]Reading {
	all := map[logbook.Position][]Reading{}
	for _, p := range k.Positions {
		all[p] = k.exhaustOf(p)
	}
	return all
}

func (k *Facts) exhaustOf(p logbook.Position) []Reading {
	var all []Reading
	add := func(r Reading) {
		var ok bool
		if r.Hours, ok = k.Book.TotalOn(p.Engine, r.Day); ok {
			all = append(all, r)
		}
	}
	for _, r := range k.Runs[p] {
		if r.Dev.Valid {
			add(Reading{Day: r.Date.Day, Kelvin: r.Dev.Value, Words: r.Dev.Written + " K"})
		}
	}
	for _, period := range k.Lives.InPosition(p) {
		holder := cmp.Or(period.Holder, "a holder without a serial")
		if o := period.Closed; o != nil && o.AsFound.RunningBefore.Exhaust.Quantity.Valid() {
			e, day := o.AsFound.RunningBefore.Exhaust, firstDay(o.AsFound.RunningBefore.Date, o.Removed.Date)
			add(Reading{Day: day, Kelvin: e.Float(), Words: e.String() + " before " + holder + " was pulled", Record: o})
		}
		if o := period.Opened; o != nil && o.RunningAfter.Exhaust.Quantity.Valid() {
			e, day := o.RunningAfter.Exhaust, firstDay(o.RunningAfter.Date, o.Fitted.Date)
			add(Reading{Day: day, Kelvin: e.Float(), Words: e.String() + " after " + holder + " was fitted", Record: o,
				After: true})
		}
	}
	slices.SortStableFunc(all, func(a, b Reading) int { return int(a.Day) - int(b.Day) })
	return all
}

func firstDay(days ...logbook.Date) logbook.Day {
	for _, d := range days {
		if d.Day != 0 {
			return d.Day
		}
	}
	return 0
}
