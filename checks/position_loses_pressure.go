package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var positionLosesPressure = &Check{
	Name:    "position-loses-pressure",
	Subject: OfPosition,
	Ends:    valveLasted,
	Version: 1,
	Level:   History,
	Doc: "Valves of one position come out with a low opening pressure far more often than those of the others. It is a " +
		"trend to know of, no fault of any one valve: heat, a pocket that cools badly or a pump that beats the spring " +
		"works on whatever sits there. " +
		"Look at cooling and pocket of that cylinder, and compare the exhaust temperature. Valves set or tested with a " +
		"gauge on record as wrong are left out, and so are parts condemned in the end.",
	Source:  "from memory",
	Example: "ME1-3: 3 valves came out below the opening pressure that asks for a cause",
	Grade:   Note,
	Whole: func(c *Case) {
		low := map[logbook.Position][]*logbook.Overhaul{}
		total := 0
		for _, s := range c.Recurring().Shifts {
			o := s.Overhaul
			if s.FoundWrong != nil || s.LeftWrong != nil || s.Settled ||
				!c.Judged.Find(o, keys.AsFoundOpeningPressure).Result.Out() {
				continue
			}
			p := logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
			low[p] = append(low[p], o)
			total++
		}
		positions := c.Book.Positions()
		for _, p := range positions {
			n := len(low[p])
			others := float64(total-n) / float64(max(len(positions)-1, 1))
			if n < c.Settings.SetLeast.Int() || float64(n) <= c.Settings.LossTimes.Value*others {
				continue
			}
			last := low[p][n-1]
			f := Finding{Place: last.AsFound.Opening.Place, About: about(last),
				Next:     "look at cooling and pocket of the cylinder, and at its exhaust temperature",
				Message:  fmt.Sprintf("%s: %d valves came out below the opening pressure that asks for a cause", p, n),
				Evidence: []string{fmt.Sprintf("the other positions had %.1f such valves on the mean", others)}}
			for _, o := range low[p][:n-1] {
				f.Related = append(f.Related, Related{o.AsFound.Opening.Place, fmt.Sprintf("%s on %s: %s", o.Holder, o.Removed.Date,
					o.AsFound.Opening.Median())})
			}
			c.Report(f)
		}
	},
}
