package judging

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// judge works through one record.
type judge struct {
	b        *logbook.Book
	o        *logbook.Overhaul
	limits   *logbook.Limits
	settings *logbook.Settings
	show     bool              // put the working into words
	in       *logbook.Revision // limits in force for the step being judged
	out      []Verdict
}

func judgeOne(b *logbook.Book, o *logbook.Overhaul, l, left *logbook.Limits, settings *logbook.Settings,
	show bool) []Verdict {
	room := rooms.Get().(*[]Verdict)
	j := &judge{b: b, o: o, limits: l, settings: settings, show: show, out: (*room)[:0]}
	j.record(left)
	*room = j.out
	verdicts := slices.Clone(j.out)
	clear(j.out)
	rooms.Put(room)
	return verdicts
}

// rooms are slices to judge into, so that each record keeps no more room than it has verdicts.
var rooms = sync.Pool{New: func() any { return new([]Verdict) }}

// record judges the record from the removal to the fitting; how the valve was left and fitted, by the limits of the
// engine it went to.
func (j *judge) record(asLeft *logbook.Limits) {
	b, o := j.b, j.o
	class := b.Lives().ClassOf(o)
	day := o.Day()
	found := j.limits.OnFirst(o.AsFound.Date.Day, o.Removed.Date.Day, day)
	left := asLeft.OnFirst(o.LeftOn())
	bench := j.limits.OnFirst(o.BenchOn())
	fit := asLeft.OnFirst(o.Fitted.Date.Day, day)

	j.in = found
	j.asFound(found)
	j.in = bench
	j.stripped(bench)
	j.measured(bench)
	j.life(bench)
	j.in, j.limits = left, asLeft
	j.marking(left)
	j.asLeft(left, class)
	j.torque(keys.AssembledNozzleNut, "nozzle nut", &o.Assembled.NozzleNut, &left.NozzleNut, o.Assembled.Stated())
	j.torque(keys.AsLeftEndCap, "end cap", &o.AsLeft.EndCap, &left.EndCap, o.AsLeft.Stated())
	if o.Fitted.Stated() {
		j.in = fit
		j.torque(keys.FittedClampNuts, "clamp nuts", &o.Fitted.ClampNuts, &fit.ClampNuts, true)
		j.torque(keys.FittedPipeNut, "pipe nut", &o.Fitted.PipeNut, &fit.PipeNut, true)
		j.band(Verdict{Key: keys.FittedProtrusion, Name: "protrusion"}, o.Fitted.Protrusion, fit.Protrusion.Span,
			fit.Protrusion.Leaf, fit.Protrusion.String())
	}
}

// add completes a verdict with where its limit stands, and keeps it.
func (j *judge) add(v Verdict, limit logbook.Leaf) {
	if v.Result == NoLimitThen && j.o.Day() == 0 {
		v.Why = "no date in the record: which limits applied is not known"
	}
	if v.Result == NoLimitThen && limit.Not == logbook.AskedAbout {
		v.LimitText, v.Why = limit.Written, "the limit is asked about"
	}
	if limit.Present() && v.LimitText != "" {
		v.LimitPlace = limit.Place
		if e, ok := j.limits.RevisionOf(limit.Place); ok {
			v.Source, v.Revision = e.Source.Written, e.From.Day
		}
	}
	if v.Written != "" || v.Value.Valid() {
		v.Theirs = j.b.ByCertificate(j.o, v.Key, v.Instrument)
	}
	j.out = append(j.out, v)
}

// last is the verdict that was added last.
func (j *judge) last() *Verdict { return &j.out[len(j.out)-1] }

// band judges an amount against a span. behind are the readings the value rests on, where it is not the one value taken
// with the verdict's instrument.
func (j *judge) band(v Verdict, a logbook.Amount, span measure.Span, limit logbook.Leaf, text string,
	behind ...reading) {
	v.Place, v.Written = a.Place, a.String()
	switch {
	case !a.Quantity.Valid():
		v.Result, v.Why = NotMeasured, a.Why
		if span.Valid() {
			v.Span, v.LimitText = span, text
		}
	case !span.Valid():
		v.Value, v.Result = a.Quantity, NoLimitThen
	case span.Kind() != a.Kind():
		v.Value, v.Result, v.Why = a.Quantity, None, "the limit is a "+span.Kind().String()
	default:
		v.Value, v.Span, v.LimitText = a.Quantity, span, text
		if behind == nil {
			behind = []reading{{name: v.Name, value: a.Quantity, instrument: v.Instrument, day: j.dayOf(v.Key)}}
		}
		j.settle(&v, behind)
	}
	j.add(v, limit)
}

