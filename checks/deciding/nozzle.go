package deciding

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// nozzle goes through the order of decisions for the nozzle that came out: crack, marking, lift, seat, needle,
// leak-down, holes, hours. Common practice, no source; the limits are the book's own.
func (w *work) nozzle(choices []Choice) []Step {
	steps := append([]Step{
		cracked("nozzle", "condemn", w.o.Inspected.PlacesOf("nozzle")),
		w.condemnedBefore("nozzle", w.o.Nozzle.Found.Written),
		w.marking(),
	}, w.lifts(choices)...)
	return w.elsewhere(append(steps,
		w.onMeasured("seat grown?", keys.MeasuredSeatDiameter, "seat diameter", w.in.SeatDia.Max.Stated() ||
			w.in.SeatDia.Allowance.Stated(), "renew", "seat_diameter").optional(),
		w.needle(),
		places("damaged?", "damaged", "renew", w.seen("needle end", "needle guide", "tip")),
		places("joint face damaged?", "damaged", "lap", w.seen("nozzle face")),
		w.seat(),
		w.leakDown(),
		w.holes(),
		w.life(),
	))
}

// elsewhere says where nothing on the bench explains a hot cylinder: the valve goes back, and the fault is still in the
// engine.
func (w *work) elsewhere(steps []Step) []Step {
	signs, act := w.o.AsFound.RunningBefore, w.in.Exhaust
	if !signs.Exhaust.Quantity.Valid() || !act.Act.Quantity.Valid() || signs.Exhaust.Compare(act.Act.Quantity) <= 0 ||
		act.Load.Quantity.Valid() && signs.Load.Quantity.Valid() && signs.Load.Compare(act.Load.Quantity) < 0 {
		return steps
	}
	for _, s := range steps {
		if s.Word != "" || s.Unknown != "" {
			return steps
		}
	}
	return append(steps, Step{Question: "hot cylinder explained?", Answer: "exhaust " + signs.Exhaust.String() +
		" off its reference, and nothing found on the bench", Place: signs.Exhaust.Place,
		Open: "what made the cylinder hot (" + signs.Exhaust.String() + "): thermocouple, pump, pipe, exhaust valve"})
}

// condemnedBefore asks whether the part's own file already says that it is never to be fitted again.
func (w *work) condemnedBefore(kind, serial string) Step {
	s := Step{Question: "condemned before?", Answer: "no", Stop: true}
	if p := w.book.Part(kind, serial); p != nil && p.Condemned.Stated() && p.Condemned.Date.Day != 0 &&
		p.Condemned.Date.Day < w.o.Day() {
		s.Answer, s.Word, s.Place = serial+" was condemned on "+p.Condemned.Date.Written, "condemn", p.Condemned.Place
	}
	return s
}

// marking asks whether the nozzle may run on this engine at all. One that may not is kept apart, not scrapped: it is
// not this engine's.
func (w *work) marking() Step {
	s := Step{Question: "marking permitted?", Limit: "markings"}
	mark := w.markingFound()
	var permitted []string
	for _, m := range w.in.Markings.Each {
		permitted = append(permitted, m.Written)
	}
	switch {
	case len(permitted) == 0:
		s.Answer = "no list in force then"
	case !mark.Stated():
		s.Answer, s.Open = "not known", "marking of the nozzle not known"
	case slices.Contains(permitted, mark.Written):
		s.Answer, s.Place = mark.Written, mark.Place
	default:
		s.Answer, s.Place = "marking "+mark.Written+" is not permitted on this engine (permitted: "+strings.Join(permitted,
			" or ")+"): keep it apart", mark.Place
		s.Word = "renew"
	}
	return s
}

// markingFound is the marking of the nozzle that came out, from the record, its own file, or the record or opening
// state that fitted it.
func (w *work) markingFound() logbook.Text {
	n := w.o.Nozzle
	switch p := w.book.Part("nozzle", n.Found.Written); {
	case n.MarkingFound.Stated():
		return n.MarkingFound
	case n.Marking.Stated() && n.Left.Written == n.Found.Written:
		return n.Marking
	case p != nil && p.Marking.Stated():
		return p.Marking
	}
	if s := w.book.Lives().ClosedBy(w.o); s != nil && s.Opened != nil && s.Opened.Nozzle.Left.Written == n.Found.Written {
		return s.Opened.Nozzle.Marking
	}
	for _, f := range w.book.Vessel.Opening.Fitted {
		if f.Nozzle.Written == n.Found.Written {
			return f.Marking
		}
	}
	for _, r := range w.book.Vessel.Opening.Rack {
		if r.Nozzle.Written == n.Found.Written {
			return r.Marking
		}
	}
	return logbook.Text{}
}

