package judging

import (
	"fmt"

	"needlebook/checks/physics"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// BenchOil is the test oil of a bench, from its two viscosities and its density. It returns the error of
// [physics.NewOil] where the book leaves one of the three out, or states what no oil can be.
func BenchOil(bench *logbook.Instrument) (physics.Oil, error) {
	o := bench.Oil
	return physics.NewOil(physics.Viscosity{AtC: 40, MM2S: o.Viscosity40.Float()},
		physics.Viscosity{AtC: 100, MM2S: o.Viscosity100.Float()}, o.Density15.Float())
}

// AtOil is the leak-down time of a test in seconds as it would have been with its oil at another temperature in °C,
// from the oil of the bench it was made on; ok is false where time, temperature or oil are not known.
func AtOil(b *logbook.Book, t *logbook.Test, celsius float64) (seconds float64, ok bool) {
	r, ok := atOil(b.Instruments[t.Bench.Written], t, celsius)
	return r.seconds, ok
}

// atTemperature is a leak-down time with its oil at another temperature, and the dynamic viscosities it went by, in
// mPa·s.
type atTemperature struct{ seconds, done, wanted float64 }

func atOil(bench *logbook.Instrument, t *logbook.Test, celsius float64) (r atTemperature, ok bool) {
	if bench == nil || !t.Oil.Quantity.Valid() || !t.LeakDown.Time.Quantity.Valid() {
		return r, false
	}
	oil, err := BenchOil(bench)
	if err != nil {
		return r, false
	}
	if r.done, err = oil.DynamicMPaS(t.Oil.Float()); err != nil {
		return r, false
	}
	if r.wanted, err = oil.DynamicMPaS(celsius); err != nil {
		return r, false
	}
	r.seconds, err = physics.AtViscosity(t.LeakDown.Time.Float(), r.done, r.wanted)
	return r, err == nil
}

// referred is the leak-down time at the oil temperature that the limit holds for, worked out from the bench's own oil:
// laminar leakage past the needle goes with the dynamic viscosity.
func (j *judge) referred(t *logbook.Test, e *logbook.Revision) (ref measure.Quantity, working func() string, ok bool) {
	want := e.LeakDown.Oil
	if !want.Quantity.Valid() {
		return measure.Quantity{}, nil, false
	}
	r, ok := atOil(j.b.Instruments[firstOf(t.Bench.Written, j.o.AsFound.Bench.Written)], t, want.Float())
	if !ok {
		return measure.Quantity{}, nil, false
	}
	ref = measure.FromFloat(r.seconds, 1, measure.Time)
	return ref, func() string {
		return fmt.Sprintf("%s at %s is %s at %s: the time goes with the oil's viscosity, %.2f to %.2f mPa·s",
			t.LeakDown.Time, t.Oil, ref, want, r.done, r.wanted)
	}, true
}
