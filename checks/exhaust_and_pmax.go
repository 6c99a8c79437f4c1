package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var exhaustAndPmax = &Check{
	Name:    "exhaust-and-pmax",
	Subject: OfPosition,
	Ends:    valveChanged,
	Version: 1,
	Level:   Record,
	Doc: "The exhaust was hot before the valve was pulled, and the pmax tells in which direction to look. With a low " +
		"pmax the fuel burns late: a dribbling or slow " +
		"valve, timing, or the pump. With a high pmax the cylinder gets too much fuel: look at the rack first. This is a " +
		"pointer, not a verdict.",
	Source:  "common practice, no source; thresholds are the limits file's and the book's settings",
	Example: `exhaust +37 K and pmax -6 bar before: burns late`,
	Holds:   wasFound,
	Each: func(c *Case, o *logbook.Overhaul) {
		s := o.AsFound.RunningBefore
		low := c.Settings.PmaxLow
		if !deviates(s, c.inForce(o, o.AsFound.Date.Day).Exhaust) || !s.Pmax.Quantity.Valid() ||
			s.Pmax.Kind() != measure.Pressure {
			return
		}
		f := Finding{Place: s.Exhaust.Place, About: about(o)}
		signs := fmt.Sprintf("exhaust %+g K and pmax %+g bar before", s.Exhaust.Float(), s.Pmax.Float())
		switch pmax := s.Pmax.Float(); {
		case pmax <= -low.Float():
			f.Message, f.Next = signs+": burns late", "a dribbling or slow valve, timing, or the pump"
		case pmax >= low.Float():
			f.Message, f.Next = signs+": too much fuel", "look at the fuel rack of this cylinder before blaming the valve"
		default:
			return
		}
		c.Report(f)
	},
	Grade: Note,
}
