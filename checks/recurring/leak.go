package recurring

import (
	"math"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// LeakChange is a leak-down as found beside that of the same valve as it was left, where the two compare.
type LeakChange struct {
	Overhaul, Before *logbook.Overhaul
	Found            float64 // seconds as found, at the oil temperature of the earlier test
	Left             float64 // seconds as left
	Referred         bool    // Found was worked out for that temperature, from the bench's oil or a usual one
}

// Longer says that the time as found proves to be above a value in seconds that the time as left is known to be within:
// one that was cut off as left may have been any longer.
func (l LeakChange) Longer(than float64) bool {
	return l.Found > than && !l.Before.AsLeft.LeakDown.Time.More
}

// Shorter says the same of below: a time that was cut off as found may have been any longer.
func (l LeakChange) Shorter(than float64) bool {
	return l.Found < than && !l.Overhaul.AsFound.LeakDown.Time.More
}

// Whole says that neither time was cut off.
func (l LeakChange) Whole() bool {
	return !l.Overhaul.AsFound.LeakDown.Time.More && !l.Before.AsLeft.LeakDown.Time.More
}

// Share is the time as found in per cent of the time as left.
func (l LeakChange) Share() float64 { return 100 * l.Found / l.Left }

// LeakChanges lists, oldest first, the overhauls whose leak-down as found compares with how the valve was left: the
// same nozzle, the same bench, the same fall of pressure, and oil of a like temperature or one whose viscosity the book
// knows.
func (c *Recurring) LeakChanges() []LeakChange {
	var all []LeakChange
	for _, o := range c.book.Overhauls {
		left, ok := c.book.Lives().LeftBefore(o)
		if !ok || left.Overhaul == nil || !o.Removed.Stated() {
			continue
		}
		p := left.Overhaul
		then, now := &p.AsLeft, &o.AsFound
		if !then.LeakDown.Time.Quantity.Valid() || !now.LeakDown.Time.Quantity.Valid() || then.LeakDown.Time.Float() <= 0 ||
			p.Nozzle.Left.Written != o.Nozzle.Found.Written || then.Bench.Written != now.Bench.Written ||
			!sameFall(&then.LeakDown, &now.LeakDown) ||
			!then.Oil.Quantity.Valid() || !now.Oil.Quantity.Valid() {
			continue
		}
		l := LeakChange{Overhaul: o, Before: p, Found: now.LeakDown.Time.Float(), Left: then.LeakDown.Time.Float()}
		if then.Oil.Compare(now.Oil.Quantity) != 0 {
			colder := then.Oil.Float() - now.Oil.Float()
			if at, ok := judging.AtOil(c.book, now, then.Oil.Float()); ok {
				l.Found, l.Referred = at, true
			} else if math.Abs(colder) > c.settings.OilApart.Float() {
				continue
			} else {
				l.Found *= math.Exp(-colder * c.settings.OilThins.Float() / 100)
				l.Referred = true
			}
		}
		all = append(all, l)
	}
	return all
}

// sameFall says that two tests were timed over the same fall of pressure; a test that does not state it was made as the
// limits say.
func sameFall(a, b *logbook.LeakDown) bool {
	if !a.From.Quantity.Valid() || !a.To.Quantity.Valid() || !b.From.Quantity.Valid() || !b.To.Quantity.Valid() {
		return true
	}
	return a.From.Minus(a.To.Quantity).Compare(b.From.Minus(b.To.Quantity)) == 0
}
