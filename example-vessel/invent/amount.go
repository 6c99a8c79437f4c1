package invent

import (
	"math"
	"math/rand/v2"
	"strconv"
	"time"
)

// unit is a unit in which a ship may write values of one kind: bar, millimetres or newton metres are the base of
// theirs.
type unit struct {
	name string
	base float64 // base units in one
}

var (
	bar         = unit{"bar", 1}
	megapascal  = unit{"MPa", 10}
	psi         = unit{"psi", 0.0689475729317} // NIST SP 811, appendix B
	kilogramCM2 = unit{"kgf/cm²", 0.980665}    // NIST SP 811, appendix B
	millimetre  = unit{"mm", 1}
	micrometre  = unit{"µm", 0.001}
	inch        = unit{"inch", 25.4}
	newtonMetre = unit{"N·m", 1}
	kilogramM   = unit{"kgf·m", 9.80665}   // NIST SP 811, appendix B
	poundFoot   = unit{"lbf·ft", 1.355818} // NIST SP 811, appendix B
)

// scale is a unit with the divisions of an instrument, or those a manual rounds to.
type scale struct {
	unit
	step     float64 // in the unit
	decimals int     // that a division is written with
}

// read is the division nearest to a value in base units.
func (s scale) read(base float64) amount { return s.count(math.Round(base / s.unit.base / s.step)) }

func (s scale) count(n float64) amount { return amount{n * s.step, s} }

// reach is the end of an instrument's range: so many millimetres, or so many inches where its scale is in inches.
func (s scale) reach(mm, inches float64) float64 {
	if s.unit == inch {
		return inches
	}
	return math.Round(mm / s.unit.base)
}

// in is a division between two values in base units, both ends belonging; ok is false where none lies there.
func (s scale) in(r *rand.Rand, low, high float64) (a amount, ok bool) {
	const hair = 1e-6
	first, last := math.Ceil(low/s.unit.base/s.step-hair), math.Floor(high/s.unit.base/s.step+hair)
	if last < first {
		return amount{}, false
	}
	return s.count(first + float64(r.IntN(int(last-first)+1))), true
}

// amount is a value as it is written.
type amount struct {
	value float64 // in the unit
	scale
}

func (a amount) number() string { return strconv.FormatFloat(a.value, 'f', a.decimals, 64) }

func (a amount) String() string { return a.number() + " " + a.name }

// bases is the value in base units.
func (a amount) bases() float64 { return a.value * a.unit.base }

// steps is the value so many divisions on.
func (a amount) steps(n int) amount { return amount{a.value + float64(n)*a.step, a.scale} }

// day is a day of the calendar, counted from 1970-01-01.
type day int

func dayOf(year, month, d int) day {
	return day(time.Date(year, time.Month(month), d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

func (d day) String() string { return time.Unix(int64(d)*86400, 0).UTC().Format(time.DateOnly) }

// between is a number from low to high, evenly spread.
func (w *world) between(low, high float64) float64 { return low + (high-low)*w.Float64() }

// about is a number scattered round a middle, never further than two and a half spreads from it.
func (w *world) about(middle, spread float64) float64 {
	return middle + spread*min(max(w.NormFloat64(), -2.5), 2.5)
}

// days is a whole number of days from low to high, both belonging.
func (w *world) days(low, high int) day { return day(low + w.IntN(high-low+1)) }

// chance is true in so many of a hundred cases.
func (w *world) chance(percent float64) bool { return w.Float64()*100 < percent }

// pick takes one of several.
func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }
