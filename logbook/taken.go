package logbook

import "iter"

// Taken is one quantity of a record with the instrument it was taken with; both are the record's own and not to be
// changed.
type Taken struct {
	Name   string // in the trade's words: "opening pressure as found"
	Amount *Amount
	With   *Serial // the instrument as the record names it; not stated where none belongs to the quantity or none is named
	Asks   bool    // an instrument belongs to the quantity
}

// Taken gives the quantities of a record that stand in it with a value, in the order of the bench.
func (o *Overhaul) Taken() iter.Seq[Taken] {
	return o.taken
}

// testNames are the names of what is read in a test, as found and as left.
var asFoundNames, asLeftNames = testNames("as found"), testNames("as left")

func testNames(state string) (names [6]string) {
	for i, what := range []string{"opening pressure", "first opening pressure", "closing pressure",
		"pressure of the seat test", "start of the leak-down", "end of the leak-down"} {
		names[i] = what + " " + state
	}
	return names
}

func (o *Overhaul) taken(yield func(Taken) bool) {
	more := true
	add := func(name string, a *Amount, with *Serial, asks bool) {
		if more && a.Quantity.Valid() {
			more = yield(Taken{name, a, with, asks})
		}
	}
	test := func(names *[6]string, t *Test) {
		for i := range t.Opening.Each {
			add(names[0], &t.Opening.Each[i], &t.Gauge, true)
		}
		add(names[1], &t.FirstOpening, &t.Gauge, true)
		add(names[2], &t.Closing, &t.Gauge, true)
		add(names[3], &t.Seat.At, &t.Gauge, true)
		add(names[4], &t.LeakDown.From, &t.Gauge, true)
		add(names[5], &t.LeakDown.To, &t.Gauge, true)
	}
	length := func(name string, m *Measurement) { add(name, &m.Value, &m.With, true) }
	torque := func(name string, t *Tightened) { add(name, &t.Torque, &t.Wrench, false) }
	for i := range o.Received.Opened.Opening.Each {
		add("opening pressure on board", &o.Received.Opened.Opening.Each[i], &o.Received.Opened.Gauge, true)
	}
	test(&asFoundNames, &o.AsFound)
	length("lift", &o.Measured.Lift)
	length("holder wear", &o.Measured.HolderWear)
	length("seat diameter", &o.Measured.SeatDiameter)
	length("width of the seat band", &o.Measured.SeatBand)
	length("free length of the spring", &o.Measured.SpringLength)
	torque("torque of the nozzle nut", &o.Assembled.NozzleNut)
	for i := range o.Tries {
		for r := range o.Tries[i].Opening.Each {
			add("opening pressure of a try", &o.Tries[i].Opening.Each[r], &Serial{}, false)
		}
	}
	test(&asLeftNames, &o.AsLeft)
	torque("torque of the end cap", &o.AsLeft.EndCap)
	torque("torque of the clamp nuts", &o.Fitted.ClampNuts)
	torque("torque of the pipe nut", &o.Fitted.PipeNut)
}
