package card

import (
	"needlebook/logbook/keys"
)

// left is the left column: the bench, as found, stripping, cleaning, looking.
func (l layout) left() []part {
	return []part{
		{"Before the test", "", []row{
			ticks("", "tag and serials read", "connection clean", "gauge at zero"),
			{Label: "used", Boxes: []box{named("bench", ""), named("gauge", ""), named("oil", "°C")},
				Beside: l.beside(keys.AsFoundOil)},
		}},
		{"As found, before cleaning", "as found", l.test("as_found", "first opening pressure")},
		{"Stripped", "", []row{
			ticks("", "spring tension released", "then the nut"),
			l.ring("needle", keys.StrippedNeedle),
			{Label: "freed by", Boxes: []box{{Wide: true}, named("bath", "°C"), unit("min")},
				Beside: l.beside(keys.StrippedNeedleFreedBath)},
			{Label: "out of nut", Boxes: []box{l.options(keys.StrippedNozzleInNut), {Label: "how", Wide: true}}},
		}},
		{"Cleaned", "", []row{
			ticks("", "outside, brass brush", "soaked", "channels blown"),
			{Boxes: []box{named("hole needles", "mm"), {Label: "nut inside", Tick: true}, {Label: "needle wetted", Tick: true}},
				Beside: l.beside(keys.CleanedHoleNeedles)},
		}},
		{"Looked at: G good, M marked, D damaged, C cracked", "", []row{
			places("needle seat", "needle end", "guide", "body seat", "tip"),
			places("holes", "nozzle face", "holder face", "dowels", "spring"),
			places("push rod", "nut inside", "inlet face", "drillings"),
		}},
		{"Measured", "", []row{
			{Label: "lift", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside(keys.MeasuredLiftValue)},
			{Label: "holder wear", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside(keys.MeasuredHolderWearValue)},
			{Label: "effective", Boxes: []box{unit("mm")}, Beside: l.beside(keys.MeasuredEffectiveLiftValue)},
			{Label: "seat diam.", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside(keys.MeasuredSeatDiameterValue)},
			{Label: "no-go wire", Boxes: []box{l.options(keys.MeasuredNoGoResult)},
				Beside: l.beside(keys.MeasuredNoGoResult)},
			{Label: "spring", Boxes: []box{unit("mm"), named("with", "")}, Beside: l.beside(keys.MeasuredSpringLengthValue)},
		}},
	}
}

// right is the right column: the decision, the build, as left, fitting.
func (l layout) right() []part {
	left := l.test("as_left", "")
	left = append(left, row{Label: "end cap", Boxes: []box{unit(l.s.Torque(keys.AsLeftEndCapTorque)),
		named("wrench", "")}, Beside: l.beside(keys.AsLeftEndCapTorque, keys.AsLeftEndCapLubricant)},
		row{Boxes: []box{{Label: "caps on", Tick: true}, {Label: "tag", Tick: true}, named("place in spares rack", "")}})
	return []part{
		{"Decision", "second engineer", []row{
			l.ring("nozzle", keys.DecidedNozzle), l.ring("holder", keys.DecidedHolder), l.ring("spring", keys.DecidedSpring),
			{Label: "why", Boxes: []box{{Wide: true}}},
			{Label: "nozzle left", Boxes: []box{{Wide: true}, {Label: "marking", Wide: true}}},
		}},
		{"Built", "", []row{
			ticks("new seals", "screw", "body", "pocket"),
			ticks("", "dowels seated", "faces clean", "lubricant"),
			{Label: "nozzle nut", Boxes: append(l.steps(keys.AssembledNozzleNut),
				unit(l.s.Torque(keys.AssembledNozzleNutTorque)), named("wrench", "")),
				Beside: l.beside(keys.AssembledNozzleNutTorque, keys.AssembledNozzleNutLubricant)},
			{Label: "set to", Boxes: []box{{Ring: []string{"used", "new", "reground"}}, {Label: "lock nut, again", Tick: true}}},
		}},
		{"As left", "as left", left},
		l.fitted(),
	}
}