// dayOf is the day of the step that a key belongs to.
func (j *judge) dayOf(key string) logbook.Day {
	block, _, _ := strings.Cut(key, ".")
	switch {
	case block == "as_left" && j.o.AsLeft.Date.Day != 0:
		return j.o.AsLeft.Date.Day
	case block == "fitted" && j.o.Fitted.Date.Day != 0:
		return j.o.Fitted.Date.Day
	case j.o.AsFound.Date.Day != 0:
		return j.o.AsFound.Date.Day
	}
	return j.o.Day()
}

// settle compares the value with its span, with the uncertainty of its instrument.
func (j *judge) settle(v *Verdict, behind []reading) {
	v.Side = v.Span.Side(v.Value)
	v.Margin = margin(v.Span, v.Value)
	v.Result = Within
	if v.Side != 0 {
		v.Result = Beyond
	}
	if j.show {
		v.Working = append(v.Working, fmt.Sprintf("%s %s against %s", v.Name, v.Value, v.LimitText))
		for _, r := range behind {
			v.Working = append(v.Working, r.middle()...)
		}
	}
	j.uncertainty(v, j.in, behind)
}

// margin is the distance to the nearer end of the span, negative outside it.
func margin(s measure.Span, q measure.Quantity) measure.Quantity {
	var m measure.Quantity
	if s.Low.Valid() {
		m = q.Minus(s.Low)
	}
	if s.High.Valid() {
		if h := s.High.Minus(q); !m.Valid() || h.Compare(m) < 0 {
			m = h
		}
	}
	return m
}

func (j *judge) asFound(e *logbook.Revision) {
	t := &j.o.AsFound
	if !t.Present() && !j.o.Removed.Stated() {
		return
	}
	median, behind := j.opening("as_found", "opening pressure", t)
	j.atLeast(Verdict{Key: keys.AsFoundOpeningPressure, Name: "opening pressure as found", Instrument: named(t.Gauge)},
		median, e.Opening.AsFound.Cause, behind)
	j.atLeast(Verdict{Key: "as_found.opening_pressure/look", Name: "opening pressure as found, threshold to take note",
		Instrument: named(t.Gauge)}, median, e.Opening.AsFound.Look, behind)
	j.seat("as_found", "seat as found", t, &e.Seat)
	j.leakDown("as_found", "leak-down as found", t, e, e.LeakDown.AsFound)
	j.spray("as_found", "spray as found", &t.Spray, &e.Holes)
	if t.Cooling.Present() {
		j.cooling(keys.AsFoundCooling, "cooling space as found", &t.Cooling, &e.Cooling)
	}
}

func (j *judge) asLeft(e *logbook.Revision, class logbook.Class) {
	t := &j.o.AsLeft
	if !t.Present() {
		return
	}
	setting := e.Opening.Used
	switch {
	case class == logbook.New:
		setting = e.Opening.New
	case class == logbook.Reground && e.Opening.Reground.Span.Valid():
		setting = e.Opening.Reground
	}
	v := Verdict{Key: keys.AsLeftOpeningPressure, Name: "opening pressure as left", Instrument: named(t.Gauge),
		Class: class}
	median, behind := j.opening("as_left", "opening pressure", t)
	text := ""
	if setting.Span.Valid() {
		text = setting.String() + " (" + class.String() + ")"
	}
	if r := &j.o.Received; r.Stated() && !r.State.Stated() {
		j.stateNotStated(v, median, r)
	} else {
		j.band(v, median, setting.Span, setting.Leaf, text, behind)
		j.openedAboard(setting, text, class)
	}
	j.seat("as_left", "seat as left", t, &e.Seat)
	leak := e.LeakDown.AsLeft
	if class == logbook.New && e.LeakDown.New.Span.Valid() {
		leak = e.LeakDown.New
	}
	j.leakDown("as_left", "leak-down as left", t, e, leak)
	j.spray("as_left", "spray as left", &t.Spray, &e.Holes)
	if t.Cooling.Present() || e.Cooling.Stated() {
		j.cooling(keys.AsLeftCooling, "cooling space as left", &t.Cooling, &e.Cooling)
	}
}

