package checks

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var coolingSpace = &Check{
	Name:    "cooling-space",
	Subject: OfNozzle,
	Ends:    coolingTight,
	Version: 2,
	Level:   Record,
	Doc: "The cooling space of a cooled nozzle leaks, or was not tested as the limits ask. A crack or a bad joint there " +
		"lets water into the cylinder or fuel into the cooling water, and nobody sees it on the bench without the test. " +
		"Fill it with liquid before it is put under pressure, never with air alone: what lets go under air flies. A nozzle " +
		"that leaks is condemned.",
	Source:  "common practice, no source; pressure and time are the book's own",
	Example: "cooling space as left: leaks, allowed tight at 10 bar for 5 min",
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		for _, key := range []string{keys.AsFoundCooling, keys.AsLeftCooling} {
			v := c.Judged.Find(o, key)
			switch v.Result {
			case judging.Beyond:
				c.Report(onVerdict(o, v, v.Name+": "+v.Written+", allowed "+v.LimitText,
					"not ready: find the leak; renew a joint, condemn a nozzle that is cracked"))
			case judging.NotProven:
				f := onVerdict(o, v, v.Name+" is not proven: "+v.Why, "test it again as the limits state, and write both")
				f.Grade = Action
				c.Report(f)
			case judging.NotMeasured:
				if v.Why != "" || o.AsLeft.Excused() || !testBegun(o, key) {
					continue
				}
				f := onVerdict(o, v, v.Name+" is not tested, asked for is "+v.LimitText,
					"test it, or write why not: cooling: not tested (why)")
				f.Grade, f.Lacks = Action, "test of the cooling space"
				if f.Place.Line == 0 {
					f.Place = o.AsLeft.Place
				}
				c.Report(f)
			}
		}
	},
	Grade: Stop,
}

// testBegun says that the test which a key is of has begun: a day or a reading is written. Blanks are none yet.
func testBegun(o *logbook.Overhaul, key string) bool {
	t := &o.AsFound
	if key == keys.AsLeftCooling {
		t = &o.AsLeft
	}
	return t.Date.Present() || t.Opening.Present() || t.Seat.State.Present() || t.LeakDown.Time.Present()
}
