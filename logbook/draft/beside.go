package draft

import (
	"slices"
	"sort"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
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
	put(keys.AsFoundOpeningPressure, "look under", o.AsFound.Look.Written, "find the cause under", o.AsFound.Cause.Written)
	switch {
	case !s.ClassKnown:
		put(keys.AsLeftOpeningPressure, "used", o.Used.String(), "new", o.New.String(), "reground", o.Reground.String())
	case s.Class == logbook.New:
		put(keys.AsLeftOpeningPressure, "new parts:", o.New.String())
	case s.Class == logbook.Reground && o.Reground.Stated():
		put(keys.AsLeftOpeningPressure, "reground:", o.Reground.String())
	default:
		put(keys.AsLeftOpeningPressure, "used:", o.Used.String())
	}
	for _, test := range []string{"as_found", "as_left"} {
		put(test+".oil", "", e.Oil.String())
		put(test+".closing_pressure", "share of opening", e.Closing.String())
		put(test+".seat.at", "", e.Seat.At.Written)
		put(test+".seat.state", "at worst", e.Seat.Allow.Written)
		put(test+".leak_down.from", "", e.LeakDown.From.Written)
		put(test+".leak_down.to", "", e.LeakDown.To.Written, "a fall of", e.LeakDown.Fall.Written)
		put(test+".cooling", "tight at", e.Cooling.At.Written, "for", e.Cooling.For.Written)
		put(test+".spray.open", "", e.Holes.Count.Written)
		s.know(test+".seat.for", e.Seat.For)
	}
	put(keys.AsFoundLeakDownTime, "", e.LeakDown.AsFound.String())
	put(keys.AsLeftLeakDownTime, "", e.LeakDown.AsLeft.String(), "new", e.LeakDown.New.String())
	settings := s.book.Settings()
	how := "pump the last " + settings.FastPumping.Written + " slowly; start timing at the first pressure while it " +
		"falls; in doubt below " + settings.SecondHold.Written + ": time it twice"
	put(keys.AsFoundLeakDown, "", how)
	put(keys.AsLeftLeakDown, "", how)
	put(keys.StrippedNeedleFreedBath, "", e.Bath.String())
	put(keys.CleanedHoleNeedles, "holes", e.Holes.Size.Written)
	put(keys.MeasuredLiftValue, "new", e.Lift.New.String(), "at most", e.Lift.Max.Written)
	put(keys.MeasuredEffectiveLiftValue, "new", e.Effective.New.String(), "at most", e.Effective.Max.Written)
	put(keys.MeasuredHolderWearValue, "at most", e.HolderWear.Max.Written)
	put(keys.MeasuredSeatDiameterValue, "new", e.SeatDia.Nominal.Written, "at most", e.SeatDia.Max.Written, "allowance",
		e.SeatDia.Allowance.Written)
	put(keys.MeasuredNoGoResult, "must stop", e.Holes.NoGo.Written)
	put(keys.MeasuredSpringLengthValue, "new", e.Spring.Length.Written, "at least", e.Spring.Min.Written)
	s.know(keys.MeasuredNoGoWire, e.Holes.NoGo)
	for key, t := range map[string]logbook.TorqueLimits{keys.AssembledNozzleNut: e.NozzleNut, keys.AsLeftEndCap: e.EndCap,
		keys.FittedClampNuts: e.ClampNuts, keys.FittedPipeNut: e.PipeNut} {
		s.unit(key+".torque", t.Torque)
		put(key+".torque", "", t.Torque.String(), "±", t.Tolerance.Written)
		put(key+".steps", "", t.Steps.Written)
		put(key+".lubricant", "", t.Lubricant.Written)
	}
	put(keys.FittedProtrusion, "", e.Protrusion.String())
	put(keys.FittedRingsIn, "", s.book.Vessel.Settings.WithDefaults().Rings.Written)
	put(keys.RemovedRingsOut, "", s.book.Vessel.Settings.WithDefaults().Rings.Written)
	put(keys.RunningAfterExhaustDeviation, "look at", e.Exhaust.Look.Written, "act at", e.Exhaust.Act.Written)
	put(keys.RunningAfterLoad, "at least", e.Exhaust.Load.Written)
	var marks []string
	for _, m := range e.Markings.Each {
		marks = append(marks, m.Written)
	}
	put(keys.NozzleMarking, "", strings.Join(marks, ", "))
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
			put(keys.MeasuredHolderWearValue, m.HolderWear.Value.Leaf, m.HolderWear.Value.Written, o.Day())
			put(keys.MeasuredSpringLengthValue, m.SpringLength.Value.Leaf, m.SpringLength.Value.Written, o.Day())
			for _, test := range []string{"as_found", "as_left"} {
				put(test+".opening_pressure", left.Opening.Leaf, left.Opening.Median().Written, o.Day())
				put(test+".leak_down.time", left.LeakDown.Time.Leaf, left.LeakDown.Time.Written, o.Day())
				put(test+".closing_pressure", left.Closing.Leaf, left.Closing.Written, o.Day())
			}
			put(keys.FittedProtrusion, o.Fitted.Protrusion.Leaf, o.Fitted.Protrusion.Written, o.Day())
		}
		if s.Nozzle != "" && o.Nozzle.Left.Written == s.Nozzle {
			put(keys.MeasuredLiftValue, m.Lift.Value.Leaf, m.Lift.Value.Written, o.Day())
			put(keys.MeasuredSeatDiameterValue, m.SeatDiameter.Value.Leaf, m.SeatDiameter.Value.Written, o.Day())
			put(keys.NozzleMarking, o.Nozzle.Marking.Leaf, o.Nozzle.Marking.Written, o.Day())
		}
	}
	if s.Last[keys.AsFoundOpeningPressure] == "" {
		for _, f := range s.book.Vessel.Opening.Fitted {
			if f.Holder.Written == s.Holder {
				put(keys.AsFoundOpeningPressure, f.Left.Leaf, f.Left.Written, s.book.Vessel.Opening.Date.Day)
			}
		}
	}
	if part := s.book.Part("nozzle", s.Nozzle); part != nil && s.Last[keys.MeasuredLiftValue] == "" {
		put(keys.MeasuredLiftValue, part.Lift.Leaf, part.Lift.Written, part.Received.Day)
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
	put(kinds["bench"], keys.ReceivedOpenedAboardBench, keys.AsFoundBench, keys.AsLeftBench)
	put(kinds["gauge"], keys.ReceivedOpenedAboardGauge, keys.AsFoundGauge, keys.AsLeftGauge)
	put(kinds["torque wrench"], keys.AssembledNozzleNutWrench, keys.AsLeftEndCapWrench, keys.FittedClampNutsWrench,
		keys.FittedPipeNutWrench)
	lengths := slices.Concat(kinds["dial gauge"], kinds["depth gauge"], kinds["micrometer"])
	put(lengths, keys.MeasuredLiftWith, keys.MeasuredHolderWearWith)
	put(kinds["magnifier"], keys.MeasuredSeatDiameterWith, keys.MeasuredSeatBandWith)
	put(kinds["calliper"], keys.MeasuredSpringLengthWith)
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
