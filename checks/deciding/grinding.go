package deciding

import (
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// choices weighs regrinding against renewing where the lift or the wear of the face is beyond its limit, or
// grinding was decided.
func (w *work) choices(holder Proposal) []Choice {
	var all []Choice
	if !w.opened() {
		return nil
	}
	lift, wear := w.judged.LiftOf(w.o), w.find(keys.MeasuredHolderWear)
	faced := holder.Word == "grind" || holder.outOfUse()
	enough := faced && w.liftAloneWithin()
	if lift.Result.Out() && !enough || w.o.Decided.Nozzle.Is("grind") {
		all = append(all, w.nozzleChoice(faced))
	}
	// facing the holder may be enough
	if wear.Result.Out() || w.o.Decided.Holder.Is("grind") || lift.Result.Out() && w.liftAloneWithin() {
		all = append(all, w.holderChoice(enough))
	}
	return all
}

// liftAloneWithin says that the nozzle's own lift, without the wear of the holder, is within the limit of the effective
// lift, and within its own.
func (w *work) liftAloneWithin() bool {
	lift, most := w.o.Measured.Lift.Value, w.in.Effective.Max
	return !w.find(keys.MeasuredLift).Result.Out() && lift.Quantity.Valid() && most.Quantity.Valid() &&
		lift.Kind() == most.Kind() && lift.Compare(most.Quantity) <= 0
}

// grindable says whether and how much may still come off a part, by the limits file and what was ground before.
func (w *work) grindable(part, serial string) Side {
	g := w.in.Grind
	s := Side{Limit: g.Max.Leaf}
	if l := w.book.LimitsFor(w.o); l != nil && g.Present() {
		if e, ok := l.RevisionOf(g.Place); ok {
			s.Source = e.Source.Written
		}
	}
	done, off, complete := w.ground(part, serial)
	s.Times = soFar("ground", done)
	if g.Times.Valid {
		s.Times += ", at most " + g.Times.Written
	}
	switch {
	case g.Allowed.Is("no"):
		s.Why = "the limits file says that the maker does not allow it"
	case !g.Allowed.Is("yes"):
		s.Why = "the limits file does not say that the maker allows it"
	case g.Times.Valid && float64(done) >= g.Times.Value:
		s.Why = s.Times
	case !g.Max.Quantity.Valid():
		s.Why = "the limits file does not say how much may come off"
	case !complete:
		s.Why = "how much came off before is not in the book"
	default:
		s.Possible, s.Most = true, g.Max.Quantity
		if off.Valid() {
			s.Most = s.Most.Minus(off)
		}
		if s.Most.Float() <= 0 {
			s.Possible, s.Why = false, "all that may come off is gone: "+off.String()
		}
	}
	return s
}

// soFar counts in words: "not ground yet", "ground twice".
func soFar(what string, n int) string {
	switch n {
	case 0:
		return "not " + what + " yet"
	case 1:
		return what + " once"
	case 2:
		return what + " twice"
	}
	return what + " " + logbook.Counted(n, "time")
}

// ground counts the regrinds of a part before this record, and adds up what came off; complete is false where one of
// them does not say how much.
func (w *work) ground(part, serial string) (done int, off measure.Quantity, complete bool) {
	complete = true
	if p := w.book.Part(part, serial); p != nil {
		for _, r := range p.Regrinds {
			if r.Date.Day == 0 || r.Date.Day >= w.o.Day() {
				continue
			}
			done++
			switch {
			case !r.Off.Quantity.Valid():
				complete = false
			case off.Valid():
				off = off.Plus(r.Off.Quantity)
			default:
				off = r.Off.Quantity
			}
		}
	}
	decided := 0
	if part == "nozzle" {
		decided = w.earlier("grind", false)
	} else {
		for _, o := range w.book.Lives().Benches(serial) {
			if o.Day() < w.o.Day() && o.Decided.Holder.Is("grind") {
				decided++
			}
		}
	}
	return max(done, decided), off, complete && done >= decided
}
