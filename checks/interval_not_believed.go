package checks

import (
	"maps"
	"slices"

	"needlebook/logbook"
)

var intervalNotBelieved = &Check{
	Name:    "interval-not-believed",
	Subject: OfLimits,
	Ends:    writing,
	Version: 1,
	Level:   Field,
	Doc: "An interval between overhauls is shorter than a day or longer than any engine runs. A point that parts " +
		"thousands, or a digit too many, makes minutes or centuries of it, and then every valve is overdue or none ever; " +
		"so it counts as not stated. Write the hours without a separator.",
	Source:  "from memory; the bounds are settings",
	Example: "interval 2.0 h of ME1 is below 24 h",
	Grade:   Action,
	Whole: func(c *Case) {
		look := func(a logbook.Amount, of string) {
			if !a.Quantity.Valid() || c.Settings.BelievesInterval(a.Float()) {
				return
			}
			what := "above " + c.Settings.IntervalMost.String()
			if a.Float() < c.Settings.IntervalLeast.Float() {
				what = "below " + c.Settings.IntervalLeast.String()
			}
			c.Report(Finding{Place: a.Place, Message: "interval " + a.String() + " of " + of + " is " + what,
				Next: "write the running hours without a separator; it counts as not stated"})
		}
		for _, e := range c.Book.Vessel.Engines {
			look(e.Interval, e.ID.Written)
		}
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				look(e.Interval, name)
				look(e.IntervalMax, name)
			}
		}
		for _, d := range c.Book.Decisions {
			look(d.Interval, d.ID.Written)
		}
	},
}
