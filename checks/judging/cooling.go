package judging

import (
	"strings"

	"needlebook/logbook"
)

// cooling judges the cooling space of a cooled nozzle: tight, at the pressure and for the time that the limits ask for.
func (j *judge) cooling(key, name string, t *logbook.Cooling, limit *logbook.CoolingLimits) {
	v := Verdict{Key: key, Name: name, Place: t.Place, LimitText: coolingAsked(limit)}
	var parts []string
	for _, l := range []logbook.Leaf{t.State.Leaf, t.At.Leaf, t.For.Leaf} {
		if l.Stated() {
			parts = append(parts, l.Written)
		}
	}
	v.Written = strings.Join(parts, ", ")
	switch {
	case !t.State.Stated():
		v.Written, v.Result, v.Why = "", NotMeasured, firstOf(t.State.Why, t.Why)
	case t.State.Is("leaks"):
		v.Result, v.Side = Beyond, 1
	default:
		v.Result = Within
		for _, x := range []struct {
			name       string
			was, asked logbook.Amount
		}{{"pressure", t.At, limit.At}, {"time", t.For, limit.For}} {
			switch {
			case !x.asked.Quantity.Valid():
			case !x.was.Quantity.Valid():
				v.proveBy("its " + x.name + " is not written")
			case x.was.Compare(x.asked.Quantity) < 0:
				v.proveBy("its " + x.name + " was " + x.was.Written + ", at least " + x.asked.Written + " is asked for")
			}
		}
	}
	j.add(v, limit.Leaf)
}

// coolingAsked is what the limits ask of the cooling space, in words; tight in any case.
func coolingAsked(l *logbook.CoolingLimits) string {
	text := "tight"
	if l.At.Stated() {
		text += " at " + l.At.Written
	}
	if l.For.Stated() {
		text += " for " + l.For.Written
	}
	return text
}
