package evidence

import (
	"math"

	"needlebook/checks/drift"
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Quantity is one measured number that wears, and where it must not go.
type Quantity struct {
	Name   string // "stroke growth", in the trade's words
	Unit   string // of a value: "bar"; "log10 s" for leak-down
	Over   string // what the hours are those of: "service life", "nozzle", "holder"
	Limit  float64
	Has    bool // a limit is in force today
	Bad    drift.Side
	From   string // where the limit comes from, in words
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

// Quantities gathers every number that drifts, by setting class where the setting goes by it. Readings taken with an instrument on record
// as wrong are left out, and so are parts condemned in the end: both are a step, not a drift.
func (e *Evidence) Quantities() []Quantity {
	var all []Quantity
	in := e.limits()
	for class := logbook.Used; class <= logbook.Reground; class++ {
		band := map[logbook.Class]logbook.Band{logbook.Used: in.Opening.Used, logbook.New: in.Opening.New, logbook.Reground: in.Opening.Reground}[class]
		q := Quantity{Name: "opening pressure lost, " + class.String() + " setting", Unit: "bar", Over: "service life", Bad: drift.Above}
		if low := band.Span.Low; low.Valid() && in.Opening.AsFound.Cause.Quantity.Valid() {
			q.Limit, q.Has = low.Float()-in.Opening.AsFound.Cause.Float(), true
			q.From = "from the lower end of the setting " + band.Written + " to " + in.Opening.AsFound.Cause.Written
		}
		for _, s := range e.Causes.Shifts {
			if s.Left.Class != class || s.LeftWrong != nil || s.FoundWrong != nil || s.Settled || s.Hours <= 0 {
				continue
			}
			q.points = append(q.points, e.pointOf(s.Overhaul, s.Hours, -s.Bar, 0))
		}
		all = append(all, q)
	}
	return append(all, e.leakDown(in), e.worn(in, "effective stroke"), e.worn(in, "holder wear"), e.worn(in, "seat diameter"))
}

// limits are those in force today on the first engine that has any; drift over several types of engine is drawn engine by engine.
func (e *Evidence) limits() logbook.Edition {
	for _, x := range e.Book.Vessel.Engines {
		if l := e.Book.LimitsOf(x.ID.Written); l != nil {
			in, _ := l.On(e.today)
			return in
		}
	}
	return logbook.Edition{}
}

func (e *Evidence) pointOf(o *logbook.Overhaul, hours, value float64, run int) point {
	return point{hours, value, o.Removed.Engine.Written, o.Removed.Cylinder.Written, o.Holder.Written, o.Nozzle.Found.Written, run, o}
}

// leakDown is the time as found, at the oil temperature of the limits, on the log scale: leakage grows with the cube of the clearance.
func (e *Evidence) leakDown(in logbook.Edition) Quantity {
	q := Quantity{Name: "leak-down as found, at reference oil", Unit: "log10 s", Over: "nozzle", Bad: drift.Below}
	if low := in.LeakDown.AsFound.Span.Low; low.Valid() && low.Float() > 0 {
		q.Limit, q.Has, q.From = math.Log10(low.Float()), true, "as found "+in.LeakDown.AsFound.Written
	}
	steps := e.steps()
	for _, o := range e.Book.Overhauls {
		if !e.counts(o) || !in.LeakDown.Oil.Quantity.Valid() {
			continue
		}
		t, ok := judging.AtOil(e.Book, o.AsFound, in.LeakDown.Oil.Float())
		h, known := e.lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
		if ok && t > 0 && known && h > 0 && e.Causes.FouledWith(o) == nil {
			q.points = append(q.points, e.pointOf(o, h, math.Log10(t), steps[o]))
		}
	}
	return q
}

// counts says that a record's own numbers count as drift: its parts were not condemned in the end.
func (e *Evidence) counts(o *logbook.Overhaul) bool {
	return o.Removed.Stated() && o.Removed.Date.Day <= e.today && o.Nozzle.Found.Stated() && !e.Causes.HolderCondemned(o.Holder.Written) && !e.Causes.NozzleCondemned(o.Nozzle.Found.Written)
}

// steps numbers, for each record, the run of its nozzle since it was last ground or lapped: a step that no line is drawn through.
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

// worn is a length that grows: the stroke with the holder's wear, the wear itself, the seat.
func (e *Evidence) worn(in logbook.Edition, name string) Quantity {
	q := Quantity{Name: name, Unit: "mm", Over: "nozzle", Bad: drift.Above}
	limit := logbook.Amount{}
	switch name {
	case "effective stroke":
		limit = in.Effective.Max
	case "holder wear":
		q.Over, limit = "holder", in.HolderWear.Max
	case "seat diameter":
		limit = in.SeatDia.Max
	}
	if limit.Quantity.Valid() {
		q.Limit, q.Has, q.From = limit.Float(), true, "largest "+limit.Written
	}
	steps := e.steps()
	ground := map[string]int{} // faces of holders
	for _, o := range e.Book.Overhauls {
		if !e.counts(o) {
			continue
		}
		day := o.Removed.Date.Day
		run := steps[o]
		h, known := e.lives.NozzleHours(o.Nozzle.Found.Written, day)
		v, ok := 0.0, false
		switch m := o.Measured; name {
		case "effective stroke":
			x := e.Judged.Find(o, "effective_stroke")
			v, ok = x.Value.Float(), x.Value.Valid() && !e.wrong(m.Stroke.With.Written, day)
		case "holder wear":
			v, ok = m.HolderWear.Value.Float(), m.HolderWear.Value.Quantity.Valid() && !e.wrong(m.HolderWear.With.Written, day)
			h, known = e.lives.HolderHours(o.Holder.Written, day)
			run = ground[o.Holder.Written]
			if o.Decided.Holder.Is("grind", "lap", "renew") {
				ground[o.Holder.Written]++
			}
		case "seat diameter":
			v, ok = m.SeatDiameter.Value.Float(), m.SeatDiameter.Value.Quantity.Valid() && !e.wrong(m.SeatDiameter.With.Written, day)
		}
		if ok && known && h > 0 {
			q.points = append(q.points, e.pointOf(o, h, v, run))
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
