package checks

import (
	"fmt"
	"math"
	"strings"

	"needlebook/logbook"
)

var stockLow = &Check{
	Name:  "stock-low",
	Level: Vessel,
	Doc: "Fewer nozzles are on board than the ship is likely to need before ordered ones can come. What is needed is counted from each fitted nozzle's own age at the present running rate, since nozzles bought together wear out together, " +
		"and from how often nozzles were rejected before their life was over; the spread of such counts comes on top. A ship without a nozzle runs on a worn one. Order, or say why not; where what is on order will do, it is a note. " +
		"Books that keep no nozzles in their stores, or state no lead time or life, are not asked.",
	Source:  "common practice, no source; a count of rare events varies by its square root (Poisson)",
	Example: "nozzles on board 3, minimum 6: in a lead time of 90 d 2 reach their life and 1.0 more are likely to be rejected",
	Grade:   Advice,
	Whole: func(c *Case) {
		s := nozzleStock(c)
		if s.last == nil || s.lead == 0 {
			return
		}
		planned, hours, known := nozzlesDue(c, s.lead)
		if !known {
			return
		}
		unplanned := rejectedAnHour(c) * hours
		expected := float64(planned) + unplanned
		least := int(math.Ceil(expected + c.Settings.StockMargin.Value*math.Sqrt(expected) - rounding))
		if s.onBoard >= least {
			return
		}
		f := Finding{Place: s.last.Place, Next: "order nozzles",
			Message: fmt.Sprintf("nozzles on board %d, minimum %d: in a lead time of %d d %d reach their life and %.1f more are likely to be rejected", s.onBoard, least, s.lead, planned, unplanned)}
		if s.onOrder > 0 {
			f.Message += fmt.Sprintf("; on order %d", s.onOrder)
			if s.due != "" {
				f.Message += ", due " + s.due
			}
		}
		if s.onBoard+s.onOrder >= least {
			f.Grade, f.Next = Note, "see that what is on order comes in time"
		}
		c.Report(f)
	},
}

// stocked is what the stores say of nozzles on a day.
type stocked struct {
	onBoard, onOrder, lead int
	due                    string
	last                   *logbook.StockMove // the latest movement; nil where there is none
}

// nozzleStock adds up the movements of the items under which nozzles are kept: those that ever moved a nozzle by its serial.
func nozzleStock(c *Case) stocked {
	nozzles, items := map[string]bool{}, map[string]bool{}
	for _, n := range c.Lives.Nozzles() {
		nozzles[n] = true
	}
	for _, p := range c.Book.Parts {
		nozzles[p.Number()] = nozzles[p.Number()] || p.Kind.Is("nozzle")
	}
	for _, m := range c.Book.Stock {
		if m.Serial.Stated() && nozzles[m.Serial.Written] {
			items[strings.ToLower(m.Item.Written)] = true
		}
	}
	var s stocked
	for i := range c.Book.Stock {
		m := &c.Book.Stock[i]
		if !items[strings.ToLower(m.Item.Written)] || m.Date.Day > c.Today {
			continue
		}
		if s.onBoard += m.Change.Int(); m.Change.Value > 0 {
			s.onOrder = max(0, s.onOrder-m.Change.Int())
		}
		if m.OnOrder.Valid {
			s.onOrder, s.due = m.OnOrder.Int(), m.Due.Written
		}
		if m.LeadDays.Valid {
			s.lead = m.LeadDays.Int()
		}
		s.last = m
	}
	return s
}

// nozzlesDue counts the fitted nozzles that reach their life within so many days at the present rate of their engines, and the hours
// that all positions run in that time. known is false where no life or no rate is known.
func nozzlesDue(c *Case, days int) (planned int, hours float64, known bool) {
	for _, p := range c.Book.Positions() {
		rate, ok := c.Book.Rate(p.Engine, c.Today, max(days, 1))
		s, l := c.Lives.At(p, c.Today), c.Book.LimitsOf(p.Engine)
		if !ok || s == nil || l == nil {
			continue
		}
		e, _ := l.On(c.Today)
		run, counted := c.Lives.NozzleHours(s.Nozzle, c.Today)
		if !e.NozzleLife.Renew.Quantity.Valid() || !counted {
			continue
		}
		known = true
		hours += rate * float64(days)
		if run+rate*float64(days) >= e.NozzleLife.Renew.Float() {
			planned++
		}
	}
	return planned, hours, known
}

// rejectedAnHour is how many nozzles were taken out of use before their life was over, for each hour that a valve ran.
func rejectedAnHour(c *Case) float64 {
	rejected, hours := 0.0, 0.0
	for _, r := range c.Causes().Rejections {
		if r.Renewed && !r.LifeOver {
			rejected++
		}
	}
	for _, s := range c.Lives.Stays {
		hours += s.Hours
	}
	if hours == 0 {
		return 0
	}
	return rejected / hours
}
