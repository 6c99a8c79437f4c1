package checks

import (
	"sort"

	"needlebook/logbook"
)

// counted is one reading of an engine's hour counter, wherever in the book it is written.
type counted struct {
	day   logbook.Day
	total float64 // running hours in all, right across replaced counters
	shown string  // the reading as written
	place logbook.Place
	about About
}

// counters gathers the readings of each engine, by day; the readings of one day by what they show.
func counters(c *Case) map[string][]counted {
	all := map[string][]counted{}
	add := func(engine string, day logbook.Day, reading float64, shown string, place logbook.Place, a About) {
		if engine != "" && day != 0 {
			engine = c.Book.HostOf(engine)
			all[engine] = append(all[engine], counted{day, c.Book.Total(engine, day, reading), shown, place, a})
		}
	}
	amount := func(engine logbook.Serial, day logbook.Date, counter logbook.Amount, a About) {
		if counter.Quantity.Valid() {
			add(engine.Written, day.Day, counter.Float(), counter.String(), counter.Place, a)
		}
	}
	for engine, rows := range c.Book.Hours {
		for _, r := range rows {
			if r.Counter.Valid {
				add(engine, r.Date.Day, r.Counter.Value, r.Counter.Written+" h", r.Counter.Place, About{})
			}
		}
	}
	open := c.Book.Vessel.Opening
	for _, f := range open.Fitted {
		amount(f.Engine, open.Date, f.Counter, About{})
	}
	for _, r := range open.Rack {
		amount(r.Fitted.Engine, r.Fitted.Date, r.Fitted.Counter, About{})
	}
	for i := range c.Book.Vessel.Heads {
		x := &c.Book.Vessel.Heads[i]
		amount(x.Engine, x.Date, x.Counter, About{Position: x.Position()})
	}
	for _, o := range c.Book.Overhauls {
		amount(o.Removed.Engine, o.Removed.Date, o.Removed.Counter, about(o))
		amount(o.Fitted.Engine, o.Fitted.Date, o.Fitted.Counter, about(o))
	}
	for _, list := range all {
		sort.SliceStable(list, func(i, j int) bool {
			a, b := list[i], list[j]
			switch {
			case a.day != b.day:
				return a.day < b.day
			case a.total != b.total:
				return a.total < b.total
			}
			return a.place.String() < b.place.String()
		})
	}
	return all
}

// eachCounter looks at the readings of each engine's counter.
func eachCounter(look func(c *Case, engine string, list []counted)) func(*Case) {
	return func(c *Case) {
		readings := counters(c)
		for _, engine := range enginesOf(c, readings) {
			look(c, engine, readings[engine])
		}
	}
}

// engines lists the vessel's engines and then any other that the readings name, sorted.
func enginesOf(c *Case, readings map[string][]counted) []string {
	var names []string
	known := map[string]bool{}
	for _, e := range c.Book.Vessel.Engines {
		names, known[e.ID.Written] = append(names, e.ID.Written), true
	}
	n := len(names)
	for e := range readings {
		if !known[e] {
			names = append(names, e)
		}
	}
	sort.Strings(names[n:])
	return names
}

// most is how far a counter can go from one day to another: every hour of both days, since a reading may be of any hour
// of its day.
func most(from, to logbook.Day) float64 { return 24 * float64(to.Days(from)+1) }

// backwards finds the readings that are at odds with a neighbour because one is below the one before it. Each comes
// with the reading it is at odds with.
func backwards(list []counted, within float64) map[int]int {
	odd := map[int]int{}
	for i := 1; i < len(list); i++ {
		if list[i].total >= list[i-1].total-within {
			continue
		}
		wrong := outlier(list, i, within)
		if i == 1 { // a counter that was replaced looks the same
			wrong = i
		}
		odd[wrong] = 2*i - 1 - wrong
	}
	return odd
}

// outlier is which of a reading and the one before it is wrong, where they cannot both be right: the one before it only
// where the neighbours on both sides agree with the other, and not with it.
func outlier(list []counted, i int, within float64) int {
	can := func(a, b counted) bool { return b.total >= a.total-within && b.total-a.total <= most(a.day, b.day) }
	before := false
	switch p, last := i-2, i+1 == len(list); {
	case p < 0 && last:
	case p < 0:
		before = can(list[i], list[i+1]) && !can(list[0], list[i+1])
	case last:
		before = can(list[p], list[i]) && !can(list[p], list[i-1])
	default:
		even := func(b counted) bool {
			a, c := list[p], list[i+1]
			return can(a, b) && can(b, c) && alikeRates(rateOf(a, b), rateOf(b, c))
		}
		before = even(list[i]) && !even(list[i-1]) || can(list[p], list[i]) && !can(list[p], list[i-1])
	}
	if before {
		return i - 1
	}
	return i
}

// rateOf is how many hours a day an engine ran between two readings.
func rateOf(a, b counted) float64 { return (b.total - a.total) / float64(max(1, b.day.Days(a.day))) }

// alikeRates says that neither of two rates is more than four times the other: from memory.
func alikeRates(a, b float64) bool { return max(a, b) <= 4*min(a, b) }
