package judging

import (
	"needlebook/checks/uncertainty"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Taken is a value with the instrument and the day it was taken.
type Taken struct {
	Value      measure.Quantity
	Repeats    []logbook.Amount // the readings behind it, where there are several
	Instrument string
	Day        logbook.Day
}

// OpeningTaken is the booked opening pressure of a test as it was taken.
func OpeningTaken(t *logbook.Test, day logbook.Day) Taken {
	if t.Date.Day != 0 {
		day = t.Date.Day
	}
	return Taken{t.Opening.Median().Quantity, t.Opening.Valid(), t.Gauge.Written, day}
}

// Between is how well the difference of two values is known, in the base unit, for about 95 %; ok is false where the
// book knows no error of one of the instruments. What two readings with one instrument have in common cancels; what it
// moved by between two days does not.
func Between(b *logbook.Book, one, other Taken) (u float64, ok bool) {
	var sum uncertainty.Budget
	for i, t := range []Taken{one, other} {
		r := reading{value: t.Value, instrument: t.Instrument, day: t.Day}
		for _, a := range t.Repeats {
			r.repeats = append(r.repeats, a.Float())
		}
		if !t.Value.Valid() || t.Value.Kind() != one.Value.Kind() {
			return 0, false
		}
		part, known := r.budget(b)
		if !known {
			return 0, false
		}
		if i == 0 {
			sum.Plus(part)
		} else {
			sum.Minus(part)
		}
	}
	if one.Instrument == other.Instrument && one.Day != other.Day {
		drifted(&sum, b, one)
	}
	all, err := sum.Combine()
	if err != nil {
		return 0, false
	}
	cover, err := all.Cover()
	return cover.U, err == nil
}

// drifted adds what an instrument of which only the class is known may have moved by between two days.
func drifted(sum *uncertainty.Budget, b *logbook.Book, t Taken) {
	i := b.Instruments[t.Instrument]
	if _, known := calibration(b, i, t.Value, t.Day); known {
		return // it is in both readings
	}
	if half, known := ErrorAt(i, t.Value); known {
		sum.Rectangular("drift of "+i.ID.Written, half*b.Settings().GaugeDrift.Float()/100)
	}
}
