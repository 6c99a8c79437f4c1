package checks

import (
	"fmt"

	"needlebook/checks/recurring"
)

var positionLosesPressure = &Check{
	Name:    "position-loses-pressure",
	Subject: OfPosition,
	Ends:    valveLasted,
	Version: 4,
	Level:   History,
	Doc: "Valves of one position come out with an opening pressure well off what this ship's valves show, whatever " +
		"holder was there; where one holder was there all the time, both are told. It is a " +
		"trend to know of, no fault of any one valve: heat, a pocket that cools badly or a pump that beats the spring " +
		"works on whatever is fitted there. " +
		"Look at cooling and pocket of that cylinder, and compare the exhaust temperature. Position, holder, gauge and " +
		"chance are compared with one another; what is within the most permissible errors of the gauges and their " +
		"reading is not named. " + measuredPressure,
	Source:  recurringSource,
	Example: "ME1-3: 9 valves came out 18 ± 6 bar lower than this ship's valves",
	Grade:   Note,
	Whole: func(c *Case) {
		all := c.Recurring()
		for i := range all.Pressures {
			p := &all.Pressures[i]
			if p.Kind != recurring.ByPosition {
				continue
			}
			last := all.Visits[p.Visits[p.LastOff()]].Overhaul
			found := last.AsFound.Opening.Median()
			way := "lower"
			if p.Bar > 0 {
				way = "higher"
			}
			f := Finding{Place: last.AsFound.Opening.Place, About: about(last), Related: pressuresMoved(all, p),
				Next: "look at cooling and pocket of the cylinder, and at its exhaust temperature",
				Message: fmt.Sprintf("%s: %s came out %s %s than this ship's valves", p.Name, numbered(len(p.Visits), "valve",
					"valves"), offBy(found.Quantity, p), way),
				Evidence: []string{"k = 2, against this ship's own loss in as many hours", chanceLine(p.Chance, false, p.Asked)}}
			if p.Rival != nil {
				f.Evidence = append(f.Evidence, fmt.Sprintf("%s %s explains it as well", p.Rival.Kind, p.Rival.Name))
				f.Next = decides(p.Kind, p.Rival.Kind)
			}
			c.Report(f)
		}
	},
}
