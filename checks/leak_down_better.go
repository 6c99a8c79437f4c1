package checks

import "fmt"

var leakDownBetter = &Check{
	Name:  "leak-down-better",
	Level: History,
	Doc: "The leak-down is longer as found than the valve was left with, by more than the two tests differ. Guides do not grow tighter in service: deposits in the guide, a needle that sticks, another valve than the record says, " +
		"or an as-left time that was not timed. Let the needle fall, read the stamp, and write as-left times in tenths as the watch shows them. Times are compared on one bench, over one fall of pressure, at one oil temperature.",
	Source:  "from memory",
	Example: "leak-down 15.0 s as found is longer than the 8.0 s it was left with on 2023-11-22: 188 %",
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, l := range c.Recurring().LeakChanges() {
			if l.Found-l.Left*(1+c.Settings.LeakBetter.Float()/100) <= rounding {
				continue
			}
			o := l.Overhaul
			c.Report(Finding{Place: o.AsFound.LeakDown.Time.Place, About: about(o), Related: []Related{{l.Before.AsLeft.LeakDown.Time.Place, "left with"}},
				Message: fmt.Sprintf("leak-down %s as found is longer than the %s it was left with on %s: %.0f %%%s", o.AsFound.LeakDown.Time, l.Before.AsLeft.LeakDown.Time,
					dateOr(l.Before), l.Share(), referredNote(l)),
				Next: "let the needle fall, read the stamp on the holder; was the as-left time taken with the watch?"})
		}
	},
}
