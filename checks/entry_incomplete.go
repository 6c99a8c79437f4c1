package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

var entryIncomplete = &Check{
	Name:  "entry-incomplete",
	Level: Record,
	Doc: "A block of a record lacks the value without which the rest of it counts for nothing: a fitting without its day or counter reading, a leak-down without its time, a measurement with an instrument " +
		"and no value; an instrument lacks what it is, a part its serial, a handover who and when; or a line is missing that every other record of the book has. A line lost in copying looks like this. Fill it in, or write why not: not measured (why).",
	Source:  "our own rule",
	Example: `fitted.counter is missing`,
	Grade:   Action,
	Each: func(c *Case, o *logbook.Overhaul) {
		c.lacks(o, o.Removed.Leaf, cell{"removed.date", o.Removed.Date.Leaf}, cell{"removed.counter", o.Removed.Counter.Leaf})
		c.lacks(o, o.Fitted.Leaf, cell{"fitted.date", o.Fitted.Date.Leaf}, cell{"fitted.counter", o.Fitted.Counter.Leaf})
		c.lacks(o, o.Stored.Leaf, cell{"stored.date", o.Stored.Date.Leaf})
		c.lacks(o, o.AsLeft.Leaf, cell{"as_left.date", o.AsLeft.Date.Leaf}, cell{"as_left.opening_pressure", o.AsLeft.Opening.Leaf})
		for _, t := range []struct {
			block string
			test  logbook.Test
		}{{"as_found", o.AsFound}, {"as_left", o.AsLeft}} {
			c.lacks(o, t.test.LeakDown.Leaf, cell{t.block + ".leak_down.time", t.test.LeakDown.Time.Leaf})
		}
		for _, m := range []struct {
			key string
			of  logbook.Measurement
		}{{"lift", o.Measured.Lift}, {"holder_wear", o.Measured.HolderWear}, {"effective_lift", o.Measured.Effective}, {"seat_diameter", o.Measured.SeatDiameter}, {"spring_length", o.Measured.SpringLength}} {
			c.lacks(o, m.of.Leaf, cell{"measured." + m.key + ".value", m.of.Value.Leaf})
		}
		c.lacks(o, o.Measured.NoGo.Leaf, cell{"measured.no_go.wire", o.Measured.NoGo.Wire.Leaf}, cell{"measured.no_go.result", o.Measured.NoGo.Result.Leaf})
		c.lacks(o, o.Decided.Leaf, cell{"decided.nozzle", o.Decided.Nozzle.Leaf}, cell{"decided.holder", o.Decided.Holder.Leaf})
		for _, s := range []struct {
			block string
			signs logbook.RunningData
		}{{"as_found.running_before", o.AsFound.RunningBefore}, {"running_after", o.RunningAfter}} {
			c.lacks(o, s.signs.Leaf, cell{s.block + ".date", s.signs.Date.Leaf}, cell{s.block + ".load", s.signs.Load.Leaf})
		}
	},
	Whole: func(c *Case) {
		for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
			i := c.Book.Instruments[id]
			c.filled(i.Opening, About{Instrument: id}, cell{"kind", i.Kind.Leaf}, cell{"measures", i.Measures.Leaf})
		}
		for _, p := range c.Book.Parts {
			c.filled(p.Opening, About{}, cell{"serial", p.Serial.Leaf}, cell{"kind", p.Kind.Leaf})
		}
		for _, h := range c.Book.Handovers {
			c.filled(h.Opening, About{}, cell{"date", h.Date.Leaf}, cell{"rank", h.Rank.Leaf}, cell{"from", h.From.Leaf}, cell{"to", h.To.Leaf})
		}
		c.asAlways()
	},
}

// alwaysAsked are lines that a ship writes in every record or in none: each with the block that it belongs to.
func alwaysAsked(o *logbook.Overhaul) map[cell]logbook.Leaf {
	found, left := o.AsFound, o.AsLeft
	return map[cell]logbook.Leaf{
		{"as_found.bench", found.Bench.Leaf}: found.Leaf, {"as_found.gauge", found.Gauge.Leaf}: found.Leaf, {"as_left.bench", left.Bench.Leaf}: left.Leaf, {"as_left.gauge", left.Gauge.Leaf}: left.Leaf,
		{"fitted.protrusion", o.Fitted.Protrusion.Leaf}: o.Fitted.Leaf, {"running_after.exhaust_deviation", o.RunningAfter.Exhaust.Leaf}: o.RunningAfter.Leaf, {"running_after.pmax_deviation", o.RunningAfter.Pmax.Leaf}: o.RunningAfter.Leaf,
		{"as_found.running_before.exhaust_deviation", found.RunningBefore.Exhaust.Leaf}: found.RunningBefore.Leaf, {"as_found.running_before.pmax_deviation", found.RunningBefore.Pmax.Leaf}: found.RunningBefore.Leaf,
	}
}

// asAlways reports a line that one record lacks, and all others of the book have.
func (c *Case) asAlways() {
	have, lack := map[string]int{}, map[string][]*logbook.Overhaul{}
	for _, o := range c.Book.Overhauls {
		for line, block := range alwaysAsked(o) {
			switch {
			case !block.Stated():
			case line.leaf.Present():
				have[line.column]++
			default:
				lack[line.column] = append(lack[line.column], o)
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(lack)) {
		if len(lack[key]) > 1 || float64(have[key]) < c.Settings.SetBaseline.Value {
			continue
		}
		o := lack[key][0]
		for line, block := range alwaysAsked(o) {
			if line.column == key {
				c.Report(Finding{Place: block.Place, Grade: Advice, About: about(o), Message: fmt.Sprintf("%s is missing; all %d other records have it", key, have[key]),
					Next: "fill it in, or write why not: not measured (why)"})
			}
		}
	}
}

// filled reports what a file has not.
func (c *Case) filled(at logbook.Place, a About, needed ...cell) {
	for _, x := range needed {
		if !x.leaf.Present() {
			c.Report(Finding{Place: at, Grade: Advice, About: a, Message: x.column + " is missing", Next: "fill it in"})
		}
	}
}

// lacks reports what a block that is there, and says something, has not.
func (c *Case) lacks(o *logbook.Overhaul, block logbook.Leaf, needed ...cell) {
	if !block.Stated() {
		return
	}
	var missing []string
	for _, x := range needed {
		if !x.leaf.Present() {
			missing = append(missing, x.column)
		}
	}
	if len(missing) == 0 {
		return
	}
	verb := " is"
	if len(missing) > 1 {
		verb = " are"
	}
	c.Report(Finding{Place: block.Place, About: about(o), Message: strings.Join(missing, " and ") + verb + " missing", Next: "fill it in, or write why not: not measured (why)"})
}
