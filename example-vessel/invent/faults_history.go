package invent

import (
	"fmt"
	"slices"
	"strings"
)

// sick is what may follow when valves come back in a bad state: all of it is true of them.
var sick = []string{"opening-lost", "pressure-loss-not-explained", "leak-down-lost", "decision-without-reason",
	"exhaust-and-pmax", "keep-for-claim", "round-with-common-cause", "position-loses-pressure", "gauge-in-doubt",
	"nozzles-rejected-in-holder",
	"valves-rejected-in-position", "reuse-against-findings", "rejected-without-finding", "round-incomplete",
	"running-data-after-fitting", "high-exhaust-not-followed-up", "lift-shorter", "leak-down-better", "opening-rose",
	"test-not-as-stated"}

// historyFaults are those of one part or position through time, and of rounds.
var historyFaults = []fault{
	record("higher than it was left", "opening-rose", reread, func(j *job) bool { return j.tested() && j.prev != nil },
		func(p *planter, j *job) {
			a := j.state.opening.scale.read(j.prev.leftMedian.bases() * p.size(1.09, 1.2)).String()
			p.openings(j, "as_found", a, a, a)
		}),
	record("lost far too much", "opening-lost", reread, func(j *job) bool {
		return j.tested() && j.prev != nil &&
			!j.state.settling
	}, func(p *planter, j *job) {
		a := j.state.opening.scale.read(j.prev.leftMedian.bases() * p.size(0.65, 0.79)).String()
		p.openings(j, "as_found", a, a, a)
		j.page.front.set("inspected.spring", "good")
	}),
	record("leak-down better than it was left", "leak-down-better", []string{"leak-down-slow-as-found"},
		func(j *job) bool { return j.tested() && j.prev != nil && j.has("as_found.leak_down.time") },
		func(p *planter, j *job) {
			j.page.front.set("as_found.leak_down.time", fmt.Sprintf("%.1f s", seconds(j.prev, "as_left")*p.size(1.8, 3)))
		}),
	record("leak-down gone", "leak-down-lost", append(decides, "round-with-common-cause"),
		func(j *job) bool { return j.tested() && j.prev != nil && j.has("as_found.leak_down.time") },
		func(p *planter, j *job) {
			j.page.front.set("as_found.leak_down.time", fmt.Sprintf("%.1f s", seconds(j.prev, "as_left")*p.size(0.08, 0.2)))
		}),
	{name: "holder that eats nozzles", check: "nozzles-rejected-in-holder", may: sick,
		ahead: func(w *world) { w.eater = w.engines[0].at[w.IntN(len(w.engines[0].at))].holder; w.eater.cracked = true },
		plant: func(p *planter) bool {
			return p.story(3, func(j *job) (any, bool) {
				return j.from, j.holder == p.eater && j.after != j.before && j.before.hours < 0.45*p.manual.renew
			})
		}},
	{name: "cylinder that eats valves", check: "valves-rejected-in-position", may: sick,
		ahead: func(w *world) { e := w.engines[w.IntN(len(w.engines))]; w.rough = e.at[w.IntN(len(e.at))] },
		plant: func(p *planter) bool {
			return p.spares > 0 && p.story(4, func(j *job) (any, bool) { return j.holder, j.from == p.rough && j.ill != "" })
		}},
	{name: "deferral forgotten", check: "deferral-run-out", plant: func(p *planter) bool {
		j := p.job(func(j *job) bool { return j.to != nil && j.fitDay+90 < p.last && j.deferral == "" })
		if j == nil {
			return false
		}
		p.found = nil
		d := &page{path: "deferrals/d-88.md", style: p.office, front: keys("", text("id", "D-88"), text("record", j.stem()),
			text("limit", "holder_wear"), ident("holder", j.holder.serial),
			text("reason", "no spare aboard"), text("from", j.fitDay.String()), text("hours", "100 h"),
			text("until", (j.fitDay+20).String()), keys("approved", text("by", p.crew.ashore.id),
				text("date", j.fitDay.String())))}
		p.deferrals = append(p.deferrals, d)
		p.at(d.path, j.stem())
		return true
	}},
	record("digit of the counter dropped", "counter-backwards", append([]string{"counter-too-fast", "counter-unusual"},
		unread...), func(j *job) bool { return len(counterOf(j)) >= 4 && j.has("removed.counter") && counterOf(j)[1] >= '3' },
		func(_ *planter, j *job) {
			whole := []byte(counterOf(j))
			whole[1] -= 3
			j.page.front.set("removed.counter", strings.Replace(j.says("removed.counter"), counterOf(j), string(whole), 1))
		}),
	{name: "last reading far too high", check: "counter-too-fast", may: []string{"counter-unusual", "overdue",
		"deferral-run-out", "high-exhaust-not-followed-up"}, plant: func(p *planter) bool {
		e := p.engines[p.dice.IntN(len(p.engines))]
		path := "hours/" + fileName(e.id) + ".csv"
		e.total[len(e.total)-1] += 24 * 9
		p.at(path, "")
		return true
	}},
	{name: "lay-up not declared", check: "counter-unusual", plant: func(p *planter) bool {
		i := slices.IndexFunc(p.layUps, func(l layUp) bool {
			return l.to < p.last && l.to-l.from >= 34 &&
				l.from > p.first+110
		})
		if i < 0 {
			return false
		}
		hit := p.layUps[i]
		p.layUps = slices.Delete(slices.Clone(p.layUps), i, i+1)
		for _, e := range p.engines {
			if hit.engine == nil || hit.engine == e {
				p.at("hours/"+fileName(e.id)+".csv", "")
			}
		}
		return true
	}},
	{name: "gauge that was dropped", check: "gauge-in-doubt", may: reread,
		ahead: func(w *world) { w.dropped = &wrong{factor: w.troubleSize(1.05, 1.1)} }, plant: func(p *planter) bool {
			p.at("*", "")
			return p.dropped.to != 0
		}},
	{name: "gauge found wrong", check: "set-with-gauge-out-of-tolerance", may: append([]string{"setting-out-of-band"},
		reread...), ahead: func(w *world) { w.dropped = &wrong{factor: w.troubleSize(0.9, 0.95), known: true} },
		plant: func(p *planter) bool {
			if p.dropped.to == 0 || !slices.ContainsFunc(p.jobs, func(j *job) bool {
				return j.has("as_left") &&
					j.left >= p.dropped.from && j.left <= p.dropped.to
			}) {
				return false
			}
			p.at("instruments/"+fileName(p.gear.on(gauge, p.dropped.from).id)+".md", "")
			return true
		}},
	{name: "bad bunker", check: "round-with-common-cause", may: sick, ahead: func(w *world) { w.foul = -1 },
		plant: func(p *planter) bool {
			p.at("*", "")
			return p.foul > 0
		}},
	{name: "copied page", check: "record-alike", may: slices.Concat(reread, decides, sick,
		[]string{"setting-out-of-band", "setting-for-other-state", "leak-down-short", "leak-down-slow", "figures-on-limit",
			"instrument-not-proven", "keep-for-claim",
			"spring-worn", "seat-diameter-over", "decimals-too-fine", "decimals-too-coarse", "places-not-inspected"}),
		plant: copyPage},
	{name: "picture of another valve", check: "record-alike", plant: func(p *planter) bool {
		old := p.job(func(j *job) bool { return j.pulled != 0 && j.pulled+60 < p.last && !j.has("photos") })
		if old == nil {
			return false
		}
		p.found = nil
		j := p.job(func(j *job) bool { return j.pulled > old.pulled+20 && !j.has("photos") })
		if j == nil {
			return false
		}
		path := p.photo(old.stem() + "-spray")
		p.photos["photos/"+j.stem()+"-spray.png"] = p.photos[path]
		old.page.front.kids = append(old.page.front.kids, texts("photos", path))
		j.page.front.kids = append(j.page.front.kids, texts("photos", "photos/"+j.stem()+"-spray.png"))
		return true
	}},
	{name: "all exactly on the limit", check: "figures-on-limit",
		may: []string{"leak-down-better", "leak-down-short", "decision-without-reason"},
		plant: func(p *planter) bool {
			for _, first := range p.jobs {
				var round []*job
				for _, j := range p.jobs {
					if first.from != nil && j.from != nil && j.from.engine == first.from.engine && j.pulled == first.pulled &&
						j.has("as_left") && !p.taken[j] {
						round = append(round, j)
					}
				}
				if len(round) < 4 {
					continue
				}
				for _, j := range round {
					j.page.front.set("as_left.leak_down.time", fmt.Sprintf("%.1f s", p.manual.leakMin))
					p.taken[j] = true
				}
				p.at("*", "")
				return true
			}
			return false
		}},
	record("lift longer all at once", "lift-grew", decides, func(j *job) bool { return j.measuredBefore() },
		func(p *planter, j *job) {
			j.page.front.set("measured.lift.value", j.state.lift.scale.read(j.state.lift.bases()+p.size(0.085, 0.2)).String())
			j.page.front.drop("measured.effective_lift")
		}),
	record("lift shorter without grinding", "lift-shorter", decides, func(j *job) bool { return j.measuredBefore() },
		func(p *planter, j *job) {
			j.page.front.set("measured.lift.value", j.state.lift.scale.read(j.state.lift.bases()-p.size(0.065, 0.2)).String())
			j.page.front.drop("measured.effective_lift")
		}),
	record("holder face better than it was", "holder-wear-less", decides, func(j *job) bool {
		return j.from != nil && j.prev != nil && j.prev.goesBack() && j.has("measured.holder_wear.value") &&
			j.prev.has("measured.holder_wear.value") && j.state.wear.unit == j.prev.state.wear.unit
	}, func(p *planter, j *job) {
		j.prev.page.front.set("measured.holder_wear.value", j.state.wear.scale.read(j.state.wear.bases()+p.size(0.035,
			0.06)).String())
		j.prev.page.front.drop("measured.effective_lift")
	}),
	{name: "forgotten beyond its interval", check: "overdue", may: []string{"round-incomplete", "nozzle-life"},
		ahead: func(w *world) { e := w.engines[0]; w.forgotten = e.at[w.IntN(len(e.at))] }, plant: func(p *planter) bool {
			path, record := "book.md", ""
			if j := p.forgotten.holder.set; j != nil {
				path, record = "", j.stem()
			}
			p.at(path, record)
			return true
		}},
	{name: "cylinder that loses pressure", check: "position-loses-pressure", may: reread, plant: func(p *planter) bool {
		of := map[*position][]*job{}
		for _, j := range p.jobs {
			if j.tested() && j.prev != nil {
				of[j.from] = append(of[j.from], j)
			}
			if list := of[j.from]; j.from != nil && len(list) >= 4 {
				for _, x := range list {
					p.lower(x, 0.8)
				}
				p.at("*", "")
				return true
			}
		}
		return false
	}},
	{name: "hot exhaust that nobody answers", check: "high-exhaust-not-followed-up",
		may: []string{"running-data-after-fitting"}, plant: func(p *planter) bool {
			if p.slow || p.loadOn(p.first) < p.manual.load {
				return false
			}
			j := p.job(func(j *job) bool {
				return j.to != nil && p.runs[j.to.engine.id] != nil &&
					float64(min(j.until(p.world), p.last)-j.fitDay-10)*j.to.engine.perDay > 600
			})
			if j == nil {
				return false
			}
			p.found = nil
			e := j.to.engine
			path := "running/" + fileName(e.id) + ".csv"
			from, to := (j.fitDay + 4).String(), (min(j.until(p.world), p.last) - 2).String()
			p.after = append(p.after, func(all map[string][]byte) {
				lines := strings.Split(string(all[path]), "\n")
				for i, l := range lines {
					if c := strings.Split(l, ","); len(c) > 7 && c[3] == j.to.name && c[0] >= from && c[0] <= to {
						c[5] = fmt.Sprint(p.manual.lookAt + 9)
						lines[i] = strings.Join(c, ",")
					}
				}
				all[path] = []byte(strings.Join(lines, "\n"))
			})
			p.at(path, "")
			return true
		}},
	{name: "readings never differ", check: "readings-always-equal", plant: func(p *planter) bool {
		of := map[*person][]*job{}
		for _, j := range p.jobs {
			if j.has("as_left.opening_pressure") {
				of[j.by] = append(of[j.by], j)
			}
		}
		for _, j := range p.jobs {
			if list := of[j.by]; len(list) > 12 {
				for _, x := range list {
					a := x.leftMedian.String()
					x.page.front.at("as_left.opening_pressure").kids = texts("", a, a, a).kids
				}
				p.at("*", "")
				return true
			}
		}
		return false
	}},
}

