package draft

import (
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// limits puts each limit of the revision beside the blank it is for.
func (s *Sheet) limits(e *logbook.Revision) {
	put := func(key string, parts ...string) {
		var text []string
		for i := 0; i+1 < len(parts); i += 2 {
			if parts[i+1] != "" {
				text = append(text, strings.TrimSpace(parts[i]+" "+parts[i+1]))
			}
		}
		if len(text) > 0 {
			s.Limit[key] = strings.Join(text, ", ")
		}
	}
	o := e.Opening
	for _, b := range []logbook.Band{o.Used, o.New, o.Reground} {
		s.unit("opening_pressure", b)
	}
	put("as_found.opening_pressure", "look under", o.AsFound.Look.Written, "find the cause under", o.AsFound.Cause.Written)
	switch {
	case !s.ClassKnown:
		put("as_left.opening_pressure", "used", o.Used.String(), "new", o.New.String(), "reground", o.Reground.String())
	case s.Class == logbook.New:
		put("as_left.opening_pressure", "new parts:", o.New.String())
	case s.Class == logbook.Reground && o.Reground.Stated():
		put("as_left.opening_pressure", "reground:", o.Reground.String())
	default:
		put("as_left.opening_pressure", "used:", o.Used.String())
	}
	for _, test := range []string{"as_found", "as_left"} {
		put(test+".oil", "", e.Oil.String())
		put(test+".closing_pressure", "share of opening", e.Closing.String())
		put(test+".seat.at", "", e.Seat.At.Written)
		put(test+".seat.state", "at worst", e.Seat.Allow.Written)
		put(test+".leak_down.from", "", e.LeakDown.From.Written)
		put(test+".leak_down.to", "", e.LeakDown.To.Written, "a fall of", e.LeakDown.Fall.Written)
		put(test+".spray.open", "", e.Holes.Count.Written)
		s.know(test+".seat.for", e.Seat.For)
	}
	put("as_found.leak_down.time", "", e.LeakDown.AsFound.String())
	put("as_left.leak_down.time", "", e.LeakDown.AsLeft.String(), "new", e.LeakDown.New.String())
	put("stripped.needle_freed.bath", "", e.Bath.String())
	put("cleaned.hole_needles", "holes", e.Holes.Size.Written)
	put("measured.lift.value", "new", e.Lift.New.String(), "at most", e.Lift.Max.Written)
	put("measured.effective_lift.value", "new", e.Effective.New.String(), "at most", e.Effective.Max.Written)
	put("measured.holder_wear.value", "at most", e.HolderWear.Max.Written)
	put("measured.seat_diameter.value", "new", e.SeatDia.Nominal.Written, "at most", e.SeatDia.Max.Written, "allowance",
		e.SeatDia.Allowance.Written)
	put("measured.no_go.result", "must stop", e.Holes.NoGo.Written)
	put("measured.spring_length.value", "new", e.Spring.Length.Written, "at least", e.Spring.Min.Written)
	s.know("measured.no_go.wire", e.Holes.NoGo)
	for key, t := range map[string]logbook.TorqueLimits{"assembled.nozzle_nut": e.NozzleNut, "as_left.end_cap": e.EndCap,
		"fitted.clamp_nuts": e.ClampNuts, "fitted.pipe_nut": e.PipeNut} {
		s.unit(key+".torque", t.Torque)
		put(key+".torque", "", t.Torque.String(), "±", t.Tolerance.Written)
		put(key+".steps", "", t.Steps.Written)
		put(key+".lubricant", "", t.Lubricant.Written)
	}
	put("fitted.protrusion", "", e.Protrusion.String())
	put("fitted.rings_in", "", s.book.Vessel.Settings.WithDefaults().Rings.Written)
	put("removed.rings_out", "", s.book.Vessel.Settings.WithDefaults().Rings.Written)
	put("running_after.exhaust_deviation", "look at", e.Exhaust.Look.Written, "act at", e.Exhaust.Act.Written)
	put("running_after.load", "at least", e.Exhaust.Load.Written)
	var marks []string
	for _, m := range e.Markings.Each {
		marks = append(marks, m.Written)
	}
	put("nozzle.marking", "", strings.Join(marks, ", "))
}

// know fills in what the test is made with, not what it shows.
func (s *Sheet) know(key string, a logbook.Amount) {
	if a.Quantity.Valid() {
		s.Known[key] = a.Written
	}
}

// unit keeps the unit of a limit for the blank it is for; the first that states one holds.
func (s *Sheet) unit(key string, b logbook.Band) {
	for _, end := range []measure.Quantity{b.Low, b.High} {
		if end.Valid() && s.units[key] == "" {
			s.units[key] = end.Unit().Name
		}
	}
}

// lasts puts the last value beside each blank: of the holder, or of the nozzle wherever it was.
func (s *Sheet) lasts(now *logbook.Overhaul) {
	put := func(key string, l logbook.Leaf, text string, day logbook.Day) {
		if l.Stated() && text != "" {
			s.Last[key] = text + " on " + day.String()
		}
	}
	for _, o := range s.book.Overhauls {
		if o == now || o.Day() > s.Day || now != nil && o.Day() == s.Day && o.Stem >= now.Stem {
			continue
		}
		m, left := o.Measured, o.AsLeft
		if o.Holder.Written == s.Holder {
			put("measured.holder_wear.value", m.HolderWear.Value.Leaf, m.HolderWear.Value.Written, o.Day())
			put("measured.spring_length.value", m.SpringLength.Value.Leaf, m.SpringLength.Value.Written, o.Day())
			for _, test := range []string{"as_found", "as_left"} {
				put(test+".opening_pressure", left.Opening.Leaf, left.Opening.Median().Written, o.Day())
				put(test+".leak_down.time", left.LeakDown.Time.Leaf, left.LeakDown.Time.Written, o.Day())
				put(test+".closing_pressure", left.Closing.Leaf, left.Closing.Written, o.Day())
			}
			put("fitted.protrusion", o.Fitted.Protrusion.Leaf, o.Fitted.Protrusion.Written, o.Day())
		}
		if s.Nozzle != "" && o.Nozzle.Left.Written == s.Nozzle {
			put("measured.lift.value", m.Lift.Value.Leaf, m.Lift.Value.Written, o.Day())
			put("measured.seat_diameter.value", m.SeatDiameter.Value.Leaf, m.SeatDiameter.Value.Written, o.Day())
			put("nozzle.marking", o.Nozzle.Marking.Leaf, o.Nozzle.Marking.Written, o.Day())
		}
	}
	if s.Last["as_found.opening_pressure"] == "" {
		for _, f := range s.book.Vessel.Opening.Fitted {
			if f.Holder.Written == s.Holder {
				put("as_found.opening_pressure", f.Left.Leaf, f.Left.Written, s.book.Vessel.Opening.Date.Day)
			}
		}
	}
	if part := s.book.Part("nozzle", s.Nozzle); part != nil && s.Last["measured.lift.value"] == "" {
		put("measured.lift.value", part.Lift.Leaf, part.Lift.Written, part.Received.Day)
	}
}

// instruments lists those in date on the day; the only one of its kind is not filled in either, since the signer may
// hold another.
func (s *Sheet) instruments() {
	kinds := map[string][]string{}
	for id, i := range s.book.Instruments {
		if i.Until.Day == 0 || i.Until.Day >= s.Day {
			kinds[i.Kind.Written] = append(kinds[i.Kind.Written], id)
		}
	}
	for _, ids := range kinds {
		sort.Strings(ids)
	}
	put := func(list []string, keys ...string) {
		for _, k := range keys {
			if len(list) > 0 {
				s.Choice[k] = strings.Join(list, " | ")
			}
		}
	}
	put(kinds["bench"], "as_found.bench", "as_left.bench")
	put(kinds["gauge"], "as_found.gauge", "as_left.gauge")
	put(kinds["torque wrench"], "assembled.nozzle_nut.wrench", "as_left.end_cap.wrench", "fitted.clamp_nuts.wrench",
		"fitted.pipe_nut.wrench")
	lengths := slices.Concat(kinds["dial gauge"], kinds["depth gauge"], kinds["micrometer"])
	put(lengths, "measured.lift.with", "measured.holder_wear.with")
	put(kinds["magnifier"], "measured.seat_diameter.with", "measured.seat_band.with")
	put(kinds["calliper"], "measured.spring_length.with")
}

// hands lists who is aboard on the day.
func (s *Sheet) signers() {
	var aboard []string
	for _, c := range s.book.Crew {
		if (c.From.Day == 0 || c.From.Day <= s.Day) && (c.To.Day == 0 || c.To.Day >= s.Day) &&
			!slices.Contains(aboard, c.ID.Written) {
			aboard = append(aboard, c.ID.Written)
		}
	}
	for _, k := range []string{"by", "fitted_by", "checked_by"} {
		if len(aboard) > 0 {
			s.Choice[k] = strings.Join(aboard, " | ")
		}
	}
}
