package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var leakDownBetter = &Check{
	Name:    "leak-down-better",
	Subject: OfNozzle,
	Ends:    nozzleTested,
	Version: 4,
	Level:   History,
	Doc: "The leak-down is longer as found than the valve was left with, by more than the two tests differ, far " +
		"longer than the same nozzle was left with afterwards, or so much shorter that cleaning does not explain " +
		"it. Guides do not grow tighter in service: deposits in the " +
		"guide, a needle that sticks, another valve than the record says, " +
		"or an as-left time that was not timed. Let the needle fall, read the stamp, and write as-left times in tenths as " +
		"the watch shows them. Times are compared on one bench, over one fall of pressure, at one oil temperature.",
	Source:  "from memory",
	Example: "leak-down as found 15.0 s exceeds 8.0 s as left of 2023-11-22",
	Grade:   Advice,
	Whole: func(c *Case) {
		c.leftOtherwise()
		for _, l := range c.Recurring().LeakChanges() {
			o := l.Overhaul
			// of two tests on one bench, taken as independent: what they have in common makes their difference better known
			known := math.Hypot(c.Judged.Find(o, keys.AsFoundLeakDownTime).U, c.Judged.Find(l.Before, keys.AsLeftLeakDownTime).U)
			if !l.Longer(l.Left + max(l.Left*c.Settings.LeakBetter.Float()/100, known) + rounding) {
				continue
			}
			found, left := o.AsFound.LeakDown.Time.String(), l.Before.AsLeft.LeakDown.Time.String()
			if l.Referred && o.AsFound.LeakDown.Time.Float() <= l.Before.AsLeft.LeakDown.Time.Float() {
				found, left = fmt.Sprintf("%s (%.1f s referred)", found, l.Found), fmt.Sprintf("%s (%.1f s)", left, l.Left)
			}
			f := Finding{Place: o.AsFound.LeakDown.Time.Place, About: about(o),
				Related:  []Related{{l.Before.AsLeft.LeakDown.Time.Place, "left with"}},
				Message:  fmt.Sprintf("leak-down as found %s exceeds %s as left of %s", found, left, dateOr(l.Before)),
				Evidence: []string{fmt.Sprintf("%.0f %% of it", l.Share())},
				Next:     "let the needle fall, read the stamp on the holder; was the as-left time taken with the watch?"}
			if l.Referred {
				f.Evidence = append(f.Evidence, referred(l))
			}
			if known > 0 {
				f.Evidence = append(f.Evidence, fmt.Sprintf("the difference is known to ±%.1f s (k = 2)", known))
			}
			c.Report(f)
		}
	},
}

// leftOtherwise reports, once a round, the times as found that are far longer than the same nozzle was left with, or so
// much shorter that cleaning alone does not explain it.
func (c *Case) leftOtherwise() {
	least, most := c.Settings.LeakLeftLeast.Float()/100, c.Settings.LeakLeftMost.Float()/100
	for _, r := range c.Rounds {
		var f Finding
		n := 0
		for _, o := range r.Overhauls {
			found, left := o.AsFound.LeakDown.Time, o.AsLeft.LeakDown.Time
			if !o.NozzleReturns() || o.Nozzle.Found.Written != o.Nozzle.Left.Written || !found.Valid() || !left.Valid() ||
				found.Float() <= 0 {
				continue
			}
			if share := left.Float() / found.Float(); share >= least-rounding && (share <= most+rounding || mended(o)) {
				continue
			}
			if n++; n == 1 {
				f = Finding{Place: found.Place, About: about(o),
					Message: fmt.Sprintf("leak-down %s as found, %s as left with the same nozzle: %.0f %%", found.Quantity,
						left.Quantity, 100*left.Float()/found.Float()),
					Next: "look at the sheet, and correct the wrong one of the two"}
			}
			f.Related = append(f.Related, Related{left.Place, "as left"})
		}
		if n > 1 {
			f.Evidence = []string{"likewise " + numbered(n-1, "valve", "valves") + " more of the round"}
		}
		if n > 0 {
			c.Report(f)
		}
	}
}

// mended says that more was done to a nozzle than cleaning, or that its seat leaked as found, which shortens the time.
func mended(o *logbook.Overhaul) bool {
	return !o.Decided.Nozzle.Is("reuse", "clean") || !o.AsFound.Seat.State.Is("dry", "damp")
}
