package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
	"needlebook/logbook/benchlog"
	"needlebook/logbook/keys"
)

var bookedUnlikeLog = &Check{
	Name:    "booked-unlike-log",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "A booked pressure or time differs from what the pressure log of the test shows by more than both " +
		"uncertainties, or the log cannot be read. A log is " +
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
				c.unreadLog(o, l, r.Why)
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

// unreadLog reports a log that says nothing.
func (c *Case) unreadLog(o *logbook.Overhaul, l *logbook.BenchLog, why *benchlog.Refused) {
	if why == nil {
		return
	}
	c.Report(Finding{Place: l.Log.Place, Grade: Note, About: about(o), Message: "log " + l.Test.Written +
		" was not read: " + why.Reason.Says(), Next: why.Reason.Next()})
}

// unlikeLog reports a booked value that is further from the log than both uncertainties allow. A value whose
// uncertainty is not known is held against none.
func (c *Case) unlikeLog(o *logbook.Overhaul, l *logbook.BenchLog, booked logbook.Leaf, key string,
	read *benchlog.Value, unit string) {
	v := c.Judged.Find(o, key)
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
	c.Report(Finding{Place: l.Log.Place, About: about(o),
		Message:  fmt.Sprintf("%s was booked %s, the log shows %s", v.Name, booked.Written, read.Text(unit)),
		Evidence: []string{fmt.Sprintf("booked ± %.2g %s, together ± %.2g %s", u, unit, math.Hypot(u, read.U), unit)},
		Next:     "look at the log, and correct the figure, or the log that is named",
		Related:  []Related{{booked.Place, "the booked value"}}, Facts: []string{l.Log.Written, read.Text(unit)}})
}
