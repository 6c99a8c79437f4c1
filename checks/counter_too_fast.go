package checks

import (
	"fmt"

	"needlebook/logbook"
)

var counterTooFast = &Check{
	Name:    "counter-too-fast",
	Subject: OfEngine,
	Ends:    writing,
	Version: 1,
	Level:   History,
	Doc: "An engine's hour counter gained more hours than the days between two readings have, or gained hours while the " +
		"engine was declared stopped. A digit slipped, a day is wrong, tenths were read as hours, or the other " +
		"engine was read; " +
		"and every service life counted from it is wrong. Correct the reading or the day. Days compare within one day: a " +
		"reading may be of any hour of its day.",
	Source:  "a day has 24 hours",
	Example: "counter of ME2 gained 312 h from 2024-03-01 to 2024-03-12: at most 288 h with both days whole",
	Grade:   Action,
	Whole: eachCounter(func(c *Case, engine string, list []counted) {
		odd := backwards(list, c.Settings.CounterWithin.Float())
		for i := 1; i < len(list); i++ {
			_, known := odd[i]
			if _, before := odd[i-1]; known || before {
				continue // it stands against its neighbours already
			}
			tooFast(c, engine, list, i)
		}
	}),
}

func tooFast(c *Case, engine string, list []counted, i int) {
	a, b := list[i-1], list[i]
	f := Finding{Place: b.place, About: b.about, Related: []Related{{a.place, "the reading before"}},
		Next: "correct the reading or the day that is wrong"}
	if outlier(list, i, c.Settings.CounterWithin.Float()) < i {
		f.Place, f.About, f.Related = a.place, a.about, []Related{{b.place, "the reading after"}}
	}
	gained, can := b.total-a.total, most(a.day, b.day)
	stop := stoppedOver(c.Book, engine, a.day, b.day)
	switch {
	case gained > can:
		f.Message = fmt.Sprintf("counter of %s gained %.0f h from %s to %s: at most %.0f h with both days whole",
			engine, gained, a.day, b.day, can)
	case gained > c.Settings.CounterWithin.Float() && stop != nil:
		f.Message = fmt.Sprintf("counter of %s gained %.0f h from %s to %s, while the engine was declared stopped",
			engine, gained, a.day, b.day)
		f.Related = append(f.Related, Related{stop.Place, "declared stopped"})
	default:
		return
	}
	c.Report(f)
}

// stoppedOver is the declared stop of an engine that holds both days; nil where there is none.
func stoppedOver(b *logbook.Book, engine string, from, to logbook.Day) *logbook.Stopped {
	for i := range b.Vessel.Stopped {
		s := &b.Vessel.Stopped[i]
		if (!s.Engine.Stated() || s.Engine.Written == b.HostOf(engine)) && s.From.Day != 0 &&
			s.From.Day <= from && to <= s.To.Day {
			return s
		}
	}
	return nil
}

// stoppedDays are the days of a span during which an engine was declared stopped.
func stoppedDays(b *logbook.Book, engine string, from, to logbook.Day) int {
	days := 0
	for _, s := range b.Vessel.Stopped {
		if (!s.Engine.Stated() || s.Engine.Written == b.HostOf(engine)) && s.From.Day != 0 && s.To.Day != 0 {
			days += max(0, min(to, s.To.Day).Days(max(from, s.From.Day)))
		}
	}
	return min(days, to.Days(from))
}
