package invent

import (
	"fmt"
	"slices"
)

// look decides at the beginning of a day whether valves come out of an engine. open says that new work may still begin.
func (w *world) look(e *engine, d day, open bool) {
	if d <= e.worked+1 {
		return
	}
	for _, group := range e.groups {
		var alone, together []*position
		due := false
		for _, p := range group {
			switch {
			case p.holder == nil || p == w.forgotten && len(w.jobs) > w.wanted/3:
			case p.reason != "planned":
				if w.hours(p) >= p.due && (open || p.trial == "") {
					alone = append(alone, p)
				}
			default:
				due = due || w.hours(p) >= p.due
				if w.hours(p) >= 0.55*w.manual.interval {
					together = append(together, p)
				}
			}
		}
		switch {
		case due && open:
			w.round(e, append(together, alone...), d)
			return
		case len(alone) > 0:
			w.round(e, alone, d)
			return
		}
	}
}

// round takes valves out on a day, overhauls them, and fits ready ones or the same again.
func (w *world) round(e *engine, at []*position, d day) {
	next := w.manual.interval * w.between(0.84, 0.95)
	if len(at) > 3 && len(w.jobs) > max(w.wanted/3, 16) {
		w.beginTrouble(e, d)
	}
	var jobs []*job
	for _, p := range at {
		jobs = append(jobs, w.pull(p, d))
	}
	var waiting []*job // those that go back themselves
	var empty []*position
	fit := d
	for i, j := range jobs {
		p := at[i]
		if ready := w.ready(d); ready != nil && (len(w.rack) > 1 || len(at) == 1 || w.spares >= len(at)) {
			found := d + day(i/6)
			w.bench(j, found, found+w.days(0, 3))
			w.toRack(j)
			w.fit(ready, p, d, next)
			continue
		}
		found := d + day(i/9)
		w.bench(j, found, found+w.days(0, 1))
		if j.goes == nil { // the holder may not go back
			j.goes = w.build(j.left).holder
		}
		fit = max(fit, j.left)
		waiting, empty = append(waiting, j), append(empty, p)
	}
	shift := 0 // without a spare set, valves change places now and then
	if len(waiting) > 2 && w.chance(40) && !slices.ContainsFunc(waiting, func(j *job) bool { return j.deferral != "" }) {
		shift = 1 + w.IntN(len(waiting)-1)
	}
	for i, j := range waiting {
		w.fit(j.goes, empty[(i+shift)%len(waiting)], fit, next)
	}
	e.stands, e.worked = max(e.stands, fit), fit
	w.maybeTrial(e, at, d)
}

// beginTrouble lets a gauge be dropped before a round, or the fuel be bad that its valves ran on.
func (w *world) beginTrouble(e *engine, d day) {
	if g := w.gear.on(gauge, d); w.dropped != nil && w.dropped.to == 0 && d+60 < g.to {
		w.dropped.from, w.dropped.to = d-2, d+60
		g.wrong = w.dropped
	}
	if w.foul < 0 {
		w.foul, w.fouled = d, e
	}
}

// ready takes the valve that has been in the spares rack longest, where one has been tested by then.
func (w *world) ready(d day) *holder {
	for i, h := range w.rack {
		if h.tested <= d {
			w.rack = append(w.rack[:i:i], w.rack[i+1:]...)
			return h
		}
	}
	return nil
}

func (w *world) toRack(j *job) {
	h := j.goes
	if h == nil {
		return
	}
	places := max(w.spares, 1) + 6
	at := w.IntN(places)
	for range places { // each place is for one
		if !slices.ContainsFunc(w.rack, func(x *holder) bool { return x.spot == fmt.Sprint(at+1) }) {
			break
		}
		at = (at + 1) % places
	}
	h.spot = fmt.Sprint(at + 1)
	j.stored = keys("stored", text("date", j.left.String()), text("place", h.spot), text("capped", "yes"))
	w.rack = append(w.rack, h)
}