func (j *judge) atLeast(v Verdict, a, least logbook.Amount, behind ...reading) {
	var span measure.Span
	if least.Quantity.Valid() {
		span = measure.AtLeast(least.Quantity)
	}
	j.band(v, a, span, least.Leaf, span.String(), behind...)
}

func (j *judge) atMost(v Verdict, a, most logbook.Amount, behind ...reading) {
	var span measure.Span
	if most.Quantity.Valid() {
		span = measure.AtMost(most.Quantity)
	}
	j.band(v, a, span, most.Leaf, span.String(), behind...)
}

// opening is the booked opening pressure of a test, with the readings it rests on.
func (j *judge) opening(block, name string, t *logbook.Test) (logbook.Amount, reading) {
	median := t.Opening.Median()
	if !median.Present() {
		median.Leaf = t.Opening.Leaf
		if !median.Present() {
			median.Leaf = t.Leaf
			median.Written = t.Not
		}
	}
	r := reading{name: name, value: median.Quantity, instrument: named(t.Gauge), day: j.dayOf(block + ".")}
	for _, a := range t.Opening.Valid() {
		r.repeats = append(r.repeats, a.Float())
	}
	return median, r
}

// seatOrder ranks the seat's states from tight to leaking.
var seatOrder = map[string]int{"dry": 0, "damp": 1, "drop": 2, "runs": 3}

func (j *judge) seat(block, name string, t *logbook.Test, limit *logbook.SeatLimits) {
	v := Verdict{Key: block + ".seat.state", Name: name, Place: t.Seat.State.Place, Written: t.Seat.State.Written}
	allow := limit.Allow
	switch {
	case !t.Seat.State.Stated():
		v.Result, v.Why = NotMeasured, firstOf(t.Seat.State.Why, t.Seat.Why, t.Why)
		if allow.Stated() {
			v.LimitText = "at most " + allow.Written
		}
	case !allow.Stated():
		v.Result = NoLimitThen
	default:
		v.LimitText = "at most " + allow.Written
		v.Result = Within
		if seatOrder[t.Seat.State.Written] > seatOrder[allow.Written] {
			v.Result, v.Side = Beyond, 1
		}
		if j.show {
			v.Working = append(v.Working, fmt.Sprintf("%s: %s; allowed %s", name, v.Written, v.LimitText))
		}
	}
	j.add(v, allow.Leaf)
}

func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}

// leakDown judges the time of the valve alone, referred to the oil temperature that the limits hold for, with what is
// known of watch, pressures, thermometer and oil. A time that was cut off is judged as what it is: at least as long.
func (j *judge) leakDown(block, name string, t *logbook.Test, e *logbook.Revision, limit logbook.Band) {
	v := Verdict{Key: block + ".leak_down.time", Name: name}
	a := t.LeakDown.Time
	if a.Why == "" {
		a.Why = firstOf(t.LeakDown.Why, t.Why)
	}
	if !a.Quantity.Valid() || a.Kind() != measure.Time || !limit.Span.Valid() {
		j.band(v, a, limit.Span, limit.Leaf, limit.String())
		return
	}
	if j.b.ByCertificate(j.o, v.Key, t.Bench.Written) != "" && j.b.Instruments[t.Gauge.Written] == nil {
		j.band(v, a, limit.Span, limit.Leaf, limit.String(), reading{name: name, value: a.Quantity})
		j.last().hold(a.More, false, j.settings.SecondHold.Quantity)
		return
	}
	day := j.dayOf(block + ".")
	h := j.hold(t, e, day)
	if j.show {
		v.Working = append(append(v.Working, j.span(t, e)...), h.working...)
	}
	a.Quantity, v.Why = h.time, h.note
	v.Read = t.LeakDown.Time.Quantity
	if h.at != "" && h.time.Compare(v.Read) != 0 {
		v.Referred = h.time.String() + " at " + h.at
	}
	j.band(v, a, limit.Span, limit.Leaf, limit.String(), reading{name: name, value: h.time, own: h.budget, day: day})
	last := j.last()
	last.Written = t.LeakDown.Time.String()
	last.hold(a.More, h.unsure, j.settings.SecondHold.Quantity)
	for _, id := range []logbook.Serial{t.LeakDown.Gauge, t.LeakDown.Watch, t.LeakDown.Thermometer} {
		last.proveBy(j.unproven(reading{value: h.time, instrument: named(id), day: day}))
	}
}

