package checks

import (
	"fmt"

	"needlebook/checks/recurring"
	"needlebook/logbook"
)

var leakDownLost = &Check{
	Name:    "leak-down-lost",
	Subject: OfNozzle,
	Ends:    nozzleTested,
	Version: 1,
	Level:   History,
	Doc: "The leak-down as found is a small part of what the valve was left with. Guides wear slowly: a time that falls " +
		"to less than a third in one service life means hard wear (fines in the fuel, a holder that leaks at its face, a " +
		"lift far beyond its limit), " +
		"or an as-left time that was not what was written. Look at seat and guide, at the other valves of the round, and " +
		"at the earlier record: where the history shows that its time was changed, the finding says so. " +
		"Times are compared on one bench, over one fall of pressure, at one oil temperature.",
	Source: "from memory",
	Example: "leak-down 1.7 s as found is 18.7 % of the 9.1 s it was left with on 2023-04-20; that time was 3.1 s until " +
		"it was changed 2023-05-10 23:41 UTC in the name of workshop, unsigned",
	Grade: Advice,
	Whole: func(c *Case) {
		for _, l := range c.Recurring().LeakChanges() {
			if l.Left*c.Settings.LeakLost.Float()/100-l.Found <= rounding {
				continue
			}
			o := l.Overhaul
			left := l.Before.AsLeft.LeakDown.Time
			f := Finding{Place: o.AsFound.LeakDown.Time.Place, About: about(o), Related: []Related{{left.Place, "left with"}},
				Message: fmt.Sprintf("leak-down %s as found is %.1f %% of the %s it was left with on %s%s", o.AsFound.LeakDown.Time,
					l.Share(), left, dateOr(l.Before), referredNote(l)),
				Next: "look at seat, guide and holder face, at the rest of the round, and at the earlier record"}
			if t := c.Trail.Records[l.Before.Path]; t != nil {
				if set := t.Values[left.Key]; len(set.Before) > 0 {
					last := set.Before[len(set.Before)-1]
					f.Message += fmt.Sprintf("; that time was %s until it was changed", orGone(last.Written))
					if k := c.Trail.At(set.Commit); k != nil {
						f.Message += " " + moment(k) + " " + writtenBy(k)
					}
				}
			}
			c.Report(f)
		}
	},
}

// rounding is what binary arithmetic may leave of two figures that stand exactly on a threshold.
const rounding = 1e-9

// referredNote says where a time was worked out for another oil temperature.
func referredNote(l recurring.LeakChange) string {
	if !l.Referred {
		return ""
	}
	return fmt.Sprintf(" (%.1f s with the oil at %s, as then)", l.Found, l.Before.AsLeft.Oil)
}

// dateOr is the day of the as-left test, or of the record where that is not written.
func dateOr(o *logbook.Overhaul) logbook.Day {
	if o.AsLeft.Date.Day != 0 {
		return o.AsLeft.Date.Day
	}
	return o.Day()
}