// watch lets trouble begin in a cylinder now and then: the exhaust shows it, and the valve comes out within days.
func (w *world) watch(d day) {
	for _, e := range w.engines {
		ran := 0.0
		if n := len(e.total); n > 1 {
			ran = e.total[n-1] - e.total[n-2]
		}
		for _, p := range e.at {
			h := w.hours(p)
			if ran == 0 || p.ill != "" || p.reason != "planned" || p == w.forgotten || h < 150 || h > 0.9*p.due {
				continue
			}
			switch {
			case p.holder.cracked && h > 0.4*w.manual.interval:
				p.ill = "leak"
			case p == w.rough && h > 0.3*w.manual.interval:
				p.ill = "spray"
			case !w.slow && w.chance(100*ran/w.manual.interval*0.025):
				p.ill = pick(w.Rand, "spray", "spray", "seat", "leak", "nothing", "tip")
			default:
				continue
			}
			p.due, p.reason = h+e.perDay*w.between(2, 5), "symptom"
		}
		w.logRun(e, d)
	}
}

// maybeTrial lets two cylinders of a round run on beyond the interval, by a decision of the owner.
func (w *world) maybeTrial(e *engine, at []*position, d day) {
	if len(at) < 4 || w.trials > 1 || !w.chance(10) || len(w.jobs) > w.wanted*2/3 {
		return
	}
	w.trials++
	id := fmt.Sprintf("T-%02d", w.trials)
	first := w.IntN(len(at) - 1)
	var names []string
	for _, p := range at[first : first+2] {
		if p.holder.nozzle.hours+1.3*w.manual.interval > w.manual.renew || p.reason != "planned" {
			return
		}
		names = append(names, p.name)
	}
	for _, p := range at[first : first+2] {
		p.trial, p.reason, p.due = id, "trial", w.manual.interval*w.between(1.1, 1.17)
	}
	w.decisions = append(w.decisions, &page{path: "decisions/" + fileName(id) + ".md", style: w.office,
		front: keys("", text("id", id), text("date", d.String()), text("kind", "trial"), texts("engines", e.id),
			texts("cylinders", names...),
			text("interval", fmt.Sprintf("%.0f h", 1.2*w.manual.interval)),
			text("evidence", "all valves of this round fine as found"), text("stop_rule", "smoke or a hot exhaust"),
			text("by", w.crew.aboard(w.crew.chief, d).who.id), text("agreed", w.crew.ashore.id))})
}

// deferLife puts the renewal of a nozzle off for a time, with leave from ashore.
func (w *world) deferLife(j *job) {
	w.deferred++
	id := fmt.Sprintf("D-%02d", w.deferred)
	allowed := 50 * float64(int(0.35*w.manual.interval/50))
	j.deferral, j.allowed = id, allowed
	until := j.left + day(allowed/j.from.engine.perDay*1.5) + 40
	p := &page{path: "deferrals/" + fileName(id) + ".md", style: w.office,
		front: keys("", text("id", id), text("record", j.stem()), text("limit", "nozzle_life"),
			ident("nozzle", j.before.serial),
			text("by_how_much", fmt.Sprintf("%.0f h against %.0f h", j.before.hours, w.manual.renew)),
			text("reason", "the new nozzles did not come with the last delivery"),
			text("risk", "worn guide, later injection; exhaust watched every day"),
			text("inspection", "exhaust temperature every watch"),
			text("from", j.left.String()), text("hours", fmt.Sprintf("%.0f h", allowed)), text("until", until.String()),
			text("requested_by", w.crew.aboard(w.crew.chief, j.left).who.id), keys("approved", text("by", w.crew.ashore.id),
				text("date", j.left.String()), text("reference", "by mail")))}
	w.deferrals = append(w.deferrals, p)
	j.before.deferral = p
}

// build sets up a valve from new parts.
func (w *world) build(d day) *job {
	j := &job{holder: w.newHolder(), found: d, left: d, by: w.crew.aboard(w.crew.second, d).who, fresh: true}
	j.after, j.goes = w.take(d), j.holder
	j.holder.nozzle = j.after
	w.jobs = append(w.jobs, j)
	w.stock.add(d, "spare holder", j.holder.serial, 1, "")
	w.stock.add(d, "spare holder", j.holder.serial, -1, "")
	w.assemble(j)
	w.set(j)
	j.stored = keys("stored", text("date", d.String()), text("capped", "yes"))
	return j
}
