package checks

import (
	"strings"

	"needlebook/logbook"
)

var entryIncomplete = &Check{
	Name:  "entry-incomplete",
	Level: Record,
	Doc: "A block of a record lacks the value without which the rest of it counts for nothing: a fitting without its day or counter reading, a leak-down without its time, a measurement with an instrument " +
		"and no value. A line lost in copying looks like this. Fill it in, or write why not: not measured (why).",
	Source:  "our own rule",
	Example: `fitted.counter is missing`,
	Grade:   Answer,
	Each: func(c *Case, o *logbook.Overhaul) {
		c.lacks(o, o.Removed.Leaf, cell{"removed.date", o.Removed.Date.Leaf}, cell{"removed.counter", o.Removed.Counter.Leaf})
		c.lacks(o, o.Fitted.Leaf, cell{"fitted.date", o.Fitted.Date.Leaf}, cell{"fitted.counter", o.Fitted.Counter.Leaf})
		c.lacks(o, o.Racked.Leaf, cell{"racked.date", o.Racked.Date.Leaf})
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
		}{{"stroke", o.Measured.Stroke}, {"holder_wear", o.Measured.HolderWear}, {"effective_stroke", o.Measured.Effective}, {"seat_diameter", o.Measured.SeatDiameter}, {"spring_length", o.Measured.SpringLength}} {
			c.lacks(o, m.of.Leaf, cell{"measured." + m.key + ".value", m.of.Value.Leaf})
		}
		c.lacks(o, o.Measured.NoGo.Leaf, cell{"measured.no_go.wire", o.Measured.NoGo.Wire.Leaf}, cell{"measured.no_go.result", o.Measured.NoGo.Result.Leaf})
		c.lacks(o, o.Decided.Leaf, cell{"decided.nozzle", o.Decided.Nozzle.Leaf}, cell{"decided.holder", o.Decided.Holder.Leaf})
		for _, s := range []struct {
			block string
			signs logbook.Signs
		}{{"as_found.signs", o.AsFound.Signs}, {"after", o.After}} {
			c.lacks(o, s.signs.Leaf, cell{s.block + ".date", s.signs.Date.Leaf}, cell{s.block + ".load", s.signs.Load.Leaf})
		}
	},
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
