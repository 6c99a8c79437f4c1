package judging

import (
	"fmt"
	"math"
	"slices"

	"needlebook/checks/uncertainty"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// doubt settles a verdict with the uncertainty of its instrument, by the rule that the limits file names. An instrument
// that the book does not know, whose calibration had run out, or that was found to read wrong then proves nothing good:
// the value is kept, the verdict is not.
func (j *judge) uncertainty(v *Verdict, e *logbook.Revision, readings []reading) {
	rule, _ := uncertainty.ParseRule(e.Rule.Written)
	limit := uncertainty.Limit{Band: uncertainty.Band{Low: math.Inf(-1), High: math.Inf(1)}, Rule: rule, Safety: v.Safety}
	if v.Span.Low.Valid() {
		limit.Band.Low = v.Span.Low.Float()
	}
	if v.Span.High.Valid() {
		limit.Band.High = v.Span.High.Float()
	}
	if e.Probability.Quantity.Valid() {
		limit.Conformance = e.Probability.Float() / 100
	}
	v.Accepted = v.Result == Within
	readings = j.certified(v, readings)
	if why := j.disagree(readings); why != "" { // of two such readings no uncertainty can be told
		v.proveBy(why)
	} else if u, ok := j.budget(v, readings); ok {
		v.U = u.U
		if judged, err := limit.Judge(v.Value.Float()-j.correction(v, readings), u); err == nil {
			v.take(judged, j.show)
		}
	}
	for _, r := range readings {
		v.proveBy(j.unproven(r))
	}
}

// proveBy makes a value within one that is not proven, where there is a reason why its instrument proves nothing.
func (v *Verdict) proveBy(why string) {
	if why == "" {
		return
	}
	v.Why = why
	if v.Result == Within || v.Result == WithinDoubt {
		v.Result, v.Accepted = NotProven, false
	}
}

// disagree says that the readings behind a value are too few and too far apart to tell which is wrong.
func (j *judge) disagree(readings []reading) string {
	for _, r := range readings {
		if n := len(r.repeats); n < 2 || n >= asked || !r.value.Valid() || r.value.Kind() != j.settings.ReadingSpread.Kind() {
			continue
		}
		low, high := slices.Min(r.repeats), slices.Max(r.repeats)
		if high-low > j.settings.ReadingSpread.Float() {
			return fmt.Sprintf("%s and %s disagree: take %s again", r.value.Like(low), r.value.Like(high),
				logbook.Counted(asked, "reading"))
		}
	}
	return ""
}

// correction is what the instruments of some readings show too much, together, in the base unit.
func (j *judge) correction(v *Verdict, readings []reading) (sum float64) {
	for _, r := range readings {
		off, from, ok := Correction(j.b, j.b.Instruments[r.instrument], r.value, r.day)
		sum += off
		if ok && j.show {
			unit := measure.BaseUnit(r.value.Kind()).Name
			v.Working = append(v.Working, fmt.Sprintf("%s shows %+.2g %s: %s", r.instrument, off, unit, from))
		}
	}
	return sum
}

// take brings the judgement with doubt into the verdict. On which side of the limit the value stands was settled
// before, on the scaled integers as written; the uncertainty only says how sure that is, and that a value as corrected
// by its instrument's certificate is clearly on the other side.
func (v *Verdict) take(judged uncertainty.Judgement, show bool) {
	unit := measure.BaseUnit(v.Value.Kind()).Name
	inDoubt := judged.Verdict.InDoubt() || judged.Margin == 0
	out := judged.Verdict == uncertainty.Beyond || judged.Verdict == uncertainty.BeyondInDoubt
	switch {
	case v.Side == 0 && inDoubt:
		v.Result = WithinDoubt
	case v.Side != 0 && inDoubt:
		v.Result = BeyondDoubt
	case v.Side == 0 && out:
		v.Result, v.Side = Beyond, side(v.Span, judged.Nearest)
	case v.Side != 0 && !out:
		v.Result, v.Side = Within, 0
	}
	v.Accepted = judged.Accepted && v.Side == 0
	if !v.Safety { // beside a safety limit a chance would be read as leave to run
		v.Chance = judged.Probability
	}
	v.CannotProve = judged.CannotProve
	note := judged.Note(unit)
	if note != "" {
		v.Why = note
	}
	if show {
		v.Working = append(v.Working, fmt.Sprintf("uncertainty %s: %s", judged.Uncertainty.Text(unit), v.Result))
		if note != "" {
			v.Working = append(v.Working, note)
		}
	}
}

// measuredAgain accepts a value within a safety limit but in doubt, where what it rests on was measured again at three
// places with a second instrument that is good on that day, and each of those values is within too. more is what each
// adds to the value judged, such as the wear of the holder to the lift.
func (j *judge) measuredAgain(v *Verdict, m *logbook.Measurement, more logbook.Amount) {
	second := reading{value: m.Value.Quantity, instrument: m.AgainWith.Written, day: j.dayOf(v.Key)}
	again := m.Again.Valid()
	if !v.Safety || v.Result != WithinDoubt || len(again) < asked || !m.AgainWith.Stated() ||
		m.AgainWith.Written == m.With.Written || j.unproven(second) != "" {
		return
	}
	for _, a := range again {
		q := a.Quantity
		if more.Quantity.Valid() {
			q = q.Plus(more.Quantity)
		}
		if v.Span.Side(q) != 0 {
			v.Accepted, v.Why = false, "measured again with "+m.AgainWith.Written+": "+q.String()+" is beyond the limit"
			return
		}
	}
	v.Accepted = true
	v.Why = "measured again at " + logbook.Counted(len(again), "place") + " with " + m.AgainWith.Written + ": all within"
}

// side is on which side of a span a value lies that is beyond the end given.
func side(s measure.Span, end float64) int {
	if s.Low.Valid() && s.Low.Float() == end {
		return -1
	}
	return 1
}

// budget adds up what is known of the instruments behind a value; ok is false where of one nothing is.
func (j *judge) budget(v *Verdict, readings []reading) (uncertainty.Uncertainty, bool) {
	var b uncertainty.Budget
	known := false
	for _, r := range readings {
		one, ok := r.budget(j.b)
		if ok {
			b.Plus(one)
		}
		known = ok || known
		if !ok && len(readings) > 1 {
			return uncertainty.Uncertainty{}, false
		}
	}
	if !known {
		return uncertainty.Uncertainty{}, false
	}
	sum, err := b.Combine()
	if err != nil {
		return uncertainty.Uncertainty{}, false
	}
	u, err := sum.Cover()
	if j.show {
		v.Working = append(v.Working, worked(sum, u)...)
	}
	return u, err == nil
}

// worked puts a budget into words.
func worked(sum uncertainty.Combined, u uncertainty.Uncertainty) (lines []string) {
	counts := map[string]int{}
	for _, c := range sum.Components {
		lines = append(lines, fmt.Sprintf("u(%s) = %s = %.2g", c.Name, c.Working(), c.Std))
		if counts[c.Common]++; c.Common != "" && counts[c.Common] == 2 {
			lines = append(lines, c.Common+" is the same in both readings: r = 1 (GUM 5.2.4)")
		}
	}
	if u.K != 2 {
		lines = append(lines,
			fmt.Sprintf("k = %.2f, Student's t for %.0f degrees of freedom: a few readings say little about their own scatter",
				u.K, math.Floor(sum.Freedom)))
	}
	return lines
}

// ErrorAt is how far an instrument may be out at a value, either way, in the base unit of its kind; ok is false where
// its file states neither class nor error.
func ErrorAt(i *logbook.Instrument, value measure.Quantity) (half float64, ok bool) {
	var b uncertainty.Budget
	if i == nil || !value.Valid() || !classError(&b, i, value) {
		return 0, false
	}
	sum, err := b.Combine()
	if err != nil {
		return 0, false
	}
	return sum.Components[0].Std * math.Sqrt(3), true
}

// unproven says why an instrument proves nothing on a day; empty where it does.
func (j *judge) unproven(r reading) string {
	if r.instrument == "" {
		return ""
	}
	i := j.b.Instruments[r.instrument]
	switch {
	case i == nil:
		return "instrument " + r.instrument + " is not in the book"
	case i.Until.Day != 0 && i.Until.Day < r.day:
		return "calibration of " + r.instrument + " ran out on " + i.Until.Written
	}
	if w, ok := WrongOn(i, r.day); ok {
		text := r.instrument + " was found to read wrong from " + w.From.Written + " to " + w.To.Written
		if true_, ok := TrueValue(w, r.value); ok {
			text += fmt.Sprintf(": shown %s, probably %s", r.value, true_)
		}
		return text
	}
	return cameIn(i, r.day)
}

// cameIn says why a certificate proves nothing of a day before it: of that time it shows only how the instrument came
// in. What it shows of the instrument as it went out holds from then on. Empty where the day is proved.
func cameIn(i *logbook.Instrument, day logbook.Day) string {
	if day == 0 || day >= i.Calibrated.Day {
		return ""
	}
	next := logbook.Recheck{}
	for _, r := range i.AsFound {
		if r.Date.Day >= day && (next.Date.Day == 0 || r.Date.Day < next.Date.Day) {
			next = r
		}
	}
	switch {
	case next.Date.Day == 0:
		return i.ID.Written + " was certified on " + i.Calibrated.Written + ", after the test: how it came in is missing"
	case !next.Result.Is("within"):
		return i.ID.Written + " came in outside its error on " + next.Date.Written
	}
	return ""
}

// WrongOn is the time found wrong that holds a day; ok is false where the instrument has none.
func WrongOn(i *logbook.Instrument, day logbook.Day) (w logbook.FoundWrong, ok bool) {
	for _, w := range i.FoundWrong {
		if w.From.Day != 0 && w.From.Day <= day && (w.To.Day == 0 || day <= w.To.Day) {
			return w, true
		}
	}
	return logbook.FoundWrong{}, false
}

// TrueValue is the probable true value behind a value shown by an instrument found wrong, with the decimals of the
// value shown; ok is false where the book does not say by how much it was wrong.
func TrueValue(w logbook.FoundWrong, shown measure.Quantity) (measure.Quantity, bool) {
	switch {
	case !shown.Valid():
	case w.Factor.Valid && w.Factor.Value > 0:
		return shown.Like(shown.Float() / w.Factor.Value), true
	case w.Off.Quantity.Valid() && w.Off.Kind() == shown.Kind():
		return shown.Minus(w.Off.Quantity), true
	}
	return measure.Quantity{}, false
}
