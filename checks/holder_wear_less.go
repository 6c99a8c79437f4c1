package checks

var holderWearLess = &Check{
	Name:    "holder-wear-less",
	Subject: OfHolder,
	Ends:    holderMeasured,
	Version: 2,
	Level:   History,
	Doc: "The wear of a holder's face is less than it was measured before, and the face was not ground. Wear does not " +
		"grow back: another holder was measured than the record names, or the gauge stood beside the worn place. The wear " +
		"adds to the lift of every nozzle on that holder. " +
		"Read the serial, and measure at several places.",
	Source:  "from memory",
	Example: "holder wear 0.02 mm of H-109 is 0.06 mm less than 0.08 mm before, face not ground",
	Grade:   Advice,
	Whole: func(c *Case) {
		lost(c, wears(c), c.Settings.WearLess,
			"holder wear %s of %s is %s less than %s before, face not ground",
			"holder wear %s before", "read the serial of the holder, and measure its face at several places")
	},
}
