package judging

import (
	"needlebook/checks/uncertainty"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// certified gives the readings behind a verdict, those that are a sender's with the uncertainty that the certificate
// states: no instrument of this book was at them, and none is asked of them.
func (j *judge) certified(v *Verdict, readings []reading) []reading {
	var all []reading
	for _, r := range readings {
		if by := j.b.ByCertificate(j.o, v.Key, r.instrument); by != "" {
			own := &uncertainty.Budget{}
			u := j.o.Received.Uncertainty.Of(r.value.Kind())
			if u.Quantity.Valid() {
				own.Known(j.o.Received.By(), u.Float()/2)
			} else {
				own, v.Why = nil, by+", which states no uncertainty"
			}
			r = reading{name: r.name, value: r.value, own: own}
		}
		all = append(all, r)
	}
	return all
}

// stateNotStated keeps the setting of a received valve of which nobody says what it is set as.
func (j *judge) stateNotStated(v Verdict, setting logbook.Amount, r *logbook.Received) {
	v.Place, v.Written, v.Value = setting.Place, setting.String(), setting.Quantity
	v.Result, v.Why = NoLimitThen, "not stated whether it is set as new, used or reground"
	if !setting.Quantity.Valid() {
		v.Result, v.Why = NotMeasured, firstOf(setting.Why, r.Why)
	}
	j.add(v, logbook.Leaf{})
}

// openedAboard judges the one opening of a received valve on board by the same setting as its certificate.
func (j *judge) openedAboard(setting logbook.Band, text string, class logbook.Class) {
	t := &j.o.Received.Opened
	if !j.o.Received.Stated() {
		return
	}
	v := Verdict{Key: keys.ReceivedOpenedAboardOpeningPressure, Name: "opening pressure aboard", Class: class,
		Instrument: named(t.Gauge)}
	r := reading{name: "opening pressure", instrument: named(t.Gauge), day: t.Date.Day}
	median := t.Opening.Median()
	if !median.Present() {
		median.Leaf = t.Opening.Leaf
	}
	r.value = median.Quantity
	for _, a := range t.Opening.Valid() {
		r.repeats = append(r.repeats, a.Float())
	}
	if len(r.repeats) < 2 { // one opening is all that is asked for
		r.repeats = nil
	}
	j.band(v, median, setting.Span, setting.Leaf, text, r)
}
