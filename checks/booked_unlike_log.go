package checks

import (
	"fmt"
	"math"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/benchlog"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var bookedUnlikeLog = &Check{
	Name:    "booked-unlike-log",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A booked pressure or time differs from what the pressure log of the test shows by more than both " +
		"uncertainties, or the log does not show it: it is empty, cut, in another unit, or cannot be read. A log is " +
		"written by an instrument: a figure far from it is a slip of the pen, another test, or was changed. Look at " +
		"both, correct the one that is wrong, or answer what explains it. The booked value is judged all the same.",
	Source:  "difference against joint uncertainty as ISO/IEC 17043, En number; the rest common practice, no source",
	Example: `leak-down as left was booked 9.1 s, the log shows 3.08 s ± 0.07 s`,
	Holds:   func(o *logbook.Overhaul) bool { return len(o.Logs) > 0 },
	Each: func(c *Case, o *logbook.Overhaul) {
		for i := range o.Logs {
			l := &o.Logs[i]
			r, t := c.Book.LogOf(o, l), o.LogTest(l.Test)
			switch {
			case r == nil:
			case r.Reading == nil:
				c.unreadLog(o, l, t, r.Why)
			default:
				opening, leak := keys.AsLeftOpeningPressure, keys.AsLeftLeakDownTime
				if l.Test.Is("as found") {
					opening, leak = keys.AsFoundOpeningPressure, keys.AsFoundLeakDownTime
				}
				c.unlikeLog(o, l, t.Opening.Median().Leaf, opening, &r.Reading.Opening, "bar")
				c.unlikeLog(o, l, t.LeakDown.Time.Leaf, leak, &r.Reading.LeakDown, "s")
			}
		}
	},
	Grade: Action,
}

// unreadLog reports a log of which nothing can be read. Where figures were booked it leaves them without the evidence
// that is named for them, and a difference that it showed would be gone with it.
func (c *Case) unreadLog(o *logbook.Overhaul, l *logbook.BenchLog, t *logbook.Test, why *benchlog.Refused) {
	if why == nil {
		return
	}
	grade := Note
	if t.Opening.Median().Stated() || t.LeakDown.Time.Stated() {
		grade = Action
	}
	f := Finding{Place: l.Log.Place, Grade: grade, About: about(o), Message: "log " + l.Test.Written +
		" was not read: " + why.Reason.Says(), Next: why.Reason.Next()}
	if why.Found != "" {
		f.Evidence = []string{why.Found}
	}
	c.Report(f)
}

// notInLog reports a booked value that the log that is named for it does not show. A log that was cut or headed in
// another unit asks for more than one that was taken too slowly.
func (c *Case) notInLog(o *logbook.Overhaul, l *logbook.BenchLog, booked logbook.Leaf, name string,
	why *benchlog.Refused) {
	grade := Note
	if why.Reason.Unwhole() {
		grade = Action
	}
	f := Finding{Place: l.Log.Place, Grade: grade, About: about(o),
		Message: fmt.Sprintf("%s %s is not in the log: %s", name, booked.Written, why.Reason.Says()),
		Next:    why.Reason.Next(), Related: []Related{{booked.Place, "the booked value"}},
		Facts: []string{l.Log.Written, string(why.Reason)}}
	if why.Found != "" {
		f.Evidence = []string{why.Found}
	}
	c.Report(f)
}

// unlikeLog reports a booked value that is further from the log than both uncertainties allow. A value whose
// uncertainty is not known is held against none.
func (c *Case) unlikeLog(o *logbook.Overhaul, l *logbook.BenchLog, booked logbook.Leaf, key string,
	read *benchlog.Value, unit string) {
	v := c.Judged.Find(o, key)
	if booked.Stated() && v.Value.Valid() && read.Why != nil {
		c.notInLog(o, l, booked, v.Name, read.Why)
		return
	}
	if !booked.Stated() || v.U == 0 || !v.Value.Valid() || !read.Known() {
		return
	}
	value, u := v.Value.Float(), v.U
	if v.Read.Valid() && value > 0 { // what is judged is another oil's time: the log has seen the one written
		u *= v.Read.Float() / value
		value = v.Read.Float()
	}
	if math.Abs(value-read.X) <= math.Hypot(u, read.U) {
		return
	}
	evidence := []string{fmt.Sprintf("booked ± %.2g %s, together ± %.2g %s", u, unit, math.Hypot(u, read.U), unit)}
	if side := sideOf(v, read.X*v.Value.Float()/value, unit); side != "" {
		evidence = append(evidence, fmt.Sprintf("what the log shows is %s the limit %s", side, v.LimitText))
	}
	c.Report(Finding{Place: l.Log.Place, About: about(o),
		Message:  fmt.Sprintf("%s was booked %s, the log shows %s", v.Name, booked.Written, read.Text(unit)),
		Evidence: evidence,
		Next:     "look at the log, and correct the figure, or the log that is named",
		Related:  []Related{{booked.Place, "the booked value"}}, Facts: []string{l.Log.Written, read.Text(unit)}})
}

// sideOf says on which side of a verdict's limit a value lies that is judged in place of the booked one: "below",
// "above", or nothing within.
func sideOf(v *judging.Verdict, x float64, unit string) string {
	q, _ := measure.Parse(fmt.Sprintf("%.3f %s", x, unit), v.Value.Kind())
	switch {
	case !v.Span.Valid():
		return ""
	case v.Span.Side(q) < 0:
		return "below"
	case v.Span.Side(q) > 0:
		return "above"
	}
	return ""
}
