package invent

import (
	"fmt"
	"strings"
)

// job is one overhaul: the valve that came out or was built, and its record as it grows.
type job struct {
	holder        *holder
	before, after *nozzle   // as found and as left; before is nil for a build, after where none was built in
	goes          *holder   // the valve that goes back from it: nil where the holder does not
	from          *position // nil for a build
	pulled        day
	hours         float64 // that the valve ran
	reason        string
	ill           string
	found, left   day
	by            *person
	fresh         bool // set as one with new parts
	early         bool // the nozzle as found was in the first half of its life
	deferral      string
	allowed       float64
	trial         string
	to            *position
	fitDay        day
	state         *state
	prev          *job    // the overhaul of the same holder before
	replaced      *job    // the one whose valve came out of the position it was fitted in
	total         float64 // hours of the engine in all at the removal
	limit         int     // exhaust deviation that asks for a look
	slow          bool    // at a load at which it does not count
	leftMedian    amount

	removed, asFound, stripped, cleaned, inspected, measured, decided, assembled, tries, asLeft, stored, fitted,
	after_ *entry
	fittedBy, checkedBy        *person
	photos                     []string
	reconstructed, corrections *entry
	body                       string
	page                       *page
}

// stem is the name of the record.
func (j *job) stem() string {
	d := j.pulled
	if j.from == nil {
		d = j.left
	}
	return d.String() + "-" + fileName(j.holder.serial)
}

func (j *job) path() string {
	if j.from == nil {
		return "overhauls/spares/" + j.stem() + ".md"
	}
	name := strings.ToLower(j.from.name)
	if name[0] <= '9' {
		name = "c" + name
	}
	return "overhauls/" + fileName(j.from.engine.id) + "/" + name + "/" + j.stem() + ".md"
}

// write makes the page of the record, in the order of the work.
func (j *job) write(w *world) {
	words := phrases[j.by.language]
	nozzle := keys("nozzle")
	if j.before != nil {
		nozzle.kids = append(nozzle.kids, ident("found", j.before.serial))
	}
	if j.after != nil {
		nozzle.kids = append(nozzle.kids, ident("left", j.after.serial), text("marking", j.after.marking))
	}
	other := func(p *person) string {
		if p == nil || p == j.by {
			return ""
		}
		return p.id
	}
	minutes := ""
	if w.chance(40) {
		minutes = fmt.Sprint(40 + 5*w.IntN(12))
	}
	var photos *entry
	if len(j.photos) > 0 {
		photos = texts("photos", j.photos...)
	}
	front := keys("", ident("holder", j.holder.serial), nozzle, text("trial", j.trial), text("deferral", j.deferral),
		j.removed, j.asFound, j.stripped, j.cleaned, j.inspected,
		j.measured, j.decided, j.assembled, j.tries, j.asLeft, j.stored, j.fitted, j.after_, text("by", j.by.id),
		text("fitted_by", other(j.fittedBy)),
		text("checked_by", other(j.checkedBy)), text("minutes", minutes), photos, j.reconstructed, j.corrections)
	body := j.body
	if body == "" && w.chance(35) {
		body = pick(w.Rand, words.remark, words.second)
	}
	marks := map[string]string{}
	if w.chance(20) {
		marks["as_found.oil"] = words.oil
	}
	j.page = &page{path: j.path(), front: front, body: body, style: j.by.style, marks: marks}
}

// pull takes a valve out of its position.
func (w *world) pull(p *position, d day) *job {
	e := p.engine
	ran := e.now() - p.fitted
	j := &job{holder: p.holder, before: p.holder.nozzle, from: p, pulled: d, hours: ran + p.before, reason: p.reason,
		ill: p.ill, trial: p.trial}
	j.prev, j.total, j.limit, j.slow = p.holder.set, e.now(), w.manual.lookAt, w.slow
	p.pulled = j
	w.age(p, ran)
	w.jobs = append(w.jobs, j)
	p.holder, p.ill, p.trial = nil, "", ""
	hours := ""
	if w.chance(35) {
		hours = fmt.Sprintf("%.0f h", j.hours)
	}
	rings := w.rings + p.rings
	p.rings = 0
	reason := j.reason
	if reason == "deferral" {
		reason = "planned"
	}
	j.removed = keys("removed", text("engine", e.id), text("cylinder", p.name), text("date", d.String()),
		text("counter", e.reading(e.now(), d)+" h"),
		text("reason", reason), text("rings_out", fmt.Sprint(rings)), text("hours", hours))
	if x := j.before.deferral; x != nil {
		x.front.kids = append(x.front.kids, keys("closed", text("date", d.String()), text("why", "removed, nozzle renewed")))
		j.before.deferral = nil
	}
	return j
}

// fit puts a valve into a position.
func (w *world) fit(h *holder, p *position, d day, next float64) {
	e, m := p.engine, w.manual
	p.holder, p.fitted, p.before, p.due, p.reason = h, e.now(), 0, next*w.about(1, 0.004), "planned"
	by := w.crew.aboard(w.crew.second, d).who
	w.stock.take(d, "pocket ring")
	j := h.set
	counter := e.reading(e.now(), d) + " h"
	if j == nil { // one that lay in the spares rack when the book began
		h.openFit = keys("fitted", text("engine", e.id), text("cylinder", p.name), text("date", d.String()),
			text("counter", counter))
		return
	}
	if j.deferral != "" {
		p.due, p.reason = 0.72*j.allowed, "deferral"
	}
	j.to, j.fitDay, j.fittedBy, j.replaced = p, d, by, p.pulled
	small := w.gear.on(smallWrench, d)
	faced := ""
	if w.chance(60) {
		faced = "yes"
	}
	check := pick(w.Rand, "cold warm loaded", "cold, warm, loaded", "cold / warm / loaded",
		"cold and warm and loaded: dry")
	j.fitted = keys("fitted", text("engine", e.id), text("cylinder", p.name), text("date", d.String()),
		text("counter", counter), text("pocket_faced", faced),
		text("rings_in", fmt.Sprint(w.rings)), text("protrusion", m.protrusion.steps(w.IntN(5)-2).String()),
		w.tightened("clamp_nuts", m.clamp, small, m),
		w.tightened("pipe_nut", m.pipe, small, m), text("leak_check", check), text("shields", "refitted"))
	j.after_ = w.signs("running_after", p, d+w.days(1, 2), "")
	w.busy = max(w.busy, d+2)
}

// tightened is a joint tightened as the manual says.
func (w *world) tightened(key string, t thread, with *instrument, m *manual) *entry {
	steps := ""
	if t.steps > 0 {
		steps = fmt.Sprint(t.steps)
	}
	return keys(key, text("torque", with.scale.read(t.torque.bases()).String()), text("steps", steps),
		ident("wrench", with.id), text("lubricant", m.lubricant))
}

// signs are the running data of a cylinder on a day; ill adds what a sick valve shows.
func (w *world) signs(key string, p *position, d day, ill string) *entry {
	load := w.loadOn(d)
	exhaust, pmax := p.habit+w.about(0, 3), w.about(0, 0.8)
	if ill != "" && ill != "nothing" {
		exhaust += w.between(26, 38)
		pmax -= w.between(2, 6)
	}
	return keys(key, text("date", d.String()), text("load", fmt.Sprint(load, " %")), text("fuel", w.fuelOn(d).grade),
		text("exhaust_deviation", fmt.Sprintf("%+.0f K", exhaust)),
		text("pmax_deviation", fmt.Sprintf("%+.0f bar", pmax)))
}
