package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var settingOutOfBand = &Check{
	Name:    "setting-out-of-band",
	Subject: OfHolder,
	Ends:    setAgain,
	Version: 1,
	Level:   Record,
	Doc: "The opening pressure as left lies outside the band for the state of the parts. Set too low the valve opens " +
		"early and dribbles, too high it overloads " +
		"pump and seat, and either way this cylinder burns otherwise than its neighbours. Set it again. Where the reading " +
		"is out by less than the uncertainty of its gauge, an answer is asked for instead.",
	Source:  "common practice, no source; the band is the book's own",
	Example: `opening pressure as left 298 bar is 22 bar below the band 320 to 330 bar (used)`,
	Holds:   wasLeft,
	Each: func(c *Case, o *logbook.Overhaul) {
		if v := c.Judged.Find(o, keys.ReceivedOpenedAboardOpeningPressure); v.Result == judging.Beyond {
			c.Report(onVerdict(o, v, beyond(v), "open it again; then set it on board, or send it back with these readings"))
		}
		v := c.Judged.Find(o, keys.AsLeftOpeningPressure)
		if _, other := settingOfOtherState(c, o, v); !v.Result.Out() || other || mistaken(c, o)[v.Place] || exchanged(o, v) {
			return // each of these has a finding of its own, and nothing is known of the true setting
		}
		f := onVerdict(o, v, beyond(v), "set it again, tighten the lock nut and read again")
		if v.Result == judging.BeyondDoubt {
			f.Grade, f.Next = Action,
				"set it again, or read it with a better gauge: it is out by less than the uncertainty of the reading"
		}
		c.Report(f)
	},
	Grade: Stop,
}

// exchanged says that the closing pressure stands where the opening pressure belongs, and the other way round.
func exchanged(o *logbook.Overhaul, v *judging.Verdict) bool {
	closing := o.AsLeft.Closing.Quantity
	return closing.Valid() && closing.Kind() == v.Span.Kind() && v.Span.Side(closing) == 0 && v.Value.Compare(closing) < 0
}

// settingOfOtherState gives the band of the other state of parts, new or used, where the valve was set to that one.
func settingOfOtherState(c *Case, o *logbook.Overhaul, v *judging.Verdict) (logbook.Band, bool) {
	if !v.Result.Out() {
		return logbook.Band{}, false
	}
	e := c.inForceAsLeft(o, o.LeftOn())
	other := e.Opening.New
	if v.Class == logbook.New {
		other = e.Opening.Used
	}
	return other, other.Span.Valid() && other.Span.Kind() == v.Value.Kind() && other.Span.Side(v.Value) == 0
}