// lifts asks for the nozzle's own lift and for that with the wear of the holder's face, as the limits state the one,
// the other or both. Where they state both, the sum tells enough of a lift that was not written alone.
func (w *work) lifts(choices []Choice) []Step {
	limited, both := w.in.Lift.Max.Stated(), w.in.Effective.Max.Stated()
	own := w.tooLong(choices, w.onMeasured("lift over?", keys.MeasuredLift, "lift", limited, "renew", "lift"))
	sum := w.tooLong(choices, w.onMeasured("effective lift over?", judging.EffectiveLift, "effective lift", both, "renew",
		"effective_lift"))
	switch {
	case !both && (limited || own.Word != ""):
		return []Step{own}
	case !limited && own.Word == "":
		return []Step{sum}
	}
	return []Step{own.optional(), sum}
}

// tooLong says what becomes of a lift that is too long: ground where that can be done, else the nozzle is renewed.
// Where the holder's face alone makes it too long and is put right, the nozzle stays.
func (w *work) tooLong(choices []Choice, s Step) Step {
	if s.Word == "" {
		return s
	}
	for _, c := range choices {
		switch {
		case c.Part == "holder" && c.Enough:
			s.Word = ""
			s.Answer += ", but " + w.o.Measured.Lift.Value.String() + " once the holder's face is put right"
			return s
		case c.Part == "nozzle" && c.Grind.Possible:
			s.Word = "grind"
			s.Answer += "; grinding leaves " + c.Grind.After.String()
			if c.Grind.Supply.Price == "" && c.Grind.Supply.LeadDays == "" {
				s.Open = "who grinds it, at what cost and in what time"
			}
		case c.Part == "nozzle":
			s.Answer += "; not to be ground: " + c.Grind.Why
		}
	}
	return s
}

// needle asks whether the needle moves freely. One that sticks has picked up in its guide; one that was stuck and now
// falls free was only gummed up.
func (w *work) needle() Step {
	n, guide := w.o.Stripped, w.o.Inspected.NeedleGuide
	s := Step{Question: "needle free?", Answer: "not noted", Place: n.Needle.Place}
	if n.Needle.Stated() {
		s.Answer = n.Needle.Written
	}
	if n.NeedleFall.Stated() {
		s.Answer += ", falls: " + n.NeedleFall.Written
		s.Place = n.NeedleFall.Place
	}
	pop, median, spread := w.o.AsFound.FirstOpening, w.o.AsFound.Opening.Median(), w.settings.ReadingSpread
	sticky := pop.Quantity.Valid() && median.Quantity.Valid() && spread.Quantity.Valid() &&
		pop.Minus(median.Quantity).Compare(spread.Quantity) > 0
	if sticky {
		s.Answer += fmt.Sprintf(", first opening pressure %s above the readings", pop.Minus(median.Quantity))
	}
	switch {
	case n.NeedleFall.Is("sticks"):
		s.Word = "renew"
	case n.Needle.Is("stuck") && !n.NeedleFall.Stated():
		s.Unknown = "the needle was stuck, and how it falls now is not noted"
	case n.Needle.Is("stuck") && !guide.Stated():
		s.Unknown = "the needle was stuck, and its guide was not looked at"
	case n.Needle.Is("stuck", "stiff") || n.NeedleFall.Is("slow") || sticky:
		s.Word = "clean"
	}
	return s
}

// life asks for the running hours: over the life, and whether the next service life would pass what is never to be run.
func (w *work) life() Step {
	s := w.onMeasured("hours over its life?", "nozzle_hours", "running hours of the nozzle",
		w.in.NozzleLife.Renew.Stated(), "renew", "nozzle_life").optional()
	s.Open = strings.Replace(s.Open, "not measured", "not known", 1) // hours are worked out
	never := w.in.NozzleLife.Never
	if s.Word != "" || !never.Quantity.Valid() || !s.Verdict.Value.Valid() {
		return s
	}
	p := logbook.Position{Engine: w.o.Removed.Engine.Written, Cylinder: w.o.Removed.Cylinder.Written}
	if w.o.Fitted.Stated() {
		p = logbook.Position{Engine: w.o.Fitted.Engine.Written, Cylinder: w.o.Fitted.Cylinder.Written}
	}
	next, ok := w.book.IntervalOn(p, w.day)
	if !ok || s.Verdict.Value.Kind() != measure.Hours || next.Hours.Kind() != measure.Hours {
		return s
	}
	if then := s.Verdict.Value.Plus(next.Hours.Quantity); then.Compare(never.Quantity) > 0 {
		s.Word = "renew"
		s.Answer = fmt.Sprintf("running hours of the nozzle %s would be %s after the next interval, never beyond %s",
			s.Verdict.Value, then, never)
	}
	return s
}
