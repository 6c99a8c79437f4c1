package checks

import (
	"fmt"
	"strings"
)

var valvesRejectedInPosition = &Check{
	Name:    "valves-rejected-in-position",
	Subject: OfPosition,
	Ends:    valveLasted,
	Version: 1,
	Level:   History,
	Doc: "One position spoils whatever valve is fitted in it: early removals of different holders within a short time, " +
		"which neither the holder nor the fuel nor a life that was over explains. " +
		"The cause is then on the engine: the seat of the pocket, a ring left in, cooling, the pump, the pipe, or a " +
		"thermocouple that calls every valve bad. Look there before the next valve goes in. " +
		"A holder that eats nozzles is left out, and so are rounds fouled as a whole.",
	Source:  "common practice, no source",
	Example: "ME1-3 has had 2 early removals of different holders within 1480 h (H-101, H-115)",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, t := range c.Recurring().ByPosition() {
			o := t.Last.Overhaul
			var holders []string
			f := Finding{Place: o.Removed.Place, About: about(o),
				Next: "look at the pocket seat, rings, cooling, pump, pipe and thermocouple before the next valve goes in"}
			for _, r := range t.All {
				holders = append(holders, r.Holder)
				if r.Overhaul == o {
					continue
				}
				why := "pulled for its signs"
				if r.Renewed {
					why = "nozzle " + r.Nozzle + " rejected"
				}
				f.Related = append(f.Related, Related{r.Overhaul.Removed.Place,
					fmt.Sprintf("%s on %s: %s", r.Holder, r.Overhaul.Removed.Date, why)})
			}
			f.Message = fmt.Sprintf("%s has had %d early removals of different holders within %.0f h (%s)", t.Last.Position,
				len(t.All), t.Last.EngineHours-t.All[0].EngineHours, strings.Join(holders, ", "))
			c.Report(f)
		}
	},
}