// seconds is the leak-down time of a test.
func seconds(j *job, block string) float64 {
	var s float64
	fmt.Sscanf(j.says(block+".leak_down.time"), "%f s", &s)
	return s
}

// measuredBefore says that the same nozzle was measured at the overhaul before with the same scale, and goes on.
func (j *job) measuredBefore() bool {
	return j.goesBack() && j.prev != nil && j.prev.goesBack() && j.before == j.prev.after &&
		j.has("measured.lift.value") && j.state.lift.unit == j.prev.state.lift.unit
}

// story says that so many records or more show the fault, in two places or with two parts at least: fewer are chance
// on a ship that has failures of her own.
func (p *planter) story(least int, of func(j *job) (other any, shows bool)) bool {
	n, others := 0, map[any]bool{}
	var last *job
	for _, j := range p.jobs {
		if j.from == nil {
			continue
		}
		if other, shows := of(j); shows {
			n, last, others[other] = n+1, j, true
		}
	}
	if n < least || len(others) < 2 {
		return false
	}
	p.taken[last] = true
	p.at("*", last.stem())
	return true
}

// copyPage gives one record the figures of an earlier one of another valve.
func copyPage(p *planter) bool {
	whole := func(j *job) bool {
		return j.tested() && j.goesBack() && !j.fresh && j.to != nil && j.has("running_after")
	}
	old := p.job(func(j *job) bool { return whole(j) && j.pulled+100 < p.last })
	if old == nil {
		return false
	}
	p.found = nil
	j := p.job(func(j *job) bool { return whole(j) && j.pulled > old.pulled+30 && j.holder != old.holder })
	if j == nil {
		return false
	}
	for _, key := range []string{"as_found.oil", "as_found.opening_pressure", "as_found.first_opening",
		"as_found.closing_pressure", "as_found.seat", "as_found.leak_down", "as_found.spray",
		"as_found.running_before.exhaust_deviation", "as_found.running_before.pmax_deviation",
		"measured", "as_left.oil", "as_left.opening_pressure", "as_left.closing_pressure", "as_left.seat",
		"as_left.leak_down", "fitted.protrusion", "running_after.exhaust_deviation", "running_after.pmax_deviation"} {
		from, to := old.page.front.at(key), j.page.front.at(key)
		switch {
		case from != nil && to != nil:
			to.text, to.kids, to.shape = from.text, from.kids, from.shape
		case to != nil:
			j.page.front.drop(key)
		}
	}
	return true
}
