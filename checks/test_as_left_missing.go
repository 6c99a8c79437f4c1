package checks

import (
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var testAsLeftMissing = &Check{
	Name:    "test-as-left-missing",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   History,
	Doc: "A valve was fitted, or put in the spares rack, without a part of the test as left that the limits ask for. A " +
		"reason explains the gap and does not fill it. Test it before it is fitted; watch one that runs already.",
	Source:  "common practice, no source",
	Example: `fitted with no leak-down as left (no time in the notes)`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		where, next := "fitted", "watch its exhaust beside the other cylinders, and test it at the first chance"
		switch {
		case !o.AsLeft.Stated() || o.Received.Stated() || o.Landed.Stated() || o.Decided.Holder.Is("condemn"):
			return
		case o.Fitted.Stated():
		case o.Stored.Stated():
			where, next = "in the spares rack", "test it before it is fitted, and write the test down"
		default:
			return
		}
		var missing []string
		why := ""
		for _, t := range []struct{ key, name string }{{keys.AsLeftOpeningPressure, "opening pressure"},
			{keys.AsLeftSeatState, "seat test"}, {keys.AsLeftLeakDownTime, "leak-down"}, {keys.AsLeftSpray, "spray test"}} {
			v := c.Judged.Find(o, t.key)
			unread := v.Written != "" && v.Why == "" // which is told where it is written
			if v.LimitText != "" && !unread && (v.Result == judging.None || v.Result == judging.NotMeasured) {
				missing, why = append(missing, t.name), v.Why
			}
		}
		if len(missing) == 0 {
			return
		}
		message := where + " with no " + strings.Join(missing, " and no ") + " as left"
		if why != "" && len(missing) == 1 {
			message += " (" + why + ")"
		}
		c.Report(Finding{Place: o.AsLeft.Place, About: about(o), Message: message, Next: next, Since: o.Day(),
			Lacks: "test as left"})
	},
	Grade: Action,
}
