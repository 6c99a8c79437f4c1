package evidence

import (
	"math"

	"needlebook/checks/drift"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Quantity is one measured number that wears, and where it must not go.
type Quantity struct {
	Name   string // "effective lift", in the trade's words
	Over   string // what the hours are those of: "service life", "nozzle", "holder"
	Limit  float64
	Has    bool // a limit is in force today
	Bad    drift.Side
	From   string // where the limit comes from, in words
	scale  scale
	log    bool // values are the logarithm to ten
	points []point
}

// point is one reading with the parts it belongs to.
type point struct {
	hours, value     float64
	engine, cylinder string
	holder, nozzle   string
	run              int // number of the run between two steps, where the part was ground or lapped in between
	record           *logbook.Overhaul
}

// quantities gathers every number of a type that drifts, by setting class where the setting goes by it. Readings taken
// with an instrument on record as wrong are left out, and so are parts condemned in the end: both are a step, not a
// drift.
func (e *Evidence) quantities(t valveType) []Quantity {
	all := append(e.opening(t), e.leakDown(t))
	steps := e.steps()
	lift := e.worn(t, "effective lift", "nozzle", t.in.Effective.Max.Quantity, func(o *logbook.Overhaul) (measure.Quantity,
		string) {
		return e.Judged.Find(o, judging.EffectiveLift).Value, o.Measured.Lift.With.Written
	}, steps)
	ground := map[string]int{} // faces of holders
	faces := map[*logbook.Overhaul]int{}
	for _, o := range e.Book.Overhauls {
		faces[o] = ground[o.Holder.Written]
		if o.Decided.Holder.Is("grind", "lap", "renew") {
			ground[o.Holder.Written]++
		}
	}
	wear := e.worn(t, "holder wear", "holder", t.in.HolderWear.Max.Quantity, func(o *logbook.Overhaul) (measure.Quantity,
		string) {
		return o.Measured.HolderWear.Value.Quantity, o.Measured.HolderWear.With.Written
	}, faces)
	seat := e.worn(t, "seat diameter", "nozzle", t.in.SeatDia.Largest().Quantity,
		func(o *logbook.Overhaul) (measure.Quantity, string) {
			return o.Measured.SeatDiameter.Value.Quantity, o.Measured.SeatDiameter.With.Written
		}, steps)
	return append(all, lift, wear, seat)
}

// opening is the loss of opening pressure in service, one quantity for each setting class that the limits or the
// records know.
func (e *Evidence) opening(t valveType) []Quantity {
	var all []Quantity
	for class := logbook.Used; class <= logbook.Reground; class++ {
		band := map[logbook.Class]logbook.Band{logbook.Used: t.in.Opening.Used, logbook.New: t.in.Opening.New,
			logbook.Reground: t.in.Opening.Reground}[class]
		low, cause := band.Span.Low, t.in.Opening.AsFound.Cause
		q := Quantity{Name: "opening pressure lost, " + class.String() + " setting", Over: "service life", Bad: drift.Above,
			scale: scaleOf(low, measure.Pressure)}
		if low.Valid() && cause.Quantity.Valid() {
			q.Limit, q.Has = low.Float()-cause.Float(), true
			q.From = "from the lower end of the setting " + band.String() + " to " + cause.Written
		}
		for _, s := range e.Recurring.Shifts {
			if s.Left.Class == class && s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled && s.Hours > 0 &&
				t.has(s.Overhaul.Removed.Engine.Written) && s.Overhaul.Removed.Date.Day <= e.today {
				q.points = append(q.points, pointOf(s.Overhaul, s.Hours, -s.Bar, 0))
			}
		}
		if class != logbook.Reground || band.Span.Valid() || len(q.points) > 0 {
			all = append(all, q)
		}
	}
	return all
}

func pointOf(o *logbook.Overhaul, hours, value float64, run int) point {
	return point{hours, value, o.Removed.Engine.Written, o.Removed.Cylinder.Written, o.Holder.Written,
		o.Nozzle.Found.Written, run, o}
}

// leakDown is the time as found, at the oil temperature of the limits, on the log scale: leakage grows with the cube of
// the clearance.
func (e *Evidence) leakDown(t valveType) Quantity {
	limit := t.in.LeakDown
	q := Quantity{Name: "leak-down as found, at reference oil", Over: "nozzle", Bad: drift.Below, log: true,
		scale: scaleOf(limit.AsFound.Span.Low, measure.Time)}
	if low := limit.AsFound.Span.Low; low.Valid() && low.Float() > 0 {
		q.Limit, q.Has, q.From = math.Log10(low.Float()), true, "as found "+limit.AsFound.String()
	}
	steps := e.steps()
	for _, o := range e.Book.Overhauls {
		if !e.counts(t, o) || !limit.Oil.Quantity.Valid() || e.Recurring.FouledWith(o) != nil ||
			o.AsFound.LeakDown.Time.More {
			continue
		}
		s, ok := judging.AtOil(e.Book, &o.AsFound, limit.Oil.Float())
		h, known := e.lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
		if ok && s > 0 && known && h > 0 {
			q.points = append(q.points, pointOf(o, h, math.Log10(s), steps[o]))
		}
	}
	return q
}

// counts says that a record's own numbers count as drift of a type: its parts were not condemned in the end.
func (e *Evidence) counts(t valveType, o *logbook.Overhaul) bool {
	return o.Removed.Stated() && o.Removed.Date.Day <= e.today && t.has(o.Removed.Engine.Written) &&
		o.Nozzle.Found.Stated() && !e.Recurring.HolderCondemned(o.Holder.Written) &&
		!e.Recurring.NozzleCondemned(o.Nozzle.Found.Written)
}

// steps numbers, for each record, the run of its nozzle since it was last ground or lapped: a step that no line is
// drawn through.
func (e *Evidence) steps() map[*logbook.Overhaul]int {
	of := map[string]int{}
	run := map[*logbook.Overhaul]int{}
	for _, o := range e.Book.Overhauls {
		n := o.Nozzle.Found.Written
		run[o] = of[n]
		if p := e.Book.Part("nozzle", n); p != nil {
			for _, g := range p.Regrinds {
				if g.Date.Day != 0 && g.Date.Day < o.Day() {
					run[o]++
				}
			}
		}
		if o.Decided.Nozzle.Is("grind", "lap") {
			of[n]++
		}
	}
	return run
}

// worn is a length that grows: of says its value in a record and the instrument it was taken with, steps the run of the
// part.
func (e *Evidence) worn(t valveType, name, over string, limit measure.Quantity,
	of func(*logbook.Overhaul) (measure.Quantity, string), steps map[*logbook.Overhaul]int) Quantity {
	q := Quantity{Name: name, Over: over, Bad: drift.Above, scale: scaleOf(limit, measure.Length)}
	if limit.Valid() {
		q.Limit, q.Has, q.From = limit.Float(), true, "largest "+limit.String()
	}
	for _, o := range e.Book.Overhauls {
		if !e.counts(t, o) {
			continue
		}
		day := o.Removed.Date.Day
		v, with := of(o)
		h, known := e.lives.NozzleHours(o.Nozzle.Found.Written, day)
		if over == "holder" {
			h, known = e.lives.HolderHours(o.Holder.Written, day)
		}
		if v.Valid() && known && h > 0 && !e.wrong(with, day) {
			q.points = append(q.points, pointOf(o, h, v.Float(), steps[o]))
		}
	}
	return q
}

func (e *Evidence) wrong(instrument string, day logbook.Day) bool {
	i := e.Book.Instruments[instrument]
	if i == nil {
		return false
	}
	_, bad := judging.WrongOn(i, day)
	return bad
}
