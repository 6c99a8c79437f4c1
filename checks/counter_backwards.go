package checks

import "fmt"

var counterBackwards = &Check{
	Name:    "counter-backwards",
	Subject: OfEngine,
	Ends:    writing,
	Version: 1,
	Level:   History,
	Doc: "A reading of an engine's hour counter is lower than an earlier one. Hours do not run backwards: the counter " +
		"was replaced, the other engine was read, or a digit slipped; and every service life counted from the " +
		"reading is wrong. Where the counter was replaced, enter it in the engine's hours file: the day, the new start, " +
		"and what the old one ended at. Otherwise correct the reading that is wrong, which need not be the later one.",
	Source:  "common practice, no source",
	Example: "counter of ME1 reads 598 h on 2022-10-14, below the 49621 h of 2022-07-27",
	Grade:   Action,
	Whole: eachCounter(func(c *Case, engine string, list []counted) {
		for i, j := range backwards(list, c.Settings.CounterWithin.Float()) {
			r, other := list[i], list[j]
			way := "below"
			if r.total > other.total {
				way = "above"
			}
			f := Finding{Place: r.place, About: r.about, Related: []Related{{other.place, "the other reading"}},
				Message: fmt.Sprintf("counter of %s reads %s on %s, %s the %s of %s", engine, r.shown, r.day, way, other.shown,
					other.day),
				Next: "correct the reading that is wrong"}
			if way == "below" {
				f.Next += fmt.Sprintf("; for a replaced counter enter: <day>,<first reading>,replaced: old counter ended at "+
					"<reading>, in the hours file of %s", engine)
			}
			c.Report(f)
		}
	}),
}
