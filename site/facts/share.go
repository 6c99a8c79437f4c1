package facts

import (
	"fmt"

	"needlebook/logbook"
)

// Share is a value as found in per cent of the same valve's as left.
type Share struct {
	Overhaul       *logbook.Overhaul
	Hours, Percent float64
	Class          logbook.Class
	Words          string
}

// OpeningShares are those of the opening pressure.
func (k *Facts) OpeningShares() []Share {
	var all []Share
	for _, sh := range k.Recurring().Shifts {
		left := sh.Found.Float() - sh.Bar
		if sh.Hours > 0 && left > 0 {
			words := sh.Found.String() + ", left at " + sh.Left.Opening.String()
			all = append(all, Share{sh.Overhaul, sh.Hours, 100 * sh.Found.Float() / left, sh.Left.Class, words})
		}
	}
	return all
}

// LeakShares are those of the leak-down.
func (k *Facts) LeakShares() []Share {
	var all []Share
	for _, l := range k.Recurring().LeakChanges() {
		if st := k.Lives.ClosedBy(l.Overhaul); st != nil && st.HoursKnown && st.Hours > 0 && l.Left > 0 && l.Whole() {
			words := fmt.Sprintf("%.1f s, left at %.1f s at the same oil", l.Found, l.Left)
			all = append(all, Share{l.Overhaul, st.Hours, l.Share(), k.Lives.ClassOf(l.Before), words})
		}
	}
	return all
}

// EngineHours are the hours that all engines ran between two days, by the readings.
func (k *Facts) EngineHours(from, to logbook.Day) float64 {
	sum := 0.0
	for _, e := range k.Book.Vessel.Engines {
		begin, ok := k.Book.TotalOn(e.ID.Written, max(from, k.Book.Vessel.Opening.Date.Day))
		end, also := k.Book.TotalOn(e.ID.Written, to)
		if ok && also && end > begin {
			sum += end - begin
		}
	}
	return sum
}
