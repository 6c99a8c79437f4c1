package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

var dateOutOfPlace = &Check{
	Name:  "date-out-of-place",
	Level: Vessel,
	Doc: "A date does not fit those around it: a bunker in use before it was received or while another was, a stay that ends before it begins, a line of a table out of the order of its neighbours, " +
		"signs of a cylinder from before the valve was in it. A wrong year in January is the commonest slip of the pen; fuel, stores and persons are then looked up on days they were not there. Compare with the lines around and correct the date.",
	Source:  "our own rule",
	Example: `in_use_from 2004-11-09 is 63 days after in_use_to 2004-09-07`,
	Grade:   Answer,
	Whole: func(c *Case) {
		c.bunkerDates()
		var received []logbook.Date
		for _, x := range c.Book.Bunkers {
			received = append(received, x.Received)
		}
		c.inOrder(received, 0)
		c.crewDates()
		var stock []logbook.Date
		for _, m := range c.Book.Stock {
			stock = append(stock, m.Date)
		}
		c.inOrder(stock, logbook.Day(c.Settings.LateEntry.Float()))
		runs := map[string][]logbook.Date{}
		for _, r := range c.Book.Running {
			runs[r.Engine] = append(runs[r.Engine], r.Date)
		}
		for _, engine := range slices.Sorted(maps.Keys(runs)) {
			c.inOrder(runs[engine], 0)
		}
		c.partDates()
		for _, o := range c.Book.Overhauls {
			c.signDates(o)
		}
		c.openingDate()
	},
}

// follows asks that one date is not before another.
func (c *Case) follows(later, earlier logbook.Date, a About) bool {
	if later.Day == 0 || earlier.Day == 0 || later.Day >= earlier.Day {
		return true
	}
	c.Report(Finding{Place: later.Place, About: a, Message: fmt.Sprintf("%s %s is %s before %s %s", later.Key, later.Written, daysText(earlier.Day.Days(later.Day)), earlier.Key, earlier.Written),
		Related: []Related{{earlier.Place, earlier.Key}}, Next: "correct the wrong one of the two"})
	return false
}

// bunkerDates asks that each bunker is received, then used, and that one follows the other.
func (c *Case) bunkerDates() {
	for i, x := range c.Book.Bunkers {
		a := About{Bunker: x.Stem.Written}
		if !c.follows(x.From, x.Received, a) || !c.follows(x.To, x.From, a) || i == 0 {
			continue
		}
		before := c.Book.Bunkers[i-1]
		if before.To.Day != 0 && before.To.Day < before.From.Day {
			continue // said of that line
		}
		if before.To.Day == 0 || x.From.Day == 0 || before.From.Day == 0 {
			if before.To.Day == 0 && before.From.Day != 0 && x.From.Day != 0 && before.Grade.Written == x.Grade.Written {
				c.Report(Finding{Place: before.Place, Grade: Advice, About: About{Bunker: before.Stem.Written}, Message: fmt.Sprintf("in_use_to is missing; %s is in use from %s", x.Stem.Written, x.From.Written),
					Related: []Related{{x.From.Place, "the next bunker"}}, Next: "write its last day in use"})
			}
			continue
		}
		f := Finding{Place: x.From.Place, Grade: Advice, About: a, Related: []Related{{before.To.Place, "last day of the bunker before"}}, Next: "correct the wrong date, or enter the bunker between"}
		switch apart := x.From.Day.Days(before.To.Day); {
		case apart < 0:
			f.Message = fmt.Sprintf("in_use_from %s: %s was in use until %s", x.From.Written, before.Stem.Written, before.To.Written)
			c.Report(f)
		case float64(apart) > c.Settings.HandoverWithin.Float():
			f.Message = fmt.Sprintf("in_use_from %s: no bunker was in use since %s", x.From.Written, before.To.Written)
			c.Report(f)
		}
	}
}

