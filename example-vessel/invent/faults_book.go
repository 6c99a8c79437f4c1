package invent

import (
	"strings"
)

// bookFaults are those of the book as a whole.
var bookFaults = []fault{
	{name: "two places at once", check: "part-in-two-places", may: unread, plant: func(p *planter) bool {
		one := p.job(func(j *job) bool { return j.to != nil && j.fitDay+20 < p.last })
		if one == nil {
			return false
		}
		other := p.job(func(j *job) bool {
			return j.to != nil && j.to != one.to && j.holder != one.holder && j.fitDay >= one.fitDay &&
				j.fitDay < one.until(p.world) && j.until(p.world) > one.fitDay
		})
		if other == nil {
			return false
		}
		p.found = nil // the finding may stand at either of them
		p.at("*", "")
		other.page.front.set("fitted.holder", one.holder.serial)
		other.page.front.at("fitted.holder").shape = identity
		return true
	}},
	record("pulled from another cylinder", "fit-and-removal", append([]string{"record-name", "part-in-two-places",
		"overdue", "running-data-after-fitting", "running-data-not-comparable", "valves-rejected-in-position",
		"high-exhaust-not-followed-up"}, unread...),
		func(j *job) bool { return j.from != nil && len(j.from.engine.at) > 1 }, func(_ *planter, j *job) {
			for i, q := range j.from.engine.at {
				if q == j.from {
					j.page.front.set("removed.cylinder", j.from.engine.at[(i+1)%len(j.from.engine.at)].name)
				}
			}
		}),
	{name: "record lost", check: "fit-and-removal", may: append([]string{"deferral-run-out", "record-alike",
		"part-in-two-places", "running-data-after-fitting", "attachment"}, unread...), plant: func(p *planter) bool {
		j := p.job(func(j *job) bool { return j.from != nil && j.to != nil && j.to != j.from && j.fitDay+30 < p.last })
		if j == nil {
			return false
		}
		p.found = nil
		p.at("*", "")
		p.after = append(p.after, func(all map[string][]byte) {
			delete(all, j.page.path)
			for path := range all {
				if strings.HasPrefix(path, "countersigned/"+j.stem()) {
					delete(all, path)
				}
			}
		})
		return true
	}},
	record("letter for a digit", "serial-unknown", unread, func(j *job) bool {
		return j.before != nil &&
			strings.ContainsAny(j.before.serial, "01")
	}, func(_ *planter, j *job) {
		j.page.front.set("nozzle.found", strings.NewReplacer("0", "O", "1", "I").Replace(j.before.serial))
	}),
	{name: "nozzle not booked out", check: "spares-not-booked", plant: func(p *planter) bool {
		j := p.job(func(j *job) bool { return j.from != nil && j.after != nil && j.after != j.before })
		if j == nil {
			return false
		}
		for i, r := range p.stock.rows {
			if r.serial == j.after.serial && r.change < 0 {
				p.stock.rows = append(p.stock.rows[:i:i], p.stock.rows[i+1:]...)
				return true
			}
		}
		return false
	}},
	{name: "store run empty", check: "stock-low", plant: func(p *planter) bool {
		due := false
		for _, e := range p.engines {
			for _, q := range e.at {
				due = due || q.holder.nozzle.hours+e.now()-q.fitted+55*e.perDay > p.manual.renew
			}
		}
		if !due {
			return false
		}
		for _, n := range p.shelf {
			p.stock.add(p.last-1, "nozzle", n.serial, -1, "lent to the sister ship")
		}
		p.at("stores/stock.csv", "")
		return true
	}},
	{name: "no handover", check: "handover-missing", plant: func(p *planter) bool {
		pages := p.crew.handovers(p.world)
		if len(pages) < 2 {
			return false
		}
		p.unwritten = pages[1+p.dice.IntN(len(pages)-1)].path
		p.at("crew.csv", "")
		return true
	}},
	{name: "too long in the spares rack", check: "spare-test-too-old", plant: func(p *planter) bool {
		j := p.job(func(j *job) bool { return j.to != nil && j.fitDay-j.left > 20 })
		if j == nil {
			return false
		}
		p.rackAge = int(j.fitDay-j.left) - 1 // the house rule is stricter than the crew knew; others may be found too
		return true
	}, may: []string{"spare-test-too-old"}},
}

// until is the day on which the valve that a record fitted came out again.
func (j *job) until(w *world) day {
	for _, x := range w.jobs {
		if x.prev == j && x.from != nil {
			return x.pulled
		}
	}
	return w.last + 1
}
