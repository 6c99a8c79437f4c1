package checks

import (
	"fmt"
	"sort"

	"needlebook/logbook"
)

var highExhaustNotFollowedUp = &Check{
	Name:    "high-exhaust-not-followed-up",
	Subject: OfPosition,
	Ends:    valveOut,
	Version: 1,
	Level:   History,
	Doc: "The exhaust temperature of one cylinder has stood away from its own reference, at a load at which it counts, " +
		"for many hours, and its valve was not pulled. A hot cylinder is the first sign of a tired valve, of an old ring " +
		"left in the pocket, of a late pump; a cold one of a nozzle that does not open. " +
		"Left alone it costs fuel, a valve seat or a piston. Pull the valve, or look at pump, timing and thermocouple and " +
		"write what was found. The reference is the cylinder's own, never the mean of the day.",
	Source:  "from memory; the threshold and the load are the book's own limits",
	Example: "ME2-6 was +26 to +29 K from its reference for 1480 h from 2023-12-18 on, its valve not pulled",
	Grade:   Advice,
	Whole: func(c *Case) {
		rows := signsByPosition(c)
		for _, p := range c.Book.Positions() {
			c.unanswered(p, rows[p])
		}
	},
}

// signAt is one exhaust deviation of a position, at a load at which it counts.
type signAt struct {
	day   logbook.Day
	dev   float64
	look  float64 // threshold in force that day, K
	place logbook.Place
}

// signsByPosition gathers the exhaust deviations from the running data and from after each fitting, by day, where a
// threshold is stated and the load is known and high enough.
func signsByPosition(c *Case) map[logbook.Position][]signAt {
	all := map[logbook.Position][]signAt{}
	add := func(p logbook.Position, day logbook.Day, load, dev float64, place logbook.Place) {
		l := c.Book.LimitsOf(p.Engine)
		if l == nil || day == 0 {
			return
		}
		e, _ := l.On(day)
		if e.Exhaust.Look.Quantity.Valid() && load >= e.Exhaust.Load.Float() {
			all[p] = append(all[p], signAt{day, dev, e.Exhaust.Look.Float(), place})
		}
	}
	for _, r := range c.Book.Running {
		if r.Dev.Valid && r.Load.Valid {
			add(logbook.Position{Engine: r.Engine, Cylinder: r.Cylinder.Written}, r.Date.Day, r.Load.Value, r.Dev.Value,
				r.Dev.Place)
		}
	}
	for _, o := range c.Book.Overhauls {
		if s := o.RunningAfter; s.Exhaust.Quantity.Valid() && s.Load.Quantity.Valid() && o.Fitted.Stated() {
			add(logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}, s.Date.Day,
				s.Load.Float(), s.Exhaust.Float(), s.Exhaust.Place)
		}
	}
	for _, list := range all {
		sort.SliceStable(list, func(i, j int) bool { return list[i].day < list[j].day })
	}
	return all
}

// unanswered follows the readings of one position: while they stand on one side of the threshold and no valve is
// pulled, they are one time.
func (c *Case) unanswered(p logbook.Position, signs []signAt) {
	for i := 0; i < len(signs); {
		s := signs[i]
		if s.dev <= s.look && s.dev >= -s.look {
			i++
			continue
		}
		pulled := c.pulledAfter(p, s.day)
		j, least, most := i, s.dev, s.dev
		for j+1 < len(signs) && (pulled == 0 || signs[j+1].day < pulled) {
			n := signs[j+1]
			if n.dev <= n.look && n.dev >= -n.look || (n.dev > 0) != (s.dev > 0) {
				break
			}
			j, least, most = j+1, min(least, n.dev), max(most, n.dev)
		}
		// It lasted to the last such reading; where no reading says that it ended, to the removal or to today.
		end := signs[j].day
		if j+1 == len(signs) || pulled != 0 && signs[j+1].day >= pulled {
			if end = c.Today; pulled != 0 {
				end = pulled
			}
		}
		c.reportSigns(p, s, signs[j], end, least, most)
		i = j + 1
	}
}

func (c *Case) reportSigns(p logbook.Position, first, last signAt, end logbook.Day, least, most float64) {
	from, ok := c.Book.TotalOn(p.Engine, first.day)
	to, ok2 := c.Book.TotalOn(p.Engine, end)
	if !ok || !ok2 || to-from-c.Settings.ActWithin.Float() <= rounding {
		return
	}
	span := fmt.Sprintf("%+.0f K", least)
	if least != most {
		span = fmt.Sprintf("%+.0f to %+.0f K", least, most)
	}
	f := Finding{Place: first.place, About: About{Position: p},
		Message: fmt.Sprintf("%s was %s from its reference for %.0f h from %s on, its valve not pulled", p, span, to-from,
			first.day),
		Next: "pull the valve, or look at pump, timing and thermocouple and write what was found"}
	if last.place != first.place {
		f.Related = []Related{{last.place, "the last such reading"}}
	}
	if s := c.Lives.At(p, first.day); s != nil {
		f.About.Holder, f.About.Nozzle = s.Holder, s.Nozzle
		f.Related = append(f.Related, Related{s.FromPlace, "the valve fitted then"})
	}
	c.Report(f)
}

// pulledAfter is the day of the first removal from a position after a day; 0 where there is none.
func (c *Case) pulledAfter(p logbook.Position, day logbook.Day) logbook.Day {
	for _, s := range c.Lives.InPosition(p) {
		if s.To > day {
			return s.To
		}
	}
	return 0
}