// hold brings into the verdict of a leak-down that its time was cut off, that the oil is not known, and that a short
// time in doubt is to be taken again.
func (v *Verdict) hold(cut, unsure bool, second measure.Quantity) {
	inDoubt := v.Result == WithinDoubt || v.Result == BeyondDoubt
	switch {
	case cut && v.Side < 0, cut && v.Side == 0 && v.Span.High.Valid():
		v.Result, v.Accepted, v.Why = NotProven, false, "the time was cut off: how long it is, is not known"
		v.Side = 0
	case cut && v.Side == 0:
		v.Result, v.Accepted = Within, true
	case v.Result == WithinDoubt && unsure: // what is beyond as far as is known stays beyond
		v.Result, v.Accepted = NotProven, false
		v.Why = firstOf(v.Why, "the oil of the bench is not known, and the limit is within the uncertainty")
	}
	if inDoubt && v.Value.Compare(second) < 0 {
		v.Why = strings.TrimPrefix(v.Why+"; in doubt below "+second.String()+": time it a second time", "; ")
	}
}

// span compares the pressures of the test with those the limit holds for.
func (j *judge) span(t *logbook.Test, e *logbook.Revision) []string {
	l := e.LeakDown
	open := t.Opening.Median()
	if !l.From.Relative.Valid() || !open.Quantity.Valid() || !t.LeakDown.From.Quantity.Valid() {
		return nil
	}
	want := l.From.Relative.From(open.Quantity)
	line := fmt.Sprintf("timed from %s; the limit holds for %s = %s", t.LeakDown.From, l.From.Relative, want)
	if l.Fall.Quantity.Valid() && t.LeakDown.To.Quantity.Valid() {
		line += fmt.Sprintf(", a fall of %s (timed: %s)", l.Fall, t.LeakDown.From.Minus(t.LeakDown.To.Quantity))
	}
	return []string{line}
}

func (j *judge) spray(block, name string, s *logbook.Spray, limit *logbook.HoleLimits) {
	v := Verdict{Key: block + ".spray", Name: name, Place: s.Place}
	switch {
	case !s.Stated() || !s.Open.Valid && !s.Form.Stated():
		v.Result, v.Why = NotMeasured, firstOf(s.Why, s.Form.Why, s.Open.Why)
		if limit.Count.Valid {
			v.LimitText = fmt.Sprintf("%s holes open, even", limit.Count.Written)
		}
		j.add(v, limit.Count.Leaf)
		return
	}
	var parts []string
	if s.Open.Valid {
		parts = append(parts, fmt.Sprintf("%s holes open", s.Open.Written))
	}
	if n := len(s.Weak.Each); n > 0 {
		parts = append(parts, fmt.Sprintf("%d weak", n))
	}
	if s.Form.Stated() {
		parts = append(parts, s.Form.Written)
	}
	v.Written, v.Result, v.LimitText = strings.Join(parts, ", "), Within, "even"
	if limit.Count.Valid {
		v.LimitText = fmt.Sprintf("%s holes open, even", limit.Count.Written)
		switch {
		case s.Open.Valid && s.Open.Value < limit.Count.Value:
			v.Result, v.Side = Beyond, -1
		case s.Open.Valid && s.Open.Value > limit.Count.Value:
			v.Result, v.Why = NotProven, "more holes than the nozzle has"
		}
	}
	if s.Form.Stated() && !s.Form.Is("even") {
		v.Result, v.Side = Beyond, -1
	}
	if v.Result == Within && !limit.Count.Valid {
		v.Result, v.LimitText = NoLimitThen, ""
	}
	j.add(v, limit.Count.Leaf)
}

func (j *judge) stripped(e *logbook.Revision) {
	for _, f := range []struct {
		key, name string
		freed     logbook.Freed
	}{{keys.StrippedNeedleFreedBath, "oil bath for the needle", j.o.Stripped.NeedleFreed},
		{keys.StrippedNozzleFreedBath, "oil bath for the nozzle", j.o.Stripped.NozzleFreed}} {
		if f.freed.Bath.Present() {
			j.band(Verdict{Key: f.key, Name: f.name}, f.freed.Bath, e.Bath.Span, e.Bath.Leaf, e.Bath.String())
		}
	}
}

