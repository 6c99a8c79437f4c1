package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var keepForClaim = &Check{
	Name:    "keep-for-claim",
	Subject: OfNozzle,
	Ends:    &End{Ways: []Way{{By: "the claim is decided", fact: claimDecided}}, Never: true},
	Version: 1,
	Level:   Record,
	Doc: "A nozzle failed early in its life, and neither a photograph nor a note says that it is kept. A claim, or the " +
		"search for a bad fuel, needs the pair untouched and " +
		"a picture of the tip, and both are gone with the first cleaning. Bag needle and body together, photograph the " +
		"tip, and note the fuel.",
	Source:  "our own advice; the share of life is a setting of the book",
	Example: `nozzle N-2022 rejected after 932 h, 12 % of its life of 7800 h, and nothing kept`,
	Each: func(c *Case, o *logbook.Overhaul) {
		d, serial := o.Decided, o.Nozzle.Found.Written
		life := c.inForce(o, o.AsFound.Date.Day).NozzleLife.Renew
		if !d.Nozzle.Is("renew", "condemn") || d.Keep.Present() || len(o.Photos.Each) > 0 || !life.Quantity.Valid() ||
			life.Kind() != measure.Hours || serial == "" {
			return
		}
		hours, known := c.Lives.NozzleHours(serial, o.Day())
		share := 100 * hours / life.Float()
		if !known || share >= c.Settings.EarlyReject.Float() {
			return
		}
		c.Report(Finding{Place: d.Nozzle.Place,
			Message: fmt.Sprintf("nozzle %s rejected after %.0f h, %.0f %% of its life of %s, and nothing kept", serial, hours,
				share, life.Quantity), About: about(o),
			Limit: c.limitAt(life.Leaf),
			Next: "bag the pair untouched, photograph the tip, note the fuel in use; write where it is kept under " +
				"decided: keep"})
	},
	Grade: Advice,
}
