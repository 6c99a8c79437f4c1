package deciding

import (
	"cmp"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// received asks of a valve that was built elsewhere what a certificate cannot answer: what was looked at and tried on
// board.
func (r *waiting) received() {
	c := &r.o.Received
	if !c.Stated() {
		return
	}
	for _, l := range []struct {
		name string
		word logbook.Word
		good string
	}{{"marking", c.Marking, "as certified"}, {"caps", c.Caps, "in place"}} {
		switch {
		case l.word.Is(l.good):
		case l.word.Stated():
			r.no(l.word.Place, "%s: %s", l.name, l.word)
		default:
			r.no(c.At(l.word.Leaf), "%s not looked at on board%s", l.name, inBrackets(l.word.Why))
		}
	}
	if !LiftStated(r.book, r.o) {
		r.no(r.o.PlaceOf("measured"), "the lift is neither measured nor in the certificate")
	}
	for _, key := range []string{keys.MeasuredLift, judging.EffectiveLift, keys.MeasuredHolderWear} {
		if v := r.find(key); v.Result.Out() || v.Unaccepted() {
			r.no(v.Place, "%s", said(v))
		}
	}
	v := r.find(keys.ReceivedOpenedAboardOpeningPressure)
	switch {
	case len(c.Opened.Opening.Valid()) == 0:
		r.no(c.At(c.Opened.Leaf), "not opened on board yet%s", inBrackets(cmp.Or(c.Opened.Why, c.Opened.Opening.Why)))
	case v.Result.Out():
		r.no(v.Place, "%s", said(v))
	case v.Result == judging.NotProven:
		r.no(v.Place, "%s is not proven: %s", v.Name, v.Why)
	}
}

// LiftStated says that the lift of a received valve is known, that no limit asks for it, or that a reason is written
// why a valve with a certificate is not opened to measure it.
func LiftStated(b *logbook.Book, o *logbook.Overhaul) bool {
	in, _ := b.LimitsFor(o).On(o.BenchOn())
	m := &o.Measured
	if !in.Lift.Stated() && !in.Effective.Stated() || m.Lift.Value.Quantity.Valid() || m.Effective.Value.Quantity.Valid() {
		return true
	}
	part := b.Part("nozzle", o.Nozzle.Left.Written)
	return part != nil && part.Lift.Quantity.Valid() ||
		o.Received.Certified() && cmp.Or(m.Lift.Why, m.Lift.Value.Why, m.Why) != ""
}
