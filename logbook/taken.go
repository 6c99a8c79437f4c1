package logbook

import "iter"

// Taken is one quantity of a record with the instrument it was taken with.
type Taken struct {
	Name   string // in the trade's words: "opening pressure as found"
	Amount Amount
	With   Serial // the instrument as the record names it; not stated where none belongs to the quantity or none is named
	Asks   bool   // an instrument belongs to the quantity
}

// Taken gives the quantities of a record that stand in it with a value, in the order of the bench.
func (o *Overhaul) Taken() iter.Seq[Taken] {
	return o.taken
}

func (o *Overhaul) taken(yield func(Taken) bool) {
	more := true
	add := func(name string, a Amount, with Serial, asks bool) {
		if more && a.Quantity.Valid() {
			more = yield(Taken{name, a, with, asks})
		}
	}
	test := func(state string, t Test) {
		for _, r := range t.Opening.Each {
			add("opening pressure "+state, r, t.Gauge, true)
		}
		add("first pop "+state, t.FirstPop, t.Gauge, true)
		add("closing pressure "+state, t.Closing, t.Gauge, true)
		add("pressure of the seat test "+state, t.Seat.At, t.Gauge, true)
		add("start of the leak-down "+state, t.LeakDown.From, t.Gauge, true)
		add("end of the leak-down "+state, t.LeakDown.To, t.Gauge, true)
	}
	length := func(name string, m Measurement) { add(name, m.Value, m.With, true) }
	torque := func(name string, t Tightened) { add("torque of the "+name, t.Torque, t.Wrench, false) }
	test("as found", o.AsFound)
	length("stroke", o.Measured.Stroke)
	length("holder wear", o.Measured.HolderWear)
	length("seat diameter", o.Measured.SeatDiameter)
	length("width of the seat band", o.Measured.SeatBand)
	length("free length of the spring", o.Measured.SpringLength)
	torque("nozzle nut", o.Assembled.NozzleNut)
	for _, t := range o.Tries {
		for _, r := range t.Opening.Each {
			add("opening pressure of a try", r, Serial{}, false)
		}
	}
	test("as left", o.AsLeft)
	torque("end cap", o.AsLeft.EndCap)
	torque("clamp nuts", o.Fitted.ClampNuts)
	torque("pipe nut", o.Fitted.PipeNut)
}
