package invent

import (
	"fmt"
	"strings"
)

// reread is what may follow when an opening pressure as found or as left is another than the valve's.
var reread = []string{"opening-rose", "opening-lost", "pressure-loss-not-explained", "test-not-as-stated",
	"gauge-in-doubt", "readings-spread", "decision-without-reason", "position-loses-pressure", "reuse-against-findings",
	"closing-share", "closing-above-opening", "gauge-range", "first-pop", "keep-for-claim"}

// decides is what may follow when a measurement asks for another decision.
var decides = []string{"decision-without-reason", "reuse-against-findings", "worn-part-returns", "seat-diameter-over",
	"lift-grew", "lift-shorter", "holder-wear-less", "effective-lift-sum", "effective-lift-over"}

// benchFaults are those of one record between removal and rack.
var benchFaults = []fault{
	record("bar read off a psi scale", "unit-mistaken", append(reread, "decimals-too-fine"),
		func(j *job) bool { return j.tested() && !strings.HasSuffix(opening(j, "as_found").String(), "psi") },
		func(p *planter, j *job) {
			shown := opening(j, "as_found").bases() / psi.base
			unit := opening(j, "as_found").unit.name
			p.openings(j, "as_found", fmt.Sprintf("%.0f %s", shown, unit), fmt.Sprintf("%.0f %s", shown, unit),
				fmt.Sprintf("%.0f %s", shown+10, unit))
		}),
	record("decimal point moved", "unit-mistaken", append(decides, "gauge-range", "decimals-too-fine",
		"decimals-too-coarse", "laps-and-grinds"), func(j *job) bool { return j.goesBack() && j.has("measured.lift.value") },
		func(_ *planter, j *job) {
			a := j.state.lift
			a.value *= 10
			j.page.front.set("measured.lift.value", a.String())
		}),
	record("more decimals than the scale", "decimals-too-fine", nil, func(j *job) bool { return j.tested() },
		func(p *planter, j *job) {
			a := opening(j, "as_found")
			s := a.number() + ".3"
			if strings.Contains(a.number(), ".") {
				s = a.number() + "3"
			}
			p.openings(j, "as_found", s+" "+a.name, a.String(), a.String())
		}),
	record("last zero left out", "decimals-too-coarse", nil, func(j *job) bool {
		return j.has("measured.lift.value") && strings.Contains(j.state.lift.number(), ".")
	}, func(_ *planter, j *job) {
		a := j.state.lift
		a.decimals--
		j.page.front.set("measured.lift.value", a.String())
		j.page.front.drop("measured.effective_lift")
	}),
	record("spring measured with the dial gauge", "gauge-range", nil, func(j *job) bool {
		return j.has("measured.spring_length.with") && j.state.spring.unit == j.state.lift.unit
	}, func(p *planter, j *job) {
		j.page.front.set("measured.spring_length.with", p.gear.on(liftGauge, j.found).id)
	}),
	record("stamp half read", "serial-unreadable", append(unread, "setting-for-other-state"),
		func(j *job) bool { return j.before != nil && len(j.photos) == 0 }, func(_ *planter, j *job) {
			s := []rune(j.before.serial)
			s[len(s)-2] = '?'
			j.page.front.set("nozzle.found", string(s))
		}),
	record("file named for another day", "record-name", nil, func(j *job) bool { return j.from != nil },
		func(p *planter, j *job) {
			p.found = nil
			name := (j.pulled + 31).String() + "-" + fileName(j.holder.serial)
			j.page.path = strings.Replace(j.page.path, j.stem(), name, 1)
			p.at(j.page.path, name)
		}),
	record("picture that never came along", "attachment", nil, func(j *job) bool { return !j.has("photos") },
		func(_ *planter, j *job) {
			j.page.front.kids = append(j.page.front.kids, texts("photos", "photos/tip.jpg"))
		}),
	set("tested before it was pulled", "date-order", "as_found.date",
		func(_ *planter, j *job) string { return (j.pulled - 20).String() }, "late-entry"),
	set("as found after as left", "as-found-after-as-left", "as_found.date",
		func(_ *planter, j *job) string { return (j.left + 4).String() }),
	lose("nothing measured", "step-missing", "measured", "effective-lift-over"),
	set("gauge that nobody knows", "instrument-not-proven", "as_left.gauge", fixed("PG-77")),
	record("hot and weak before", "exhaust-and-pmax", []string{"running-data-after-fitting"},
		func(j *job) bool { return j.tested() && j.has("as_found.running_before.pmax_deviation") && !j.slow },
		func(p *planter, j *job) {
			j.page.front.set("as_found.running_before.exhaust_deviation", fmt.Sprintf("%+d K", j.limit+p.steps(12)))
			j.page.front.set("as_found.running_before.pmax_deviation", fmt.Sprintf("-%d bar", 3+p.steps(5)))
		}),
	record("written from memory weeks later", "late-entry", nil, func(j *job) bool {
		return j.from != nil &&
			!j.has("reconstructed")
	}, func(p *planter, j *job) {
		d := j.left + 20 + day(p.steps(30))
		j.page.front.kids = append(j.page.front.kids, keys("reconstructed", text("date", d.String()),
			text("by", p.crew.aboard(p.crew.second, d).who.id), text("from", "memory")))
	}),
	record("kilograms on one dial", "kilogram-force", []string{"decimals-too-fine"},
		func(j *job) bool { return j.has("as_left.opening_pressure") && j.leftMedian.unit.name == "bar" },
		func(p *planter, j *job) {
			shown := fmt.Sprintf("%.0f kgf/cm²", (p.manual.band(j.fresh).low()+p.manual.band(j.fresh).high())/2/kilogramCM2.base)
			p.openings(j, "as_left", shown, shown, shown)
		}),
	set("two rings out", "rings", "removed.rings_out", func(p *planter, _ *job) string { return fmt.Sprint(p.rings + 1) }),
	record("hours of the nozzle for those of the valve", "hours-differ", nil, func(j *job) bool {
		return j.from != nil &&
			j.before.hours-j.hours > 100
	}, func(_ *planter, j *job) {
		j.page.front.set("removed.hours", fmt.Sprintf("%.0f h", j.hours+600))
	}),
	lose("no test as found", "as-found-missing", "as_found"),
	set("leaking connection", "connection-not-clean", "as_found.connection", fixed("leaking")),
	record("readings that wander", "readings-spread", reread,
		func(j *job) bool { return j.has("as_left.opening_pressure") }, func(p *planter, j *job) {
			a := j.leftMedian
			p.openings(j, "as_left", a.scale.read(a.bases()-16).String(), a.String(), a.scale.read(a.bases()+16).String())
		}),
	record("opening and closing exchanged", "closing-above-opening",
		append(reread, "setting-out-of-band", "unit-mistaken"),
		func(j *job) bool { return j.has("as_left.opening_pressure") }, func(p *planter, j *job) {
			low := j.leftMedian.scale.read(j.leftMedian.bases() * 0.75).String()
			p.openings(j, "as_left", low, low, low)
			j.page.front.set("as_left.closing_pressure", j.leftMedian.String())
		}),
	record("closes far too low", "closing-share", nil, func(j *job) bool { return j.has("as_left.opening_pressure") },
		func(p *planter, j *job) {
			j.page.front.set("as_left.closing_pressure", j.leftMedian.scale.read(j.leftMedian.bases()*p.size(0.25,
				0.52)).String())
		}),
	record("leak-down from another pressure", "test-not-as-stated", nil, func(j *job) bool { return j.tested() },
		func(_ *planter, j *job) {
			a := opening(j, "as_found")
			j.page.front.set("as_found.leak_down.from", a.scale.read(a.bases()*0.6).String())
			j.page.front.set("as_found.leak_down.to", a.scale.read(a.bases()*0.4).String())
		}),
	lose("oil temperature left out", "leak-down-not-comparable", "as_found.oil"),
	set("warm oil", "oil-temperature", "as_left.oil", fixed("39 °C"), "leak-down-slow", "leak-down-short",
		"leak-down-better", "leak-down-lost", "figures-on-limit"),
	set("very slow as found", "leak-down-slow-as-found", "as_found.leak_down.time", func(p *planter, j *job) string {
		return timed(j, "as_found", p.size(p.manual.leakMax+1, p.manual.leakMax*2))
	}, "leak-down-better"),
	record("great loss, spring not looked at", "pressure-loss-not-explained", append(reread, "places-not-inspected"),
		func(j *job) bool { return j.tested() && j.goesBack() }, func(p *planter, j *job) {
			p.lower(j, p.size(0.7, 0.8))
			j.page.front.drop("inspected.spring")
			j.page.front.drop("measured.spring_length")
		}),
	record("stuck needle, guide not looked at", "stuck-needle", []string{"places-not-inspected"},
		func(j *job) bool { return j.goesBack() && j.has("inspected.needle_guide") }, func(_ *planter, j *job) {
			j.page.front.set("stripped.needle", "stuck")
			j.page.front.drop("inspected.needle_guide")
		}),
	record("nozzle driven out", "forced-nozzle", []string{"places-not-inspected"},
		func(j *job) bool { return j.goesBack() && j.has("stripped") }, func(_ *planter, j *job) {
			j.page.front.set("stripped.nozzle_in_nut", "stuck")
			e := j.page.front.at("stripped")
			e.kids = append(e.kids, keys("nozzle_freed", text("how", "blows"), text("force", "yes")))
			j.page.front.drop("inspected.tip")
		}),
	set("steel brush", "cleaning", "cleaned.brush", fixed("steel")),
	record("places forgotten", "places-not-inspected", nil, func(j *job) bool {
		return j.goesBack() &&
			j.has("inspected")
	}, func(_ *planter, j *job) {
		j.page.front.drop("inspected.drillings")
		j.page.front.drop("inspected.body_seat")
	}),
	record("cracked tip goes back", "crack-not-condemned", decides, (*job).goesBack,
		func(_ *planter, j *job) { j.page.front.set("inspected.tip", "cracked") }),
	record("lift too long goes back", "effective-lift-over", decides, (*job).goesBack, func(p *planter, j *job) {
		over := j.state.lift.scale.read(p.manual.liftMax.bases()).steps(p.steps(6))
		j.page.front.set("measured.lift.value", over.String())
		j.page.front.drop("measured.effective_lift")
	}),
	record("sum wrong", "effective-lift-sum", nil, func(j *job) bool {
		return j.from != nil &&
			j.has("measured.effective_lift.value")
	}, func(_ *planter, j *job) {
		j.page.front.set("measured.effective_lift.value",
			j.state.lift.scale.read(j.state.lift.bases()+j.state.wear.bases()+0.06).String())
	}),
	record("wide seat goes back", "seat-diameter-over", decides, func(j *job) bool {
		return j.goesBack() &&
			j.has("measured.seat_diameter.value")
	}, func(p *planter, j *job) {
		j.page.front.set("measured.seat_diameter.value", p.manual.seatMax.steps(p.steps(4)).String())
	}),
	record("renewed, and the same one left", "condemned-part-returns", append(decides, "rejected-without-finding",
		"keep-for-claim", "spares-not-booked"), (*job).goesBack, func(_ *planter, j *job) {
		j.page.front.set("decided.nozzle", "renew")
	}),
	record("worn holes go back", "worn-part-returns", decides, (*job).goesBack,
		func(_ *planter, j *job) { j.page.front.set("measured.no_go.result", "enters") }),
	record("short spring goes back", "spring-worn", decides, (*job).goesBack, func(p *planter, j *job) {
		j.page.front.set("measured.spring_length.value", p.manual.springMin().steps(-p.steps(8)).String())
	}),
	record("wide seat goes back without a reason", "decision-without-reason", decides,
		func(j *job) bool { return j.goesBack() && j.has("measured.seat_diameter.value") }, func(p *planter, j *job) {
			j.page.front.set("measured.seat_diameter.value", p.manual.seatMax.steps(p.steps(4)).String())
			j.page.front.drop("decided.why")
			j.page.body = ""
		}),
	record("seat dripped, nothing done", "reuse-against-findings", decides, func(j *job) bool {
		return j.tested() &&
			j.goesBack()
	}, func(_ *planter, j *job) {
		j.page.front.set("as_found.seat.state", "drop")
		j.page.front.drop("decided.why")
		j.page.front.drop("cleaned")
		j.page.body = ""
	}),
	record("rejected with one word", "rejected-without-finding", decides, func(j *job) bool {
		return j.tested() &&
			j.goesBack() && j.state.form == "even"
	}, func(_ *planter, j *job) {
		j.page.front.set("decided.holder", "renew")
		j.page.front.set("decided.why", "bad")
		j.page.body = ""
		for _, place := range j.page.front.at("inspected").kids {
			place.text = "good"
		}
	}),
	record("early failure, nothing kept", "keep-for-claim", nil, func(j *job) bool {
		return j.has("decided.keep") &&
			j.early
	}, func(_ *planter, j *job) {
		j.page.front.drop("decided.keep")
		j.page.front.drop("photos")
	}),
	{name: "one lap too many", check: "laps-and-grinds", may: append([]string{"laps-and-grinds"}, decides...),
		plant: func(p *planter) bool {
			of := map[*nozzle]int{}
			last := p.job(func(j *job) bool {
				if j.goesBack() {
					of[j.before]++
				}
				return j.goesBack() && of[j.before] > p.manual.laps
			})
			if last == nil {
				return false
			}
			for _, j := range p.jobs {
				if j.before == last.before && j.pulled <= last.pulled && j.goesBack() {
					j.page.front.set("decided.nozzle", "lap")
				}
			}
			return true
		}},
	{name: "worked on beyond its life", check: "nozzle-life", may: decides, ahead: func(w *world) {
		w.decideOtherwise = func(j *job, _ *state, nozzle, why *string) {
			if w.outlived == nil && *nozzle == "renew" && j.before.hours > w.manual.renew && j.ill == "" {
				w.outlived, *nozzle, *why = j, "reuse", ""
			}
		}
	}, plant: func(p *planter) bool {
		if p.outlived != nil {
			p.take_(p.outlived)
		}
		return p.outlived != nil
	}},
	record("marking that is not listed", "marking-not-permitted", decides,
		func(j *job) bool { return j.has("nozzle.marking") }, func(p *planter, j *job) {
			j.page.front.set("nozzle.marking", fmt.Sprintf("%dx%.2f X", p.manual.holes, p.manual.hole+0.02))
		}),
	set("seal used again", "seal-not-renewed", "assembled.seals.adjusting_screw", fixed("reused")),
	lose("a seal nobody speaks of", "seal-not-renewed", "assembled.seals.body"),
	set("loose dowels", "assembly-incorrect", "assembled.dowels", fixed("loose")),
	lose("no wrench named", "nut-torque", "assembled.nozzle_nut.wrench"),
	set("nut too slack", "nut-torque", "assembled.nozzle_nut.torque", func(p *planter, j *job) string {
		return p.gear.on(bigWrench, j.left).scale.read(p.manual.nut.torque.bases() * p.size(0.6, 0.88)).String()
	}),
	record("second try without a word", "try-without-action", nil, func(j *job) bool {
		return j.has("as_left") &&
			!j.has("tries")
	}, func(_ *planter, j *job) {
		j.page.front.kids = append(j.page.front.kids, items("tries",
			keys("", text("date", j.left.String()), text("why", "drops at the tip"))))
	}),
	record("set too low", "setting-out-of-band", reread, func(j *job) bool { return j.has("as_left.opening_pressure") },
		func(p *planter, j *job) {
			// not by chance the setting of used parts
			a := j.leftMedian.scale.read(min(p.manual.band(j.fresh).low(), p.manual.used.low()) - 1)
			a = a.steps(-p.steps(6))
			p.openings(j, "as_left", a.String(), a.String(), a.String())
		}),
	record("set as if the parts were new", "setting-for-other-state", reread,
		func(j *job) bool { return j.has("as_left.opening_pressure") && !j.fresh && j.from != nil },
		func(p *planter, j *job) {
			p.otherState(j, p.manual.fresh)
		}),
	record("new parts set as if they were used", "setting-for-other-state", reread,
		func(j *job) bool { return j.has("as_left.opening_pressure") && j.fresh }, func(p *planter, j *job) {
			p.otherState(j, p.manual.used)
		}),
	set("drips as left", "seat-leaks-as-left", "as_left.seat.state", fixed("drop"), "decision-without-reason"),
	set("falls too fast as left", "leak-down-short", "as_left.leak_down.time", func(p *planter, j *job) string {
		return timed(j, "as_left", p.size(p.manual.leakMin*0.3, p.manual.leakMin-0.2))
	}, "leak-down-better", "decision-without-reason"),
	set("falls too slowly as left", "leak-down-slow", "as_left.leak_down.time", func(p *planter, j *job) string {
		return timed(j, "as_left", p.size(p.manual.leakMax+1, p.manual.leakMax*1.6))
	}, "leak-down-lost", "decision-without-reason"),
	set("holes shut as left", "spray-as-left", "as_left.spray.open",
		func(p *planter, _ *job) string { return fmt.Sprint(p.manual.holes - p.steps(3)) }, "decision-without-reason"),
	set("weeping joint as left", "leak-outside", "as_left.leaks.nozzle_joint", fixed("weeping")),
}

