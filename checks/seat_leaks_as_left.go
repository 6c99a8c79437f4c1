package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var seatLeaksAsLeft = &Check{
	Name:    "seat-leaks-as-left",
	Subject: OfNozzle,
	Ends:    seatTight,
	Version: 1,
	Level:   Record,
	Doc: "The seat drips in the test after setting. Held below opening pressure a good seat stays dry or turns damp; a " +
		"drop is leakage, and a dribbling valve burns " +
		"trumpets on its tip, dilutes the lubricating oil and smokes. It may not go in the spares rack as ready: clean and " +
		"test again, or renew the nozzle.",
	Source:  "common practice, no source: no drop while the test pressure is held",
	Example: `seat as left: drop, allowed at most damp`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, keys.AsLeftSeatState)
		drips := v.Result == judging.NoLimitThen && o.AsLeft.Seat.State.Is("drop", "runs")
		if !v.Result.Out() && !drips {
			return
		}
		message := v.Name + ": " + v.Written + ", allowed " + v.LimitText
		if drips {
			message = v.Name + ": " + v.Written + ", which is leakage; the limits of that day say nothing of it"
		}
		c.Report(onVerdict(o, v, message,
			"not ready: wipe the tip and watch again, then clean and test again, or renew the nozzle"))
	},
	Grade: Stop,
}
