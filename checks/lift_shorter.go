package checks

var liftShorter = &Check{
	Name:    "lift-shorter",
	Subject: OfNozzle,
	Ends:    nozzleMeasured,
	Version: 1,
	Level:   History,
	Doc: "The lift of a nozzle is shorter than it was measured before, and nothing was ground off it. A seat wears " +
		"deeper, never shallower: another nozzle was measured than the record names, there was dirt under the gauge or " +
		"carbon in the seat, or a digit was misread. " +
		"Clean, measure again, read the serial. A lift read too short hides one that is over its limit.",
	Source:  "from memory",
	Example: "lift 0.79 mm of N-2024 is 0.05 mm shorter than the 0.84 mm measured before, and nothing was ground",
	Grade:   Action,
	Whole: func(c *Case) {
		lost(c, lifts(c), c.Settings.LiftLess,
			"lift %s of %s is %s shorter than the %s measured before, and nothing was ground",
			"lift %s before", "clean, measure again, and read the serial of the nozzle")
	},
}
