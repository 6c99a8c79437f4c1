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
	Version: 3,
	Level:   Record,
	Doc: "The exhaust was hot before the valve was pulled, and the pmax tells in which direction to look. With a low " +
		"pmax the fuel burns late (a dribbling or slow valve, timing, or the pump), or the cylinder has lost " +
		"compression: the two look alike, and only the compression pressure parts them: of the record, " +
		"or the last of the running data while this valve was in. With a high pmax the cylinder gets " +
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
			f.Message, f.Next = lateOrLeaking(signs, c.compression(o), c.Settings.PcompLow.Float())
		case pmax >= low.Float():
			f.Message, f.Next = signs+": too much fuel", "look at the fuel rack of this cylinder before blaming the valve"
		default:
			return
		}
		c.Report(f)
	},
	Grade: Note,
}

// compression is what is on record of the compression before a valve was pulled: as written, and in bar against the
// reference.
type compression struct {
	written string
	bar     float64
}

// compression is that of the record or, where it has none, the last of the running data while the valve was in; nil
// where there is none.
func (c *Case) compression(o *logbook.Overhaul) *compression {
	if p := o.AsFound.RunningBefore.Pcomp; p.Quantity.Valid() && p.Kind() == measure.Pressure {
		return &compression{fmt.Sprintf("pcomp %+g bar", p.Float()), p.Float()}
	}
	period := c.Book.Lives().ClosedBy(o)
	if period == nil {
		return nil
	}
	var last *compression
	day := period.From
	for _, r := range c.Book.Running {
		if r.Engine == period.Position.Engine && r.Cylinder.Written == period.Position.Cylinder && r.PcompDev.Valid &&
			r.Date.Day > period.From && r.Date.Day >= day && r.Date.Day <= period.To {
			day = r.Date.Day
			last = &compression{fmt.Sprintf("pcomp %+g bar on %s", r.PcompDev.Value, r.Date.Written), r.PcompDev.Value}
		}
	}
	return last
}

// lateOrLeaking says what a hot exhaust with a low pmax can mean: of late burning and lost compression only the
// compression pressure tells which.
func lateOrLeaking(signs string, pcomp *compression, low float64) (message, next string) {
	switch {
	case pcomp == nil:
		return signs + ": burns late, or compression is lost", "measure pcomp: it tells late burning from lost compression"
	case pcomp.bar <= -low:
		return fmt.Sprintf("%s, %s: compression is lost", signs, pcomp.written),
			"rings, liner, exhaust valve, charge air; of the injection valve this shows nothing"
	}
	return fmt.Sprintf("%s, %s: burns late", signs, pcomp.written), "a dribbling or slow valve, timing, or the pump"
}
