package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var lapsAndGrinds = &Check{
	Name:    "laps-and-grinds",
	Subject: OfNozzle,
	Ends:    wornOut,
	Version: 1,
	Level:   Record,
	Doc: "A nozzle was lapped or ground more often than the book allows, more was taken off than it allows, or it was " +
		"ground and its lift not measured again. Each lap " +
		"sinks the needle and lengthens the lift, and grinding goes through the hardened layer in the end. Renew the " +
		"nozzle, or measure the lift and enter it in the part's file.",
	Source:  "common practice, no source; the numbers are the book's own",
	Example: `lap 3 on the seat of N-2010, limit 2`,
	Holds:   wasDecided,
	Each: func(c *Case, o *logbook.Overhaul) {
		serial, word := o.Nozzle.Found.Written, o.Decided.Nozzle
		if serial == "" || !word.Is("lap", "grind") {
			return
		}
		e := c.inForce(o, o.AsFound.Date.Day)
		report := func(message, next string, lim *Limit) {
			c.Report(Finding{Place: word.Place, Message: message, Next: next, Limit: lim, About: about(o)})
		}
		if word.Is("lap") {
			if n := decidedSoFar(c, o, serial, "lap"); e.Laps.Valid && float64(n) > e.Laps.Value {
				report(fmt.Sprintf("lap %d on the seat of %s, limit %s", n, serial, e.Laps.Written),
					"renew the nozzle: each lap sinks the needle and lengthens the lift", c.limitAt(e.Laps.Leaf))
			}
			return
		}
		if e.Grind.Allowed.Is("no") {
			report("the nozzle is to be ground, which the limits do not allow", "renew the nozzle",
				c.limitAt(e.Grind.Allowed.Leaf))
			return
		}
		times, off, measured := grinds(c, o, serial)
		if e.Grind.Times.Valid && float64(times) > e.Grind.Times.Value {
			report(fmt.Sprintf("grinding %d of %s, limit %s", times, serial, e.Grind.Times.Written), "renew the nozzle",
				c.limitAt(e.Grind.Times.Leaf))
		}
		if most := e.Grind.Max; most.Quantity.Valid() && off.Valid() && off.Compare(most.Quantity) > 0 {
			report(fmt.Sprintf("%s ground off %s in all, %s above the limit %s", off, serial, most.Apart(off), most.Quantity),
				"renew the nozzle", c.limitAt(most.Leaf))
		}
		if o.Built() && o.Nozzle.Left.Written == serial && !measured {
			report(serial+" was ground and built in, and its lift after grinding is not in the book",
				"enter the regrind with the lift afterwards in parts/"+logbook.FileName(serial)+".md", nil)
		}
	},
	Grade: Action,
}

// decidedSoFar counts the records up to this one that decided a word on a nozzle.
func decidedSoFar(c *Case, o *logbook.Overhaul, serial, word string) int {
	n := 0
	for _, p := range c.Book.Overhauls {
		if p.Nozzle.Found.Written == serial && p.Decided.Nozzle.Is(word) {
			n++
		}
		if p == o {
			break
		}
	}
	return n
}

// grinds counts the regrinds of a nozzle up to a record: those its own file lists, or where it has none those decided;
// with what was ground off in all, and whether the lift was measured after the record's own.
func grinds(c *Case, o *logbook.Overhaul, serial string) (times int, off measure.Quantity, measured bool) {
	if p := c.Book.Part("nozzle", serial); p != nil {
		for _, g := range p.Regrinds {
			times++
			if g.Off.Quantity.Valid() && !off.Valid() {
				off = g.Off.Quantity
			} else if g.Off.Quantity.Valid() {
				off = off.Plus(g.Off.Quantity)
			}
			measured = measured || g.Date.Day >= o.Day() && g.After.Quantity.Valid()
		}
	}
	return max(times, decidedSoFar(c, o, serial, "grind")), off, measured
}
