package judging

import (
	"fmt"

	"needlebook/checks/physics"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// oilOf is the test oil of a bench; ok is false where the book does not state it.
func (j *judge) oilOf(bench string) (physics.Oil, bool) {
	i := j.b.Instruments[bench]
	if i == nil || !i.Oil.Viscosity40.Quantity.Valid() || !i.Oil.Viscosity100.Quantity.Valid() || !i.Oil.Density15.Quantity.Valid() {
		return physics.Oil{}, false
	}
	oil, err := physics.NewOil(physics.Viscosity{AtC: 40, MM2S: i.Oil.Viscosity40.Float()},
		physics.Viscosity{AtC: 100, MM2S: i.Oil.Viscosity100.Float()}, i.Oil.Density15.Float())
	return oil, err == nil
}

// referred is the leak-down time at the oil temperature that the limit holds for, worked out from the bench's own oil: laminar
// leakage past the needle goes with the dynamic viscosity.
func (j *judge) referred(t *logbook.Test, e *logbook.Edition) (ref measure.Quantity, working func() string, ok bool) {
	want := e.LeakDown.Oil
	if !t.Oil.Quantity.Valid() || !want.Quantity.Valid() || !t.LeakDown.Time.Quantity.Valid() {
		return measure.Quantity{}, nil, false
	}
	oil, ok := j.oilOf(firstOf(t.Bench.Written, j.o.AsFound.Bench.Written))
	if !ok {
		return measure.Quantity{}, nil, false
	}
	there, err := oil.DynamicMPaS(t.Oil.Float())
	if err != nil {
		return measure.Quantity{}, nil, false
	}
	here, err := oil.DynamicMPaS(want.Float())
	if err != nil || there <= 0 {
		return measure.Quantity{}, nil, false
	}
	ref = measure.FromFloat(t.LeakDown.Time.Float()*here/there, 1, measure.Time)
	return ref, func() string {
		return fmt.Sprintf("%s at %s is %s at %s: the time goes with the oil's viscosity, %.2f to %.2f mPa·s", t.LeakDown.Time, t.Oil, ref, want, there, here)
	}, true
}
