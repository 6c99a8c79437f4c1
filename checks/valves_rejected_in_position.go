package checks

import "needlebook/checks/recurring"

var valvesRejectedInPosition = &Check{
	Name:    "valves-rejected-in-position",
	Subject: OfPosition,
	Ends:    valveLasted,
	Version: 3,
	Level:   History,
	Doc: "One position spoils whatever valve is fitted in it: different holders failed there, far more often than " +
		"elsewhere on this ship. " +
		"The cause is then on the engine: the seat of the pocket, a ring left in, cooling, the pump, the pipe, or a " +
		"thermocouple that calls every valve bad. Look there before the next valve goes in. " +
		"Holder, position, cylinder head, nozzle batch, round, fuel and chance are compared with one another on the " +
		"ship's own share of failures, and by the hours that each ran as far as this ship's valves fail more with them; " +
		"the position is named where two holders or more failed in it. A head that takes " +
		"the fault with it to another cylinder is named itself. " + measuredPosition,
	Source:  recurringSource,
	Example: "position ME1-3: 4 of 4 valves failed, of the others 9 of 170",
	Grade:   Action,
	Whole: func(c *Case) {
		kinds := []recurring.Kind{recurring.ByPosition, recurring.ByHead}
		c.explainedBy(kinds, func(_ *recurring.Failures, out Finding) {
			if out.Next == "" {
				out.Next = "look at the pocket seat, rings, cooling, pump, pipe and thermocouple before the next valve goes in"
			}
			c.Report(out)
		})
	},
}