// crewDates asks that a stay ends after it begins, that nobody has two at once, and that a rank held by one at a time is.
func (c *Case) crewDates() {
	ranks := map[string][]logbook.CrewStay{}
	people := map[string][]logbook.CrewStay{}
	for _, x := range c.Book.Crew {
		if c.follows(x.To, x.From, About{Hand: x.ID.Written}) && x.From.Day != 0 {
			ranks[x.Rank.Written] = append(ranks[x.Rank.Written], x)
			people[x.ID.Written] = append(people[x.ID.Written], x)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(people)) {
		stays := byFirstDay(people[id])
		for i := 1; i < len(stays); i++ {
			if was, is := stays[i-1], stays[i]; was.To.Day != 0 && is.From.Day < was.To.Day {
				c.Report(Finding{Place: is.From.Place, About: About{Hand: id}, Message: fmt.Sprintf("%s joins on %s, and is aboard until %s already", id, is.From.Written, was.To.Written),
					Related: []Related{{was.To.Place, "end of that stay"}}, Next: "correct the wrong date, or take the line out"})
			}
		}
	}
	for _, rank := range slices.Sorted(maps.Keys(ranks)) {
		c.oneAtATime(rank, byFirstDay(ranks[rank]))
	}
}

func byFirstDay(stays []logbook.CrewStay) []logbook.CrewStay {
	slices.SortStableFunc(stays, func(a, b logbook.CrewStay) int { return int(a.From.Day - b.From.Day) })
	return stays
}

// oneAtATime looks at a rank whose stays join in most places, and reports where they do not.
func (c *Case) oneAtATime(rank string, stays []logbook.CrewStay) {
	within := int(c.Settings.HandoverWithin.Float())
	var apart []int
	for i := 1; i < len(stays); i++ {
		if stays[i-1].To.Day == 0 {
			return
		}
		if off := stays[i].From.Day.Days(stays[i-1].To.Day); off < -within || off > within {
			apart = append(apart, i)
		}
	}
	if float64(len(stays)) <= c.Settings.SetLeast.Value || 2*len(apart) >= len(stays) {
		return // a rank of which several are aboard, or that is not always filled
	}
	_, pages := ranksWithPages(c.Book)
	for _, i := range apart {
		was, is := stays[i-1], stays[i]
		if _, asked := pages[strings.ToLower(rank)]; asked && is.From.Day > was.To.Day {
			continue // said by handover-missing
		}
		words := fmt.Sprintf("no %s from %s to %s", rank, was.To.Written, is.From.Written)
		if is.From.Day < was.To.Day {
			words = fmt.Sprintf("two of rank %s from %s to %s", rank, is.From.Written, was.To.Written)
		}
		c.Report(Finding{Place: is.From.Place, Grade: Advice, About: About{Hand: is.ID.Written}, Message: words + "; the other stays join", Related: []Related{{was.To.Place, "end of the stay before"}},
			Next: "correct the wrong date, or enter who was aboard"})
	}
}

// inOrder reports, at each step back in a column of dates, the one of the two that does not fit between its neighbours.
func (c *Case) inOrder(dates []logbook.Date, slack logbook.Day) {
	dates = slices.DeleteFunc(slices.Clone(dates), func(d logbook.Date) bool { return d.Day == 0 })
	const next = "is the year or the month right? correct the date, or put the line where it belongs"
	told := -1
	for i, d := range dates {
		if i+1 < len(dates) && d.Day > dates[i+1].Day+slack && i != told {
			odd, beside := dates[i+1], d
			told = i + 1
			if tooLate(dates, i, slack) {
				odd, beside, told = d, dates[i+1], i
			}
			c.Report(Finding{Place: odd.Place, Message: fmt.Sprintf("%s %s stands beside %s: out of order", odd.Key, odd.Written, beside.Written), Related: []Related{{beside.Place, "the line beside"}}, Next: next})
		}
	}
}

// tooLate says of a step back behind i that it is i that is wrong: what is before fits what comes after, and the next but one does
// not stand beyond it.
func tooLate(dates []logbook.Date, i int, slack logbook.Day) bool {
	fits := i == 0 || dates[i-1].Day <= dates[i+1].Day+slack
	if i+2 == len(dates) {
		return fits && i > 0
	}
	return fits && dates[i+2].Day+slack < dates[i].Day
}

// partDates asks that a part was received before it ended.
func (c *Case) partDates() {
	for _, p := range c.Book.Parts {
		c.follows(p.Scrapped.Date, p.Received, About{})
		c.follows(p.Condemned.Date, p.Received, About{})
	}
}

// signDates asks that the signs of a cylinder are of the valve that came out, or of the one that went in.
func (c *Case) signDates(o *logbook.Overhaul) {
	before, after := o.AsFound.Signs.Date, o.After.Date
	if before.Day != 0 && o.Removed.Date.Day != 0 {
		if before.Day > o.Removed.Date.Day {
			c.follows(o.Removed.Date, before, about(o))
		} else if s := c.Lives.ClosedBy(o); s != nil && s.From != 0 && before.Day < s.From {
			c.Report(Finding{Place: before.Place, About: about(o), Message: fmt.Sprintf("%s %s is before the valve was fitted on %s", before.Key, before.Written, s.From), Next: "is the year or the month right? correct the date"})
		}
	}
	if after.Day != 0 && o.Fitted.Date.Day != 0 {
		if !c.follows(after, o.Fitted.Date, about(o)) {
			return
		}
		last := max(c.Today, o.Fitted.Date.Day) + logbook.Day(c.Settings.LateEntry.Float())
		if s := c.Lives.OpenedBy(o); s != nil && s.To != 0 {
			last = s.To
		}
		if c.Today != 0 && after.Day > last {
			c.Report(Finding{Place: after.Place, About: about(o), Message: fmt.Sprintf("%s %s is after the valve came out, or after the day of the book, %s", after.Key, after.Written, last), Next: "is the year or the month right? correct the date"})
		}
	}
}

// openingDate asks that the book begins when its counters do.
func (c *Case) openingDate() {
	open := c.Book.Vessel.Opening.Date
	if open.Day == 0 {
		return
	}
	for _, engine := range slices.Sorted(maps.Keys(c.Book.Hours)) {
		if rows := c.Book.Hours[engine]; len(rows) > 0 && rows[0].Date.Day != 0 {
			if off := rows[0].Date.Day.Days(open.Day); float64(max(off, -off)) > c.Settings.LateEntry.Float() {
				c.Report(Finding{Place: open.Place, Grade: Advice, Message: fmt.Sprintf("%s %s is %s from the first counter reading of %s, %s", open.Key, open.Written, daysText(max(off, -off)), engine, rows[0].Date.Written),
					Related: []Related{{rows[0].Date.Place, "first counter reading"}}, Next: "correct the wrong date"})
			}
		}
	}
}
