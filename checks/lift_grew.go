package checks

import (
	"fmt"

	"needlebook/checks/recurring"
)

var liftGrew = &Check{
	Name:    "lift-grew",
	Subject: OfNozzle,
	Ends:    nozzleMeasured,
	Version: 2,
	Level:   History,
	Doc: "The lift of a nozzle grew much more in one service life than lifts do. Fast growth is a needle that hammers: " +
		"too much opening pressure, a weak cushion, hard deposits, or a seat that breaks up; what is left to the limit " +
		"goes in a fraction of the usual time. " +
		"Look at needle end, seat and holder face, and measure the other nozzles of the round. The finding shows what is " +
		"normal on this ship; once enough is known of it, a growth that lies within its own spread is left out, and so is " +
		"one within the uncertainty of the two readings. " +
		"Where a life was not measured, as much is allowed for each; a lapped or ground seat is left out.",
	Source:  "from memory",
	Example: "lift of N-2024 grew 0.16 mm to 0.91 mm in 1877 h; normal on this ship 0.01 mm (88 pairs)",
	Grade:   Advice,
	Whole: func(c *Case) {
		all := lifts(c)
		var usual []float64
		for _, m := range all {
			if !m.worked {
				usual = append(usual, m.is.Minus(m.was).Float()/float64(m.lives))
			}
		}
		normal, allowed := recurring.Habit(usual, 0), c.Settings.LiftMore.Float()
		if normal.N >= c.Settings.SetBaseline.Int() {
			allowed = max(allowed, normal.Median+c.Settings.SetDeviations.Value*normal.Spread)
		}
		for _, m := range all {
			grew := m.is.Minus(m.was)
			if m.worked || grew.Float()-max(allowed*float64(m.lives), m.apart) <= rounding {
				continue
			}
			hours := ""
			if s := c.Lives.ClosedBy(m.record); s != nil && s.HoursKnown && m.lives == 1 {
				hours = fmt.Sprintf(" in %.0f h", s.Hours)
			} else if m.lives > 1 {
				hours = fmt.Sprintf(" in %d service lives", m.lives)
			}
			c.Report(Finding{Place: m.is.Place, About: about(m.record),
				Related: []Related{{m.before, "lift " + m.was.String() + " before"}},
				Message: fmt.Sprintf("lift of %s grew %s to %s%s; normal on this ship %s (%s)", m.serial, m.is.Apart(m.was),
					m.is, hours,
					m.is.Like(normal.Median), numbered(normal.N, "pair", "pairs")),
				Evidence: m.knownTo(),
				Next:     "look at needle end, seat and holder face for hammering; measure the other nozzles of the round"})
		}
	},
}
