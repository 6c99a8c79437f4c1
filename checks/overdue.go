package checks

import (
	"fmt"
	"slices"

	"needlebook/logbook"
)

var overdue = &Check{
	Name:    "overdue",
	Subject: OfHolder,
	Ends:    &End{Ways: only("the valve is pulled"), Answer: DeferralOnly, Grows: true},
	Version: 2,
	Level:   History,
	Doc: "A fitted valve has run beyond its interval by more than the tolerance. What is due within the interval stands " +
		"on the list of what is due; this is what has slipped past it. Beyond its age a valve fails unseen: it dribbles, " +
		"dilutes the lubricating oil and burns the piston crown before anyone hears it. " +
		"Pull it at the next stop, or decide on a trial or a deferral that says how long. A trial or an interval decided " +
		"for the engine or cylinder counts while it holds, and so does an approved deferral of the interval (limit: " +
		"interval) for the holder or nozzle; otherwise the engine's interval in book.md, else that of the limits file.",
	Source:  "common practice, no source; the interval is the book's own",
	Example: "ME1-2: H-108 has run 2231 h, interval 2000 h: 11.6 % over, 10 % are tolerated",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, p := range c.Book.Positions() {
			s := c.Lives.At(p, c.Today)
			i, ok := c.Book.IntervalOn(p, c.Today)
			if s == nil || !s.HoursKnown || !ok || i.Hours.Float() <= 0 {
				continue
			}
			run, _ := c.Lives.HoursOn(s, c.Today)
			if slices.ContainsFunc(c.Book.Deferrals, func(d *logbook.Deferral) bool { return intervalDeferred(c, d, s) }) {
				continue
			}
			over := 100 * (run - i.Hours.Float()) / i.Hours.Float()
			if over-c.Settings.IntervalTolerance.Float() <= rounding {
				continue
			}
			f := Finding{Place: s.FromPlace, About: aboutPath(c.Book, s.FromPlace.Path),
				Related: []Related{{i.Hours.Place, "the interval"}},
				Message: fmt.Sprintf("%s: %s has run %.0f h, interval %s: %.1f %% over, %s are tolerated", p, s.Holder, run,
					i.Hours, over, c.Settings.IntervalTolerance.Written),
				Next: "pull it at the next stop, or decide on a trial or a deferral that says how long"}
			f.About.Position, f.About.Holder, f.About.Nozzle = p, s.Holder, s.Nozzle
			c.Report(f)
		}
	},
}

// theInterval is the name under which a deferral lets a valve run beyond its interval.
const theInterval = "interval"

// intervalDeferred says that a deferral lets this stay run beyond its interval today: approved, with an end that has
// not come.
func intervalDeferred(c *Case, d *logbook.Deferral, s *logbook.ServicePeriod) bool {
	switch {
	case !d.Concerns(theInterval, c.check.Name), c.Book.Lacks(d) != "", c.Trail.Unapproved(d) != "":
		return false
	case !d.Open(c.Today), d.Until.Day != 0 && d.Until.Day < c.Today:
		return false
	}
	periods, _ := deferredPeriods(c, d)
	if !slices.Contains(periods, s) {
		return false
	}
	from := d.From.Day
	if from == 0 {
		from = s.From
	}
	run, _ := deferredRun(c, periods, from, c.Today)
	return !d.Hours.Quantity.Valid() || run <= d.Hours.Float()
}
