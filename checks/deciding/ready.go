package deciding

import (
	"fmt"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// waiting is the readiness of one record while it is worked out.
type waiting struct {
	*work
	Readiness
}

func (r *waiting) no(place logbook.Place, format string, args ...any) {
	r.Because = append(r.Because, Reason{fmt.Sprintf(format, args...), place})
}

// ready goes through the record in the order of the work. Ended parts come first: nothing else matters then.
func (w *work) ready(out Outcome) Readiness {
	o := w.o
	r := &waiting{work: w}
	if p, ok := w.book.Lives().StoodAs(o); ok && p != nil {
		return w.outcome(p).Ready
	} else if ok {
		return Readiness{Tested: true} // a ready spare when the book began
	}
	switch d := o.Decided; {
	case d.Holder.Is("condemn"):
		r.no(d.Holder.Place, "the holder is condemned")
		return r.Readiness
	case o.Landed.Stated():
		r.no(o.Landed.Place, "landed%s", since(o.Landed.Date))
		return r.Readiness
	case o.AsLeft.Stated():
		r.Tested = true
	case o.AsLeft.Present():
		r.no(o.AsLeft.Place, "as left %s", o.AsLeft.Written)
		return r.Readiness
	default:
		return r.Readiness
	}
	if !o.Nozzle.Left.Stated() {
		r.no(o.AsLeft.Place, "no nozzle is named as left")
	}
	r.parts(out)
	r.received()
	r.build()
	r.tests()
	if o.Stored.Capped.Is("no") {
		r.no(o.Stored.Capped.Place, "the openings are not capped")
	}
	return r.Readiness
}

func since(d logbook.Date) string {
	if d.Day == 0 {
		return ""
	}
	return " on " + d.Day.String()
}

// parts looks for what may not go back and does: cracked or condemned, or beyond a limit that was measured.
func (r *waiting) parts(out Outcome) {
	o := r.o
	for _, p := range []struct {
		Proposal
		back bool
	}{{out.Nozzle, o.NozzleReturns()}, {out.Holder, o.HolderReturns()}, {out.Spring, o.SpringReturns()}} {
		if !p.back {
			continue
		}
		for _, s := range p.Steps {
			if s.Stop && s.Word != "" {
				r.no(s.Place, "the %s goes back, %s", p.Part, s.Answer)
				continue
			}
			r.beyond(s.Verdict, s.Limit)
		}
	}
	if o.Decided.Nozzle.Is("grind") && o.Nozzle.Left.Written == o.Nozzle.Found.Written && !r.measuredAfterGrinding() {
		r.no(o.Decided.Nozzle.Place, "the lift of the ground nozzle is not in the book")
	}
	if v := r.find(keys.NozzleMarking); v.Result.Out() {
		r.no(v.Place, "marking %s is not permitted on this engine", v.Written)
	}
}

// measured are the limits that a part going back must keep: what the bench showed as found is settled by the test as
// left.
var measured = map[string]bool{keys.MeasuredLift: true, judging.EffectiveLift: true,
	keys.MeasuredHolderWear: true, keys.MeasuredSeatDiameter: true,
	keys.MeasuredSpringLength: true, keys.MeasuredNoGo: true}

// beyond adds a measured value out of its limit, or within it by less than the uncertainty that counts against it,
// unless a deferral covers it.
func (r *waiting) beyond(v *judging.Verdict, limit string) {
	if !measured[v.Key] || !v.Result.Out() && !v.Unaccepted() {
		return
	}
	if v.Key == judging.EffectiveLift && !r.o.HolderReturns() && r.liftAloneWithin() {
		return
	}
	r.unlessDeferred(v, limit)
}

func (r *waiting) unlessDeferred(v *judging.Verdict, limit string) {
	if text := r.deferred(limit); text != "" {
		r.Under = text
		return
	}
	r.no(v.Place, "%s", said(v))
}

// measuredAfterGrinding says that the nozzle's own file has its lift after a regrind since the removal.
func (r *waiting) measuredAfterGrinding() bool {
	if p := r.book.Part("nozzle", r.o.Nozzle.Found.Written); p != nil {
		for _, g := range p.Regrinds {
			if g.Date.Day >= r.o.Day() && g.After.Quantity.Valid() {
				return true
			}
		}
	}
	return false
}

// build looks at seals, dowels, faces and torques. A valve that was set without being opened stands as it was built
// before; for one that came on board built its certificate answers.
func (r *waiting) build() {
	switch p, before := r.book.Lives().BuiltBefore(r.o); {
	case r.o.Assembled.Stated():
		r.assembled()
	case r.o.Received.Stated():
		return
	case r.o.Opened() || !before:
		r.no(r.o.AsLeft.Place, "nothing is said of the assembly")
		return
	case p != nil && p.Assembled.Stated():
		earlier := &waiting{work: r.begin(p)}
		earlier.assembled()
		r.Because = append(r.Because, earlier.Because...)
	}
	r.torque(keys.AsLeftEndCap, "end cap")
}

// assembled looks at the build itself.
func (r *waiting) assembled() {
	a := r.o.Assembled
	var unnamed []string
	for _, s := range []struct {
		name string
		word logbook.Word
		due  bool
	}{{"adjusting screw", a.Seals.AdjustingScrew, true}, {"body", a.Seals.Body, true}, {"pocket", a.Seals.Pocket, false}} {
		switch {
		case s.word.Is("reused"):
			r.no(s.word.Place, "the seal of the %s is reused", s.name)
		case s.due && !s.word.Present() && !a.Seals.Excused() && !r.o.Received.Stated():
			unnamed = append(unnamed, s.name)
		}
	}
	if len(unnamed) > 0 {
		place := a.Seals.Place
		if !a.Seals.Present() {
			place = a.Place
		}
		r.no(place, "the seal of the %s is not said to be new", strings.Join(unnamed, " and of the "))
	}
	if a.Dowels.Is("loose") {
		r.no(a.Dowels.Place, "the dowels are loose")
	}
	if a.Faces.Is("dirty") {
		r.no(a.Faces.Place, "the joint faces are dirty")
	}
	r.torque(keys.AssembledNozzleNut, "nozzle nut")
}

// torque asks for a torque that the limits state: recorded, and within.
func (r *waiting) torque(key, name string) {
	v, steps := r.find(key+".torque"), r.find(key+".steps")
	place := v.Place
	if place.Line == 0 {
		place = r.o.PlaceOf(key)
	}
	switch {
	case v.Result == judging.NotMeasured && r.o.Received.Stated():
	case v.Result == judging.NotMeasured && v.LimitText != "":
		r.no(place, "the torque of the %s is not recorded%s", name, inBrackets(v.Why))
	case v.Result.Out():
		r.no(place, "%s", said(v))
	}
	if steps.Result.Out() {
		r.no(steps.Place, "%s", said(steps))
	}
}

func inBrackets(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

// tests looks at the tries and at the test as left.
func (r *waiting) tests() {
	o := r.o
	if n := len(o.Tries); n > 0 && !o.Tries[n-1].Done.Present() {
		r.no(o.Tries[n-1].Place, "the last try did not pass and nothing is said to be done about it")
	}
	t := o.AsLeft
	r.opening()
	r.tested(keys.AsLeftSeatState, "seat", "seat")
	if v := r.find(keys.AsLeftLeakDownTime); v.Result != judging.NotMeasured || v.LimitText != "" {
		r.tested(keys.AsLeftLeakDownTime, "leak_down", "leak-down")
	}
	if v := r.find(keys.AsLeftSpray); !o.Received.Certified() || known(v) || v.Why == "" {
		r.tested(keys.AsLeftSpray, "holes", "spray") // of a certificate that does not name it, the reason is enough
	}
	if v := r.find(keys.AsLeftCooling); v.Result != judging.None {
		r.tested(keys.AsLeftCooling, "cooling", "cooling space")
	}
	if v := r.find(keys.AsLeftSpray); len(t.Spray.Weak.Each) > 0 && !v.Result.Out() {
		r.no(v.Place, "weak holes as left, at clock number %s", clock(t.Spray.Weak))
	}
	for _, l := range []struct {
		name string
		word logbook.Word
	}{{"nozzle joint", t.Leaks.NozzleJoint}, {"inlet", t.Leaks.Inlet}} {
		if l.word.Is("weeping", "runs") {
			r.no(l.word.Place, "the %s leaks: %s", l.name, l.word)
		}
	}
	if t.LockNut.Is("loose") {
		r.no(t.LockNut.Place, "the lock nut is loose")
	}
}

// clock lists holes by their clock numbers.
func clock(holes logbook.Numbers) string {
	var all []string
	for _, h := range holes.Each {
		all = append(all, h.Written)
	}
	return strings.Join(all, ", ")
}

// opening asks for a setting within its band, shown by a gauge that proves something.
func (r *waiting) opening() {
	v := r.find(keys.AsLeftOpeningPressure)
	if v.Result == judging.NoLimitThen && r.o.Received.Stated() && v.Why != "" {
		r.no(v.Place, "%s", v.Why)
		return
	}
	if v.Result == judging.NoLimitThen {
		r.no(v.Place, "no setting was in force to hold %s %s against", v.Name, v.Written)
		return
	}
	r.tested(keys.AsLeftOpeningPressure, "opening_pressure", "opening pressure")
}

// tested adds what a test as left did not show, or showed beyond its limit.
func (r *waiting) tested(key, limit, name string) {
	v := r.find(key)
	place := v.Place
	if place.Line == 0 {
		place = r.o.AsLeft.Place
	}
	switch {
	case !known(v):
		r.no(place, "%s as left not measured%s", name, inBrackets(v.Why))
	case v.Result.Out():
		r.unlessDeferred(v, limit)
	case v.Result == judging.NotProven:
		r.no(place, "%s is not proven: %s", v.Name, v.Why)
	case key == keys.AsLeftSeatState && drips(v):
		r.no(place, "%s: %s", v.Name, v.Written)
	}
}
