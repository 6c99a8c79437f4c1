package checks

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var pressureLossNotExplained = &Check{
	Name:    "pressure-loss-not-explained",
	Subject: OfHolder,
	Ends:    causeFound,
	Version: 1,
	Level:   Record,
	Doc: "The valve lost much of its opening pressure in service, and nobody looked at the spring. Wear alone explains " +
		"a few bar; a large loss is a spring that has " +
		"set, a broken end coil, or a lock nut that moved, and turning the screw hides it until the spring breaks. Look at " +
		"the spring and measure its free length. " +
		"Valves that were set with a gauge found wrong are left out.",
	Source:  "common practice, no source; the share is a setting of the book",
	Example: "opening pressure as found 285 bar is 17 % below 345 bar as left, spring not inspected",
	Holds:   wasFound,
	Each: func(c *Case, o *logbook.Overhaul) {
		found := o.AsFound.Opening.Median()
		last, ok := c.Lives.LeftBefore(o)
		if !ok || !found.Quantity.Valid() || !last.Opening.Valid() || !o.Built() && !o.Decided.Stated() {
			return
		}
		spring := o.Inspected.Spring.Present() || o.Inspected.Excused() || o.Measured.SpringLength.Present() ||
			o.Decided.Spring.Is("renew")
		share, much, _ := c.pressureLost(o)
		if spring || !much || setWrong(c, last) {
			return
		}
		c.Report(Finding{Place: found.Place,
			Message: fmt.Sprintf("opening pressure as found %s is %.0f %% below %s as left, spring not inspected", found,
				share, last.Opening),
			Next:    "look at the spring and its ends, measure its free length, and look at the lock nut",
			Related: []Related{{last.Place, "as left before"}}, About: about(o)})
	},
	Grade: Action,
}

// pressureLost is the share of its opening pressure that a valve lost in service, in per cent, and whether it is more
// than the book's setting. Two figures as written are compared as the product, so that a share on it is not over it.
func (c *Case) pressureLost(o *logbook.Overhaul) (share float64, much, known bool) {
	found := o.AsFound.Opening.Median().Quantity
	last, ok := c.Lives.LeftBefore(o)
	if !ok || !found.Valid() || !last.Opening.Valid() {
		return 0, false, false
	}
	left, lost := last.Opening.Float(), last.Opening.Float()-found.Float()
	return 100 * lost / left, 100*lost > c.Settings.DropUsed.Float()*left, true
}

// setWrong says that the valve was left by a gauge that was found wrong for that time.
func setWrong(c *Case, last logbook.LastLeft) bool {
	if last.Overhaul == nil {
		return false
	}
	i := c.Book.Instruments[last.Overhaul.AsLeft.Gauge.Written]
	if i == nil {
		return false
	}
	_, wrong := judging.WrongOn(i, last.Day)
	return wrong
}
