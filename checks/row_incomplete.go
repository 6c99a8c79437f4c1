package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

var rowIncomplete = &Check{
	Name:    "row-incomplete",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "A line of a table lacks a cell without which the rest of it counts for nothing: a counter reading without its " +
		"day, a bunker that was burnt without its first day in use, " +
		"a person without an id, a nozzle of the stores without its serial. The line looks entered, and is passed over. " +
		"Write the cell, or take the line out.",
	Source:  "our own rule",
	Example: `date is missing: the line counts for nothing`,
	Grade:   Action,
	Whole: func(c *Case) {
		lack := &lacks{rows: map[[2]string][]logbook.Place{}}
		for _, engine := range slices.Sorted(maps.Keys(c.Book.Hours)) {
			for _, r := range c.Book.Hours[engine] {
				lack.rowLacks(r.Place, cell{"date", r.Date.Leaf}, cell{"counter_h", r.Counter.Leaf})
			}
		}
		for _, r := range c.Book.Running {
			lack.rowLacks(r.Place, cell{"date", r.Date.Leaf}, cell{"cylinder", r.Cylinder.Leaf})
		}
		for _, r := range c.Book.Bunkers {
			if c.waitsInTank(&r) {
				continue
			}
			lack.rowLacks(r.Place, cell{"stem", r.Stem.Leaf}, cell{"in_use_from", r.From.Leaf})
		}
		for _, r := range c.Book.Stock {
			lack.rowLacks(r.Place, cell{"date", r.Date.Leaf}, cell{"item", r.Item.Leaf})
			if r.Date.Present() && r.Item.Present() && !r.Change.Present() && !r.OnOrder.Present() {
				lack.rowLacks(r.Place, cell{"change", r.Change.Leaf}, cell{"item", r.Item.Leaf})
			}
		}
		c.serialLacks()
		for _, r := range c.Book.Crew {
			lack.rowLacks(r.Place, cell{"id", r.ID.Leaf}, cell{"rank", r.Rank.Leaf}, cell{"from", r.From.Leaf})
		}
		lack.report(c)
	},
}

// waitsInTank says that a bunker was received and is not in use yet: another one is, and none that came later was.
func (c *Case) waitsInTank(r *logbook.Bunker) bool {
	used := func(x logbook.Bunker) bool {
		return x.From.Day != 0 && x.From.Day <= c.Today && (x.To.Day == 0 || x.To.Day >= c.Today)
	}
	later := func(x logbook.Bunker) bool { return x.From.Day != 0 && x.Received.Day > r.Received.Day }
	return r.Stem.Present() && r.Received.Day != 0 && !r.From.Present() && !r.To.Present() &&
		slices.ContainsFunc(c.Book.Bunkers, used) && !slices.ContainsFunc(c.Book.Bunkers, later)
}

// serialLacks reports the line of an item without a serial where all others of it have one.
func (c *Case) serialLacks() {
	with, without := map[string]int{}, map[string][]logbook.StockMove{}
	for _, m := range c.Book.Stock {
		if m.Serial.Stated() {
			with[m.Item.Written]++
		} else if m.Change.Present() {
			without[m.Item.Written] = append(without[m.Item.Written], m)
		}
	}
	for item, rows := range without {
		if len(rows) == 1 && float64(with[item]) >= c.Settings.SetBaseline.Value {
			c.Report(Finding{Place: rows[0].Place, Grade: Advice, Message: fmt.Sprintf("serial is missing: %s of %s have one",
				numbered(with[item], "other line", "other lines"), item), Next: "write the serial"})
		}
	}
}

// cell is a cell of a row with the name of its column.
type cell struct {
	column string
	leaf   logbook.Leaf
}

// rowLacks notes the cells that a row must have and has not; a row that is empty throughout was never begun.
func (l *lacks) rowLacks(at logbook.Place, cells ...cell) {
	var missing []string
	for _, x := range cells {
		if !x.leaf.Present() {
			missing = append(missing, x.column)
		}
	}
	if len(missing) == 0 || len(missing) == len(cells) {
		return
	}
	verb := " is"
	if len(missing) > 1 {
		verb = " are"
	}
	what := strings.Join(missing, " and ") + verb + " missing"
	key := [2]string{at.Path, what}
	if l.rows[key] == nil {
		l.order = append(l.order, key)
	}
	l.rows[key] = append(l.rows[key], at)
}

// aColumn is how many lines of a table that lack the same cell are told one by one: more have one cause, and are one
// finding.
const aColumn = 3

// lacks are the rows that lack something, by their file and what it is.
type lacks struct {
	rows  map[[2]string][]logbook.Place
	order [][2]string
}

// report says of each row what it lacks; of more than a few of one file, once.
func (l *lacks) report(c *Case) {
	for _, key := range l.order {
		all, message := l.rows[key], key[1]+": the line counts for nothing"
		many := len(all) > aColumn
		if many {
			message += fmt.Sprintf(", as %d more", len(all)-1)
			all = all[:1]
		}
		for _, at := range all {
			c.Report(Finding{Place: at, Message: message, Next: "write it, or take the line out", columns: many})
		}
	}
}
