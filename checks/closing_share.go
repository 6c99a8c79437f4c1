package checks

import (
	"fmt"

	"needlebook/logbook"
)

var closingShare = &Check{
	Name:    "closing-share",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 1,
	Level:   Record,
	Doc: "The closing pressure is an unusual share of the opening pressure. Too near to it points to air, a slow gauge " +
		"or a needle that hardly lifts; too far below " +
		"it, to a needle that sticks or a gauge read late. Bleed, pump slowly, and read again.",
	Source:  "from memory; the two shares are the limits file's, or settings of the book",
	Example: `closes at 92 % of opening as left, usual 55 % to 90 %`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			opening, closing := t.Opening.Median(), t.Closing
			if !opening.Quantity.Valid() || !closing.Quantity.Valid() || closing.Compare(opening.Quantity) >= 0 {
				return
			}
			low, high := c.Settings.ClosingLow.Quantity, c.Settings.ClosingHigh.Quantity
			var lim *Limit
			e := c.inForce(o, t.Date.Day)
			if e.Closing.Span.Valid() {
				low, high = e.Closing.Low, e.Closing.High
				lim = c.limitOf(e.Closing)
			}
			share := 100 * closing.Float()
			if (!low.Valid() || share >= low.Float()*opening.Float()) &&
				(!high.Valid() || share <= high.Float()*opening.Float()) {
				return
			}
			usual := ""
			switch {
			case low.Valid() && high.Valid():
				usual = low.String() + " to " + high.String()
			case low.Valid():
				usual = "at least " + low.String()
			default:
				usual = "at most " + high.String()
			}
			c.Report(Finding{Place: closing.Place, Message: fmt.Sprintf("closes at %.3g %% of opening %s, usual %s",
				share/opening.Float(), state, usual), Limit: lim, About: about(o),
				Next: "bleed, pump slowly, and read again: gauge lag, air, or a needle that sticks or does not lift"})
		})
	},
	Grade: Advice,
}