func (j *judge) measured(e *logbook.Revision) {
	m := &j.o.Measured
	if !m.Present() {
		return
	}
	with := func(key, name string, x *logbook.Measurement) (Verdict, logbook.Amount) {
		a := x.Value
		if !a.Present() {
			a.Leaf = x.Leaf
		}
		return Verdict{Key: key, Name: name, Instrument: named(x.With)}, a
	}
	v, lift := with(keys.MeasuredLift, "lift", &m.Lift)
	v.Safety = e.Lift.Safety.Is("yes")
	fresh := e.Lift.New
	if !fresh.Span.Valid() { // a manual that states one stroke states it for the new nozzle, whose holder adds nothing yet
		fresh = e.Effective.New
	}
	if j.nozzleNew() && fresh.Span.Valid() {
		j.band(v, lift, fresh.Span, fresh.Leaf, fresh.String()+" (new)")
	} else {
		j.atMost(v, lift, e.Lift.Max)
	}
	j.measuredAgain(j.last(), &m.Lift, logbook.Amount{})
	v, wear := with(keys.MeasuredHolderWear, "holder wear", &m.HolderWear)
	v.Safety = e.HolderWear.Safety.Is("yes")
	j.atMost(v, wear, e.HolderWear.Max)
	j.measuredAgain(j.last(), &m.HolderWear, logbook.Amount{})
	j.effective(e, lift, wear)
	v, dia := with(keys.MeasuredSeatDiameter, "seat diameter", &m.SeatDiameter)
	v.Safety = e.SeatDia.Safety.Is("yes")
	j.atMost(v, dia, e.SeatDia.Largest())
	j.measuredAgain(j.last(), &m.SeatDiameter, logbook.Amount{})
	v, length := with(keys.MeasuredSpringLength, "free length of the spring", &m.SpringLength)
	j.atLeast(v, length, e.Spring.Min)
	j.noGo(&m.NoGo, &e.Holes)
}

// nozzleNew says that the nozzle measured had not run yet.
func (j *judge) nozzleNew() bool {
	serial := firstOf(j.o.Nozzle.Found.Written, j.o.Nozzle.Left.Written)
	hours, known := j.b.Lives().NozzleHours(serial, j.o.Day())
	return known && hours == 0 && !j.o.Removed.Stated()
}

// effective judges the lift with the wear of the holder's face: the sum of the two as written, exactly.
func (j *judge) effective(e *logbook.Revision, lift, wear logbook.Amount) {
	v := Verdict{Key: EffectiveLift, Name: "effective lift", Safety: e.Effective.Safety.Is("yes"),
		Instrument: named(j.o.Measured.Lift.With)}
	sum := lift
	switch {
	case !lift.Quantity.Valid() && j.o.Measured.Effective.Value.Quantity.Valid():
		sum = j.o.Measured.Effective.Value
		if j.show {
			v.Working = append(v.Working, "the sum as the engineer wrote it: the lift itself is not measured")
		}
	case lift.Quantity.Valid() && !wear.Quantity.Valid() && e.Effective.Max.Quantity.Valid() &&
		lift.Kind() == e.Effective.Max.Kind() && lift.Compare(e.Effective.Max.Quantity) > 0:
		if j.show {
			v.Working = append(v.Working, "at least the lift: the holder wear, "+firstOf(wear.Not, "not measured")+
				", would add to it")
		}
	case lift.Quantity.Valid() && !wear.Quantity.Valid():
		v.Result, v.Place, v.Written = NotMeasured, lift.Place, ""
		v.Why = "holder wear " + firstOf(wear.Not, "not measured") + ", so the sum is not known"
		j.add(v, e.Effective.Max.Leaf)
		return
	case lift.Quantity.Valid():
		sum.Quantity = lift.Plus(wear.Quantity)
		if j.show {
			v.Working = append(v.Working, fmt.Sprintf("effective lift = lift %s + holder wear %s = %s", lift, wear,
				sum.Quantity))
		}
		m := &j.o.Measured
		day := j.dayOf("measured.")
		j.atMost(v, sum, e.Effective.Max,
			reading{name: "lift", value: lift.Quantity, instrument: named(m.Lift.With), day: day},
			reading{name: "holder wear", value: wear.Quantity, instrument: m.HolderWear.With.Written, day: day})
		j.measuredAgain(j.last(), &m.Lift, wear)
		return
	}
	j.atMost(v, sum, e.Effective.Max)
}

