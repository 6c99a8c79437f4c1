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
	Version: 2,
	Level:   History,
	Doc: "The leak-down as found is a small part of what the valve was left with. Guides wear slowly: a time that falls " +
		"to less than a third in one service life means hard wear (fines in the fuel, a holder that leaks at its face, a " +
		"lift far beyond its limit), " +
		"or an as-left time that was not what was written. Look at seat and guide, at the other valves of the round, and " +
		"at the earlier record: where the history shows that its time was changed, the finding says so. " +
		"Times are compared on one bench, over one fall of pressure, at one oil temperature.",
	Source:  "from memory",
	Example: "leak-down as found 1.7 s is 18.7 % of 9.1 s as left of 2023-04-20",
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, l := range c.Recurring().LeakChanges() {
			if !l.Shorter(l.Left*c.Settings.LeakLost.Float()/100 - rounding) {
				continue
			}
			o := l.Overhaul
			left := l.Before.AsLeft.LeakDown.Time
			f := Finding{Place: o.AsFound.LeakDown.Time.Place, About: about(o), Related: []Related{{left.Place, "left with"}},
				Message: fmt.Sprintf("leak-down as found %s is %.1f %% of %s as left of %s", o.AsFound.LeakDown.Time,
					l.Share(), left, dateOr(l.Before)),
				Next: "look at seat, guide and holder face, at the rest of the round, and at the earlier record"}
			if l.Referred {
				f.Evidence = append(f.Evidence, referred(l))
			}
			if t := c.Trail.Records[l.Before.Path]; t != nil {
				if set := t.Values[left.Key]; len(set.Before) > 0 {
					last := set.Before[len(set.Before)-1]
					was := fmt.Sprintf("that time was %s until it was changed", orGone(last.Written))
					if k := c.Trail.At(set.Commit); k != nil {
						was += " " + moment(k) + " " + writtenBy(k)
					}
					f.Evidence = append(f.Evidence, was)
				}
			}
			c.Report(f)
		}
	},
}

// rounding is what binary arithmetic may leave of two figures that stand exactly on a threshold.
const rounding = 1e-9

// referred is the time as found that was worked out for the oil temperature of the test before.
func referred(l recurring.LeakChange) string {
	return fmt.Sprintf("%.1f s with the oil at %s, as then", l.Found, l.Before.AsLeft.Oil)
}

// dateOr is the day of the as-left test, or of the record where that is not written.
func dateOr(o *logbook.Overhaul) logbook.Day {
	if o.AsLeft.Date.Day != 0 {
		return o.AsLeft.Date.Day
	}
	return o.Day()
}
