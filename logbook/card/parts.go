package card

// left is the left column: the bench, as found, stripping, cleaning, looking.
func (l layout) left() []part {
	return []part{
		{"Before the test", "", []row{
			ticks("", "tag and serials read", "connection clean", "gauge at zero"),
			{Label: "used", Boxes: []box{named("bench", ""), named("gauge", ""), named("oil", "°C")},
				Beside: l.beside("as_found.oil")},
		}},
		{"As found, before cleaning", "as found", l.test("as_found", "first opening pressure")},
		{"Stripped", "", []row{
			ticks("", "spring tension released", "then the nut"),
			l.ring("needle", "stripped.needle"),
			{Label: "freed by", Boxes: []box{{Wide: true}, named("bath", "°C"), unit("min")},
				Beside: l.beside("stripped.needle_freed.bath")},
			{Label: "out of nut", Boxes: []box{{Ring: l.words["stripped.nozzle_in_nut"]}, {Label: "how", Wide: true}}},
		}},
		{"Cleaned", "", []row{
			ticks("", "outside, brass brush", "soaked", "channels blown"),
			{Boxes: []box{named("hole needles", "mm"), {Label: "nut inside", Tick: true}, {Label: "needle wetted", Tick: true}},
				Beside: l.beside("cleaned.hole_needles")},
		}},
		{"Looked at: G good, M marked, D damaged, C cracked", "", []row{
			places("needle seat", "needle end", "guide", "body seat", "tip"),
			places("holes", "nozzle face", "holder face", "dowels", "spring"),
			places("push rod", "nut inside", "inlet face", "drillings"),
		}},
		{"Measured", "", []row{
			{Label: "lift", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside("measured.lift.value")},
			{Label: "holder wear", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside("measured.holder_wear.value")},
			{Label: "effective", Boxes: []box{unit("mm")}, Beside: l.beside("measured.effective_lift.value")},
			{Label: "seat diam.", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside("measured.seat_diameter.value")},
			{Label: "no-go wire", Boxes: []box{{Ring: l.words["measured.no_go.result"]}},
				Beside: l.beside("measured.no_go.result")},
			{Label: "spring", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside("measured.spring_length.value")},
		}},
	}
}

// right is the right column: the decision, the build, as left, fitting.
func (l layout) right() []part {
	left := l.test("as_left", "")
	left = append(left, row{Label: "end cap", Boxes: []box{unit(l.s.Torque("as_left.end_cap.torque")),
		named("wrench", "")}, Beside: l.beside("as_left.end_cap.torque", "as_left.end_cap.lubricant")},
		row{Boxes: []box{{Label: "caps on", Tick: true}, {Label: "tag", Tick: true}, named("rack place", "")}})
	return []part{
		{"Decision", "second engineer", []row{
			l.ring("nozzle", "decided.nozzle"), l.ring("holder", "decided.holder"), l.ring("spring", "decided.spring"),
			{Label: "why", Boxes: []box{{Wide: true}}},
			{Label: "nozzle left", Boxes: []box{{Wide: true}, {Label: "marking", Wide: true}}},
		}},
		{"Built", "", []row{
			ticks("new seals", "screw", "body", "pocket"),
			ticks("", "dowels seated", "faces clean", "lubricant"),
			{Label: "nozzle nut", Boxes: append(l.steps("assembled.nozzle_nut"), unit(l.s.Torque("assembled.nozzle_nut.torque")),
				named("wrench", "")), Beside: l.beside("assembled.nozzle_nut.torque", "assembled.nozzle_nut.lubricant")},
			{Label: "set to", Boxes: []box{{Ring: []string{"used", "new", "reground"}}, {Label: "lock nut, again", Tick: true}}},
		}},
		{"As left", "as left", left},
		{"Fitted", "fitted", []row{
			{Boxes: []box{named("engine", ""), named("cyl.", ""), named("day", ""), named("counter", "h")}},
			{Boxes: []box{named("rings out", ""), {Label: "pocket faced", Tick: true}, named("rings in", ""),
				{Label: "by hand to seat", Tick: true}}, Beside: l.count("rings: ", "fitted.rings_in")},
			{Label: "clamp nuts", Boxes: append(l.steps("fitted.clamp_nuts"), unit(l.s.Torque("fitted.clamp_nuts.torque"))),
				Beside: l.beside("fitted.clamp_nuts.torque", "fitted.clamp_nuts.lubricant")},
			{Label: "protrusion", Boxes: []box{unit("mm")}, Beside: l.beside("fitted.protrusion")},
			{Label: "pipe nut", Boxes: []box{unit(l.s.Torque("fitted.pipe_nut.torque")), {Label: "shields back", Tick: true}},
				Beside: l.beside("fitted.pipe_nut.torque")},
			ticks("leak check", "cold", "warm", "loaded"),
			{Label: "after", Boxes: []box{named("load", "%"), named("exh.", "K"), named("pmax", "bar")},
				Beside: l.beside("running_after.exhaust_deviation")},
		}},
	}
}

// test is the test on the pump, as found or as left.
func (l layout) test(block, first string) []row {
	k := func(key string) string { return block + "." + key }
	var rows []row
	if first != "" {
		rows = append(rows, row{Label: first, Boxes: []box{unit(l.s.Pressure())}, Beside: ""})
	}
	return append(rows,
		row{Label: "opening", Boxes: []box{unit(l.s.Pressure()), unit(l.s.Pressure()), unit(l.s.Pressure())},
			Beside: l.beside(k("opening_pressure"))},
		row{Label: "seat", Boxes: []box{named("at", l.s.Pressure()), named("for", "s")},
			Beside: l.beside(k("seat.at"), k("seat.state"))},
		row{Boxes: []box{{Ring: l.words[k("seat.state")]}, named("drops", "")}},
		row{Label: "leak-down", Boxes: []box{named("from", l.s.Pressure()), named("to", l.s.Pressure()), unit("s")},
			Beside: l.beside(k("leak_down.from"), k("leak_down.to"), k("leak_down.time"))},
		row{Label: "spray", Boxes: []box{{Ring: l.words[k("spray.pattern")]}, named("open", "")},
			Beside: l.count("holes: ", k("spray.open")), Clock: true},
		row{Label: "chatter", Boxes: []box{{Ring: l.words[k("chatter")]}}},
		row{Label: "nozzle joint", Boxes: []box{{Ring: l.words[k("leaks.nozzle_joint")]}}},
		row{Label: "inlet", Boxes: []box{{Ring: l.words[k("leaks.inlet")]}}},
	)
}

// count is a limit that is a bare number, with its name before it.
func (l layout) count(name, key string) string {
	if l.s.Limit[key] == "" {
		return ""
	}
	return name + l.s.Limit[key]
}

func places(names ...string) row {
	r := row{}
	for _, n := range names {
		r.Boxes = append(r.Boxes, box{Label: n, Small: true})
	}
	return r
}