func (j *judge) noGo(n *logbook.NoGo, limit *logbook.HoleLimits) {
	if !n.Present() {
		return
	}
	v := Verdict{Key: keys.MeasuredNoGo, Name: "no-go wire", Place: n.Place,
		Written: strings.TrimSpace(n.Wire.String() + " " + n.Result.Written)}
	switch {
	case !n.Result.Stated():
		v.Result, v.Why = NotMeasured, firstOf(n.Why, n.Result.Why)
	case !limit.NoGo.Quantity.Valid():
		v.Result = NoLimitThen
	default:
		v.LimitText, v.Result = limit.NoGo.String()+" must not enter", Within
		if n.Result.Is("enters") && (!n.Wire.Quantity.Valid() || n.Wire.Compare(limit.NoGo.Quantity) >= 0) {
			v.Result, v.Side = Beyond, 1
		}
	}
	j.add(v, limit.NoGo.Leaf)
}

// life judges the running hours of the nozzle that came out, when it goes back.
func (j *judge) life(e *logbook.Revision) {
	serial := j.o.Nozzle.Found.Written
	if serial == "" || !j.o.Removed.Stated() {
		return
	}
	hours, known := j.b.Lives().NozzleHours(serial, j.o.Removed.Date.Day)
	v := Verdict{Key: "nozzle_hours", Name: "running hours of the nozzle", Place: j.o.Nozzle.Found.Place}
	a := logbook.Amount{Leaf: j.o.Nozzle.Found.Leaf}
	a.Written = ""
	if known {
		a.Quantity = measure.FromFloat(hours, 0, measure.Hours)
		if j.show {
			v.Working = append(v.Working, fmt.Sprintf("%s has run %s in all its service lives", serial, a.Quantity))
		}
	} else {
		a.Why = "a counter reading of one of its service lives, or its hours before the book, is not known"
	}
	j.atMost(v, a, e.NozzleLife.Renew)
}

// marking judges the nozzle left in the valve against the markings permitted on the engine.
func (j *judge) marking(e *logbook.Revision) {
	if !j.o.Nozzle.Left.Stated() {
		return
	}
	mark := j.o.Nozzle.Marking
	v := Verdict{Key: keys.NozzleMarking, Name: "marking of the nozzle", Place: mark.Place, Written: mark.Written}
	switch {
	case !mark.Stated():
		v.Result, v.Why, v.Place = NotMeasured, mark.Why, j.o.Nozzle.Place
	case len(e.Markings.Each) == 0:
		v.Result = NoLimitThen
	default:
		var permitted []string
		v.Result, v.Side = Beyond, 1
		for _, m := range e.Markings.Each {
			permitted = append(permitted, m.Written)
			if m.Written == mark.Written {
				v.Result, v.Side = Within, 0
			}
		}
		v.LimitText = strings.Join(permitted, " or ")
	}
	j.add(v, e.Markings.Leaf)
}

func (j *judge) torque(key, name string, t *logbook.Tightened, limit *logbook.TorqueLimits, due bool) {
	if !due && !t.Present() {
		return
	}
	band := limit.Torque
	span, text := band.Span, band.String()
	if span.Valid() && span.Low.Valid() && span.High.Valid() && span.Low.Compare(span.High) == 0 {
		share := limit.Tolerance
		if !share.Quantity.Valid() {
			share = j.settings.TorqueWithin
		}
		nominal := span.Low
		off := nominal.Percent(share.Quantity)
		span = measure.Between(nominal.Minus(off), nominal.Plus(off))
		text += " ± " + share.Quantity.String()
	}
	a := t.Torque
	if !a.Present() {
		a.Leaf = t.Leaf
		a.Written = t.Not
	}
	j.band(Verdict{Key: key + ".torque", Name: "torque of the " + name, Instrument: named(t.Wrench)}, a, span,
		band.Leaf, text)
	if !limit.Steps.Valid {
		return
	}
	v := Verdict{Key: key + ".steps", Name: "steps of the " + name, Place: t.Steps.Place, Written: t.Steps.Written,
		LimitText: limit.Steps.Written + " steps", Result: Within}
	switch {
	case !t.Steps.Valid:
		v.Result, v.Why, v.Place = NotMeasured, firstOf(t.Steps.Why, t.Why), t.Place
	case t.Steps.Value < limit.Steps.Value:
		v.Result, v.Side = Beyond, -1
	}
	j.add(v, limit.Steps.Leaf)
}

// named is the instrument that a record names; empty where it names none, or says why.
func named(s logbook.Serial) string {
	if !s.Stated() {
		return ""
	}
	return s.Written
}
