package checks

import (
	"fmt"

	"needlebook/logbook"
)

var sparesNotBooked = &Check{
	Name:    "spares-not-booked",
	Subject: OfBook,
	Ends:    writing,
	Version: 2,
	Needs:   stock,
	Level:   Vessel,
	Doc: "A new nozzle was built in and stores do not show that it was used, or stores show more used than ever came on " +
		"board. Stores that are not true are found out on the day the next nozzle is needed, ninety days before " +
		"one can come. " +
		"A nozzle that the stores have on the shelf and that is in a ready spare, or in a valve that came from a " +
		"workshop, is asked about too, and so is one that has a file of its own from before that valve came. " +
		"Book the nozzle out, with its serial; count, and correct the balance. Books that keep no stores, or no serials in " +
		"them, are not asked.",
	Source:  "common practice, no source",
	Example: "nozzle N-2031 was built in on 2022-07-29 and is not booked out of stores",
	Grade:   Action,
	Whole: func(c *Case) {
		if len(c.Book.Stock) > 0 {
			nozzlesBooked(c)
			balances(c)
		}
	},
}

// nozzlesBooked looks for the movement of each nozzle that came from stores, from the first day the stores were kept
// with serials.
func nozzlesBooked(c *Case) {
	in, out := map[string]logbook.Place{}, map[string]bool{}
	var from logbook.Day
	for _, m := range c.Book.Stock {
		if !m.Serial.Stated() {
			continue
		}
		if from == 0 || m.Date.Day != 0 && m.Date.Day < from {
			from = m.Date.Day
		}
		if m.Change.Valid && m.Change.Value < 0 {
			out[m.Serial.Written] = true
		} else if m.Change.Value > 0 {
			in[m.Serial.Written] = m.Serial.Place
		}
	}
	if from == 0 {
		return
	}
	for _, o := range c.Book.Overhauls {
		left := o.Nozzle.Left
		if !left.Stated() || left.Written == o.Nozzle.Found.Written || out[left.Written] || dateOr(o) < from ||
			otherWentBack(o) || c.ranBefore(left.Written, o) {
			continue
		}
		f := Finding{Place: left.Place, Grade: Advice, About: about(o),
			Next:    "book it out in stores/stock.csv, with its serial",
			Message: fmt.Sprintf("nozzle %s was built in on %s and is not booked out of stores", left, dateOr(o))}
		switch shelf, came := in[left.Written]; {
		case o.Removed.Stated():
		case came:
			f.Grade, f.Related = Action, []Related{{shelf, "in stores"}}
			f.Message = fmt.Sprintf("nozzle %s is in %s, and on the shelf by the stores", left, o.Holder)
			f.Next = "read the stamp: correct the serial, or book it out in stores/stock.csv"
		case c.aboardBefore(o):
			p := c.Book.Part("nozzle", left.Written)
			f.Grade, f.Related = Action, []Related{{p.Received.Place, "the file of the nozzle"}}
			f.Message = fmt.Sprintf("nozzle %s came on board %s, the valve that it is in %s", left, p.Received.Day,
				o.Received.Date.Day)
			f.Next = "read the stamp: correct the serial, or the day"
		default:
			continue
		}
		c.Report(f)
	}
}

// aboardBefore says that the nozzle of a valve from a workshop was on board before that valve, and in no other.
func (c *Case) aboardBefore(o *logbook.Overhaul) bool {
	p := c.Book.Part("nozzle", o.Nozzle.Left.Written)
	return p != nil && p.Received.Day != 0 && p.Received.Day < o.Received.Date.Day && len(c.Lives.Naming(p.Number())) == 1
}

// ranBefore says that a nozzle was in a valve before a record: it did not come from stores.
func (c *Case) ranBefore(nozzle string, o *logbook.Overhaul) bool {
	for _, s := range c.Lives.OfNozzle(nozzle) {
		if s.From < o.Day() {
			return true
		}
	}
	for _, r := range c.Book.Vessel.Opening.Rack {
		if r.Nozzle.Written == nozzle {
			return true
		}
	}
	return false
}

// balances adds up the movements of each item that was ever booked in, and reports the first that leaves less than
// nothing.
func balances(c *Case) {
	rows := c.Book.StockByDay()
	sum, kept, told := map[string]float64{}, map[string]bool{}, map[string]bool{}
	for i := range rows {
		item := itemOf(&rows[i])
		kept[item] = kept[item] || rows[i].Change.Value > 0
	}
	for i := range rows {
		m := &rows[i]
		item := itemOf(m)
		if sum[item] += m.Change.Value; sum[item] < 0 && kept[item] && !told[item] {
			told[item] = true
			c.Report(Finding{Place: m.Change.Place, Grade: Advice,
				Message: fmt.Sprintf("stores show %g of %s after %s: more used than came on board", sum[item], item, m.Date),
				Next:    "count them, and book what is missing"})
		}
	}
}

func itemOf(m *logbook.StockMove) string {
	if m.PartNo.Stated() {
		return m.Item.Written + " " + m.PartNo.Written
	}
	return m.Item.Written
}
