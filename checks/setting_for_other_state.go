package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var settingForOtherState = &Check{
	Name:    "setting-for-other-state",
	Subject: OfHolder,
	Ends:    setAgain,
	Version: 1,
	Level:   Record,
	Doc: "A valve with new parts is set to the pressure of used ones, or the reverse. New parts are set higher because " +
		"spring, spring seats and needle bed in " +
		"during the first hours; set to the used value, the valve opens too low soon after. Set it to the value for the " +
		"state of its parts. New is a nozzle or holder without running hours, or a renewed spring.",
	Source:  "common practice, no source; the bands are the book's own",
	Example: `opening pressure as left 320 bar is the setting of used parts; new parts: 345 +10/-0 bar`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.AsLeftOpeningPressure)
		if _, other := settingOfOtherState(c, o, v); !other || otherWentBack(o) {
			return
		}
		state := "used"
		if v.Class != logbook.New {
			state = "new"
		}
		c.Report(onVerdict(o, v, v.Name+" "+v.Written+" is the setting of "+state+" parts; "+v.Class.String()+" parts: "+
			v.Span.String(),
			"was the state of the parts forgotten, or is a serial wrong? set it to the value for its parts"))
	},
	Grade: Stop,
}
