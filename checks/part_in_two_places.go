package checks

import (
	"cmp"
	"fmt"

	"needlebook/logbook"
)

var partInTwoPlaces = &Check{
	Name:    "part-in-two-places",
	Subject: OfHolder,
	Ends:    stamp,
	Version: 1,
	Level:   Vessel,
	Doc: "One holder or nozzle is fitted in two positions at the same time, or a nozzle is in two valves. A part can " +
		"sit in one cylinder only, so one entry is wrong, and whatever is counted from it (hours, wear, what is due) is " +
		"wrong for both cylinders. Look at the valve, read its stamp, and correct the entry that names the other one. " +
		"Where both valves have come out since, nothing can be read at the engine any more: the entry still wants its " +
		"correction, and is a matter of the record.",
	Source:  "common practice, no source",
	Example: "holder H-104 is fitted in ME1-4 and in ME1-5, since 2023-09-05",
	Grade:   Stop,
	Whole: func(c *Case) {
		for _, f := range c.Lives.Faults {
			if f.Kind == logbook.FaultTwoPlaces && c.known(f.Position.String()) && c.known(f.Other) {
				c.Report(inTwoPlaces(c, f))
			}
		}
		c.spareNozzlesTwice()
	},
}

// spareNozzlesTwice reports the ready spares whose nozzle is in another one too, or on an engine.
func (c *Case) spareNozzlesTwice() {
	in := map[string]logbook.Ready{}
	for _, r := range c.Lives.Rack(c.Today) {
		if r.Nozzle == "" || r.Overhaul == nil {
			continue
		}
		other, place := "", logbook.Place{}
		if x, twice := in[r.Nozzle]; twice {
			other, place = "in "+x.Holder, x.Overhaul.Nozzle.Left.Place
		}
		for _, s := range c.Lives.OfNozzle(r.Nozzle) {
			if s.From <= c.Today && (s.To == 0 || s.To > c.Today) && s.Holder != r.Holder && s.From > r.Since {
				other, place = "fitted in "+s.Position.String(), s.FromPlace
			}
		}
		in[r.Nozzle] = r
		if other == "" {
			continue
		}
		c.Report(Finding{Place: r.Overhaul.Nozzle.Left.Place, About: about(r.Overhaul), Grade: Action,
			Subject: Subject{OfNozzle, r.Nozzle}, Related: []Related{{place, other}},
			Message: fmt.Sprintf("nozzle %s is in %s, a ready spare, and %s", r.Nozzle, r.Holder, other),
			Next:    "read the stamps; a spare that gave its nozzle away is none: write what became of it"})
	}
}

func inTwoPlaces(c *Case, f logbook.LifeFault) Finding {
	part := Subject{OfHolder, f.Holder}
	if f.Holder == "" {
		part = Subject{OfNozzle, f.Nozzle}
	}
	fitted, out := false, Finding{Place: f.Place, Related: []Related{{f.Related, "fitted in " + f.Other}},
		Subject: part, About: aboutPath(c.Book, f.Place.Path)}
	out.About.Position, out.About.Holder, out.About.Nozzle = f.Position, f.Holder, f.Nozzle
	until := logbook.Day(0)
	for _, s := range c.Lives.ServicePeriods {
		if s.FromPlace != f.Place && s.FromPlace != f.Related {
			continue
		}
		if s.To == 0 || s.To > c.Today {
			fitted = true
		} else if until == 0 || s.To < until {
			until = s.To
		}
	}
	if fitted {
		out.Message = fmt.Sprintf("%s is fitted in %s and in %s, since %s", part, f.Other, f.Position, f.Day)
		out.Next = "look at both valves, read the stamp, and correct the entry that is wrong"
		return out
	}
	out.Subject = Subject{OfRecord, cmp.Or(out.About.Record, f.Place.Path)}
	out.Message = fmt.Sprintf("%s was fitted in %s and in %s at one time, from %s to %s", part, f.Other, f.Position,
		f.Day, until)
	out.Next = "both have come out since: see which valve did, and correct the entry that is wrong"
	return out
}
