package checks

import (
	"cmp"
	"fmt"

	"needlebook/logbook"
)

var fitAndRemoval = &Check{
	Name:    "fit-and-removal",
	Subject: OfPosition,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "Fittings and removals of one position do not follow from one another: another valve came out than went in, a " +
		"valve went in where one still sat, came out of an empty place, or the engine ran with a place that has no valve " +
		"on record. " +
		"One entry is wrong, or one is missing; until it is found, the hours of both valves are not known. The two entries " +
		"stand side by side: read the stamps, ask who was there, and correct or add the entry. " +
		"Cylinder heads are held to the same: what was found about a pocket goes with its head.",
	Source:  "common practice, no source",
	Example: "ME1-5: holder H-105 came out on 2024-01-24, H-104 was fitted on 2023-09-05",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, f := range c.Lives.Faults {
			if message := oddLife(c, f); message != "" && c.known(f.Position.String()) {
				c.Report(atOdds(c, f.Place, f.Related, f.Position, f.Holder, message))
			}
		}
		for _, p := range c.Book.Positions() {
			emptyPlaces(c, p)
		}
		headsFollow(c)
	},
}

// oddLife puts a fault of the service lives into words; empty for those that another check says.
func oddLife(c *Case, f logbook.LifeFault) string {
	var from logbook.Day
	for _, s := range c.Lives.InPosition(f.Position) {
		if s.FromPlace != f.Related {
			continue
		}
		from = s.From
		if f.Kind == logbook.FaultBackwards && s.FromTotal-s.ToTotal > c.Settings.CounterWithin.Float() {
			return "" // the counter itself runs backwards: counter-backwards says it
		}
	}
	switch f.Kind {
	case logbook.FaultOther:
		return fmt.Sprintf("%s: %s came out on %s, %s was fitted on %s", f.Position, logbook.Called("holder", f.Holder),
			f.Day, cmp.Or(f.Other, "one without a serial"), from)
	case logbook.FaultOccupied:
		return fmt.Sprintf("%s: %s was fitted on %s, but %s, fitted on %s, has not come out", f.Position,
			logbook.Called("holder", f.Holder), f.Day, cmp.Or(f.Other, "one without a serial"), from)
	case logbook.FaultNothing:
		return fmt.Sprintf("%s: %s came out on %s, but no valve is on record there", f.Position,
			logbook.Called("holder", f.Holder), f.Day)
	case logbook.FaultBackwards:
		return fmt.Sprintf("%s: %s came out on %s at fewer engine hours than it was fitted at", f.Position,
			logbook.Called("holder", f.Holder), f.Day)
	}
	return ""
}

func atOdds(c *Case, place, related logbook.Place, p logbook.Position, holder, message string) Finding {
	f := Finding{Place: place, Message: message, About: aboutPath(c.Book, place.Path),
		Next: "read the stamps, ask who was there, and correct the entry that is wrong or add the one that is missing"}
	f.About.Position, f.About.Holder = p, holder
	if related != (logbook.Place{}) {
		f.Related = []Related{{related, "the earlier entry"}}
	}
	if all := c.Lives.InPosition(p); len(all) == 0 || all[len(all)-1].FromPlace != place &&
		all[len(all)-1].ToPlace != place { // another valve was fitted since: only the paper is wrong now
		f.Subject = Subject{OfRecord, cmp.Or(f.About.Record, place.Path)}
	}
	return f
}

// emptyPlaces finds the times in which an engine ran with nothing on record in a position, and nozzles that changed on
// the way.
func emptyPlaces(c *Case, p logbook.Position) {
	periods := c.Lives.InPosition(p)
	within := c.Settings.CounterWithin.Float()
	for i, s := range periods {
		if o := s.Closed; o != nil && s.ReadNozzle != "" && o.Nozzle.Found.Stated() &&
			s.ReadNozzle != o.Nozzle.Found.Written && s.ReadHolder == o.Holder.Written {
			c.Report(atOdds(c, o.Nozzle.Found.Place, s.FromPlace, p, o.Holder.Written,
				fmt.Sprintf("%s: nozzle %s came out of holder %s on %s, %s was fitted with it on %s",
					p, o.Nozzle.Found, o.Holder, s.To, s.ReadNozzle, s.From)))
		}
		if s.To == 0 || s.Closed == nil || !s.Closed.Removed.Counter.Quantity.Valid() {
			continue
		}
		if i+1 < len(periods) {
			next := periods[i+1]
			if ran := next.FromTotal - s.ToTotal; next.FromTotal > 0 && ran > within && !emptyRemoval(c, p, s.To, next.From) {
				c.Report(empty(s, atOdds(c, next.FromPlace, s.ToPlace, p, next.ReadHolder,
					fmt.Sprintf("%s has no valve on record from %s to %s, while the engine ran %.0f h", p, s.To, next.From, ran))))
			}
			continue
		}
		if total, ok := c.Book.TotalOn(p.Engine, c.Today); ok && s.To < c.Today && total-s.ToTotal > within &&
			!emptyRemoval(c, p, s.To, c.Today) {
			c.Report(empty(s, atOdds(c, s.ToPlace, logbook.Place{}, p, s.Holder,
				fmt.Sprintf("%s has no valve on record since %s, while the engine ran %.0f h", p, s.To, total-s.ToTotal))))
		}
	}
}

// emptyRemoval says that a removal from the empty place is on record in that time: the same gap, and it has its own
// finding.
func emptyRemoval(c *Case, p logbook.Position, from, to logbook.Day) bool {
	for _, f := range c.Lives.Faults {
		if f.Kind == logbook.FaultNothing && f.Position == p && f.Day >= from && f.Day <= to {
			return true
		}
	}
	return false
}

// empty is a finding that says that a position is empty since a service period ended.
func empty(s *logbook.ServicePeriod, f Finding) Finding {
	f.says, f.since = emptyPosition, s.To
	return f
}
