package invent

import "fmt"

// strip takes the valve apart and cleans it.
func (w *world) strip(j *job, s *state) {
	needle, freed := "free", (*entry)(nil)
	if s.stuck {
		needle, freed = "stuck", keys("needle_freed", text("how", "oil bath"),
			text("bath", fmt.Sprintf("%d °C", 150+5*w.IntN(8))), text("time", fmt.Sprintf("%d min", 20+10*w.IntN(4))),
			text("force", "no"))
	}
	j.stripped = keys("stripped", text("spring_released", "first"), text("needle", needle), freed,
		text("needle_fall", "free"), text("nozzle_in_nut", "free"), text("dowels", pick(w.Rand, "good", "good", "worn")))
	j.cleaned = keys("cleaned", text("agent", "carbon remover"), text("brush", pick(w.Rand, "brass", "brass", "none")),
		text("channels_blown", "yes"), text("nut", "clean"), text("needle_wetted", "yes"))
}

// judge measures in the hand's mind and decides as a careful second engineer does.
func (w *world) judge(j *job, s *state) {
	m, h, n := w.manual, j.holder, j.before
	words := phrases[j.by.language]
	dial, calliper, lens := w.gear.on(liftGauge, j.found), w.gear.on(calliper, j.found), w.gear.on(lens, j.found)
	s.lift = dial.scale.read(n.travels() + dial.bias + w.about(0, 0.12)*dial.scale.step*dial.scale.unit.base)
	s.wear = dial.scale.read(h.wear + w.about(0, 0.12)*dial.scale.step*dial.scale.unit.base)
	s.spring = calliper.scale.read(m.spring.bases() - h.spring)
	s.seatDia = lens.scale.read(m.seat.bases() + 0.05 + n.seat*n.hours/1000)
	nozzle, holder, spring := "reuse", "reuse", "reuse"
	why := ""
	uncertainty := 2.6 * dial.scale.step * dial.scale.unit.base
	j.early = n.hours < 0.49*m.renew
	renew := func(word, because string) {
		if nozzle != "renew" && nozzle != "condemn" {
			nozzle, why = word, because
		}
	}
	if s.cracked == "tip" {
		renew("condemn", "crack at the tip")
	}
	left := s.leak * thin(18)
	if s.leak < m.leakFound*1.5 && (j.ill == "leak" || h.cracked) || left < 1.12*m.leakMin {
		renew("renew", words.worn)
	}
	if s.lift.bases()+s.wear.bases() > m.liftMax.bases()-uncertainty {
		switch {
		case m.grinding && n.ground == 0 && nozzle == "reuse" && n.hours < 0.8*m.renew:
			nozzle, why = "grind", "ground ashore, "+words.lift
			n.ground++
		default:
			renew("renew", words.lift)
		}
	}
	if s.seatDia.bases() > m.seatMax.bases()-1.5*lens.scale.step*lens.scale.unit.base {
		renew("renew", words.lift)
	}
	if n.hours > m.renew {
		if nozzle == "reuse" && w.spares == 0 && w.chance(8) && n.hours+0.5*m.interval < m.never && s.seat != "drop" &&
			j.ill == "" {
			w.deferLife(j)
			why = "see " + j.deferral
		} else {
			renew("renew", words.life+fmt.Sprintf(" (%.0f h)", n.hours))
		}
	}
	if nozzle == "reuse" && s.seat == "drop" {
		if n.laps < m.laps {
			nozzle, why = "lap", words.seat
			n.laps++
		} else {
			renew("renew", words.seat)
		}
	}
	if nozzle == "reuse" && s.form != "even" {
		nozzle, why = "clean", words.spray
	}
	if s.wear.bases() > m.wearMax.bases()-uncertainty {
		holder = "lap"
		h.wear = 0.004
		if why == "" {
			why = words.face
		}
	}
	if s.spring.bases() < m.springMin().bases()+0.08 || s.settling {
		spring, h.spring = "renew", 0
		if why == "" {
			why = words.spring
		}
	}
	if s.cracked == "holder_face" {
		holder, why = "condemn", "crack across the joint face, shown by dye"
		renew("renew", "ran on a cracked holder")
		h.ended, h.why = j.left, why
	}
	if w.decideOtherwise != nil {
		w.decideOtherwise(j, s, &nozzle, &why)
	}
	keep := ""
	if nozzle == "renew" || nozzle == "condemn" {
		n.ended, n.why = j.left, why
		if j.early || nozzle == "condemn" {
			keep = "bagged with its needle, drawer 3"
			if w.chance(50) {
				j.photos = append(j.photos, w.photo(j.stem()+"-tip"))
			}
		}
		if holder != "condemn" {
			j.after = w.take(j.left)
		}
	} else {
		j.after = n
	}
	if why == "" && w.chance(60) {
		why = words.within
	}
	j.decided = keys("decided", text("nozzle", nozzle), text("holder", holder), text("spring", spring), text("why", why),
		text("keep", keep))
	if j.after == nil {
		return
	}
	j.fresh = !j.after.ran() || !h.ran || spring == "renew"
	h.nozzle, j.goes = j.after, h
	if nozzle == "grind" {
		n.regrinds = append(n.regrinds, keys("", text("date", j.left.String()), text("by", "workshop ashore"),
			text("off", dial.scale.read(0.08).String()), text("lift", dial.scale.read(n.travels()).String())))
	}
}

func (n *nozzle) ran() bool { return n.hours > 0 || !n.onBoard }

// inspect looks at every place of the list, or says why not.
func (w *world) inspect(j *job, s *state) {
	words := phrases[j.by.language]
	j.inspected = keys("inspected")
	for _, place := range []string{"needle_seat", "needle_end", "needle_guide", "body_seat", "tip", "holes", "nozzle_face",
		"holder_face", "dowels", "spring", "push_rod", "nut_inside", "inlet_face", "drillings"} {
		word := "good"
		switch {
		case place == s.cracked:
			word = "cracked"
		case place == "spring" && s.settling:
			word = "marked"
		case s.seat == "drop" && place == "body_seat", s.form != "even" && place == "holes", w.chance(6):
			word = "marked"
		case w.chance(1.5) && place != "spring" && place != "needle_guide" && place != "tip":
			word = "not looked at (" + words.broken + ")"
		}
		j.inspected.kids = append(j.inspected.kids, text(place, word))
	}
}

// measure writes what was measured, each with its instrument.
func (w *world) measure(j *job) {
	s := j.state
	words := phrases[j.by.language]
	dial, calliper, lens := w.gear.on(liftGauge, j.found), w.gear.on(calliper, j.found), w.gear.on(lens, j.found)
	one := func(key string, a amount, with *instrument) *entry {
		return keys(key, text("value", a.String()), ident("with", with.id))
	}
	seat := one("seat_diameter", s.seatDia, lens)
	if w.chance(4) {
		seat = text("seat_diameter", "not measured ("+words.broken+")")
	}
	var sum, contact *entry
	if w.chance(25) {
		sum = text("effective_lift", dial.scale.read(s.lift.bases()+s.wear.bases()).String())
		sum = keys("effective_lift", text("value", sum.text), ident("with", dial.id))
	}
	if w.chance(50) {
		contact = text("face_contact", fmt.Sprint(85+5*w.IntN(4), " %"))
	}
	j.measured = keys("measured", one("lift", s.lift, dial), one("holder_wear", s.wear, dial), sum, seat,
		keys("no_go", text("wire", fmt.Sprintf("%.2f mm", w.manual.noGo)), text("result", "stops")),
		one("spring_length", s.spring, calliper), contact)
}
