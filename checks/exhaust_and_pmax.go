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
	Version: 2,
	Level:   Record,
	Doc: "The exhaust was hot before the valve was pulled, and the pmax tells in which direction to look. With a low " +
		"pmax the fuel burns late (a dribbling or slow valve, timing, or the pump), or the cylinder has lost " +
		"compression: the two look alike, and only the compression pressure parts them. With a high pmax the cylinder gets " +
		"too much fuel: look at the rack first. This is a pointer, not a verdict.",
	Source:  "common practice, no source; thresholds are the limits file's and the book's settings",
	Example: `exhaust +37 K and pmax -6 bar before: burns late, or compression is lost`,
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
			f.Message, f.Next = lateOrLeaking(signs, s.Pcomp, c.Settings.PcompLow.Float())
		case pmax >= low.Float():
			f.Message, f.Next = signs+": too much fuel", "look at the fuel rack of this cylinder before blaming the valve"
		default:
			return
		}
		c.Report(f)
	},
	Grade: Note,
}

// lateOrLeaking says what a hot exhaust with a low pmax can mean: of late burning and lost compression only the
// compression pressure tells which.
func lateOrLeaking(signs string, pcomp logbook.Amount, low float64) (message, next string) {
	switch {
	case !pcomp.Quantity.Valid() || pcomp.Kind() != measure.Pressure:
		return signs + ": burns late, or compression is lost", "measure pcomp: it tells late burning from lost compression"
	case pcomp.Float() <= -low:
		return fmt.Sprintf("%s, pcomp %+g bar: compression is lost", signs, pcomp.Float()),
			"rings, liner, exhaust valve, charge air; of the injection valve this shows nothing"
	}
	return fmt.Sprintf("%s, pcomp %+g bar: burns late", signs, pcomp.Float()),
		"a dribbling or slow valve, timing, or the pump"
}