// opening is the booked opening pressure of a test of a record.
func opening(j *job, block string) amount {
	if block == "as_left" {
		return j.leftMedian
	}
	return j.state.opening
}

// openings writes other readings of the opening pressure, and leaves out what would no longer go with them.
func (p *planter) openings(j *job, block string, readings ...string) {
	e := j.page.front.at(block + ".opening_pressure")
	e.kids = texts("", readings...).kids
	j.page.front.drop(block + ".first_opening")
}

// lower makes a valve come back at a share of the pressure it as found.
func (p *planter) lower(j *job, share float64) {
	a := j.state.opening
	low := a.scale.read(a.bases() * share).String()
	p.openings(j, "as_found", low, low, low)
}

// otherState sets a valve to the pressure for parts of the other state.
func (p *planter) otherState(j *job, s setting) {
	a, _ := j.leftMedian.scale.in(p.dice, s.low(), s.high())
	p.openings(j, "as_left", a.String(), a.String(), a.String())
}

// timed is a leak-down as it is read with the oil of a test, for the time in seconds that it would take at 20 °C.
func timed(j *job, block string, at20 float64) string {
	oil := 20
	fmt.Sscanf(j.says(block+".oil"), "%d", &oil)
	return fmt.Sprintf("%.1f s", at20*thin(oil))
}