// fitted is the fitting of the valve.
func (l layout) fitted() part {
	return part{"Fitted", "fitted", []row{
		{Boxes: []box{named("engine", ""), named("cyl.", ""), named("day", ""), named("counter", "h")}},
		{Boxes: []box{named("rings out", ""), {Label: "pocket faced", Tick: true}, named("rings in", ""),
			{Label: "by hand to seat", Tick: true}}, Beside: l.count("rings", keys.FittedRingsIn)},
		{Label: "clamp nuts", Boxes: append(l.steps(keys.FittedClampNuts), unit(l.s.Torque(keys.FittedClampNutsTorque))),
			Beside: l.beside(keys.FittedClampNutsTorque, keys.FittedClampNutsLubricant)},
		{Label: "protrusion", Boxes: []box{unit("mm")}, Beside: l.beside(keys.FittedProtrusion)},
		{Label: "pipe nut", Boxes: []box{unit(l.s.Torque(keys.FittedPipeNutTorque)), {Label: "shields back", Tick: true}},
			Beside: l.beside(keys.FittedPipeNutTorque)},
		ticks("leak check", "cold", "warm", "loaded"),
		{Label: "after", Boxes: []box{named("load", "%"), named("exh.", "K"), named("pmax", "bar")},
			Beside: l.beside(keys.RunningAfterExhaustDeviation)},
	}}
}

// certificate is the left column for a valve that came on board built: what is copied from its certificate.
func (l layout) certificate() []part {
	return []part{
		{"Certificate", "", []row{
			{Label: "from", Boxes: []box{{Wide: true}}}, {Label: "number", Boxes: []box{{Wide: true}}},
			{Label: "limits used", Boxes: []box{{Wide: true}}},
			{Label: "uncertainty", Boxes: []box{named("pressure", l.s.Pressure()), named("time", "s")}},
			l.ring("set as", keys.ReceivedState), {Label: "nozzle ran", Boxes: []box{unit("h")}},
			{Label: "lift", Boxes: []box{unit("mm")}, Beside: l.beside(keys.MeasuredLiftValue)},
		}},
		{"As left, copied from the certificate", "", l.test("as_left", "")},
	}
}

// lookedAt is the right column: what is looked at on board before the valve is a ready spare, and its fitting.
func (l layout) lookedAt() []part {
	return []part{
		{"On board", "ready", []row{
			{Label: "nozzle", Boxes: []box{{Wide: true}, {Label: "marking", Wide: true}},
				Beside: l.beside(keys.NozzleMarking)},
			l.ring("marking", keys.ReceivedMarking), l.ring("caps", keys.ReceivedCaps),
			{Label: "opened", Boxes: []box{named("bench", ""), named("gauge", ""), unit(l.s.Pressure())},
				Beside: l.beside(keys.AsLeftOpeningPressure)},
			{Boxes: []box{{Label: "caps on", Tick: true}, {Label: "tag", Tick: true}, named("place in spares rack", "")}},
		}},
		l.fitted(),
	}
}

// test is the test on the pump, as found or as left.
func (l layout) test(block, first string) []row {
	k := func(key string) string { return block + "." + key }
	var rows []row
	if first != "" {
		rows = append(rows, row{Label: first, Boxes: []box{unit(l.s.Pressure())}, Beside: ""})
	}
	rows = append(rows,
		row{Label: "opening", Boxes: []box{unit(l.s.Pressure()), unit(l.s.Pressure()), unit(l.s.Pressure())},
			Beside: l.beside(k("opening_pressure"))},
		row{Label: "seat", Boxes: []box{named("at", l.s.Pressure()), named("for", "s")},
			Beside: l.beside(k("seat.at"), k("seat.state"))},
		row{Boxes: []box{l.options(k("seat.state")), named("drops", "")}},
		row{Label: "leak-down", Boxes: []box{named("from", l.s.Pressure()), named("to", l.s.Pressure()), unit("s")},
			Beside: l.beside(k("leak_down.from"), k("leak_down.to"), k("leak_down.time"), k("leak_down"))},
		row{Label: "spray", Boxes: []box{l.options(k("spray.pattern")), named("open", "")},
			Beside: l.count("holes", k("spray.open")), Clock: true},
		row{Label: "chatter", Boxes: []box{l.options(k("chatter"))}},
		row{Label: "nozzle joint", Boxes: []box{l.options(k("leaks.nozzle_joint"))}},
		row{Label: "inlet", Boxes: []box{l.options(k("leaks.inlet"))}},
	)
	if l.s.Limit[k("cooling")] != "" {
		rows = append(rows, row{Label: "cooling", Boxes: []box{named("at", l.s.Pressure()), unit("min"),
			l.options(k("cooling.state"))}, Beside: l.beside(k("cooling"))})
	}
	return rows
}

// count is a limit that is a bare number, with its name before it.
func (l layout) count(name, key string) string {
	if l.s.Limit[key] == "" {
		return ""
	}
	return l.Say(name) + ": " + l.s.Limit[key]
}

func places(names ...string) row {
	r := row{}
	for _, n := range names {
		r.Boxes = append(r.Boxes, box{Label: n, Small: true})
	}
	return r
}
