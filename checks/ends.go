package checks

// What ends the findings of more than one check. One that is a check's own stands in its file.
//
// Never ended by a later overhaul or a removal, at their grade, only by what stands behind each: a record changed after
// signing, history rewritten, copied figures (answered ashore); one serial in two places (somebody has read the stamp);
// nozzle marking not permitted (both entries in the record book of engine parameters are stated); a deferral exceeded
// (its approver answers); leak check or shields not confirmed (confirmed); a cracked or condemned part (scrapped, or
// landed with a receipt); parts held for a claim (settled); a gauge used beyond its calibration (its certificate's
// as-found result is entered, never a new gauge); a condition of class (the surveyor's statement). A removal takes them
// from what is on the engines to the records, no further.
var (
	writing       = &End{By: "the line is corrected"}
	signature     = &End{By: "somebody else countersigns the record, while it can still be looked at", Signature: true}
	figuresAshore = &End{By: "it is answered ashore", Never: true, Answer: Ashore}
	stamp         = &End{By: "somebody has read the stamp, and the wrong entry is corrected", Never: true}
	scrapped      = &End{By: "the part is scrapped, or landed with a receipt", Never: true, fact: scrappedSince}

	testedAgain = &End{By: "the valve is tested again", work: func(_ *histories, _ question, s step) bool {
		return s.left && tested(&s.o.AsLeft) || !s.left && tested(&s.o.AsFound)
	}}
	foundAgain = &End{By: "the valve is tested as found again", work: func(_ *histories, _ question, s step) bool {
		return !s.left && tested(&s.o.AsFound)
	}}
	setAgain = &End{By: "the valve is set and tested again", work: func(_ *histories, _ question, s step) bool {
		return s.left && len(s.o.AsLeft.Opening.Valid()) > 0
	}}
	builtAgain = &End{By: "the valve is built up again", work: func(_ *histories, _ question, s step) bool {
		return s.left && s.o.Assembled.Stated()
	}}
	inspectedAgain = &End{By: "the place is looked at in a later overhaul",
		work: func(h *histories, a question, s step) bool {
			return !s.left && s.o.Inspected.Stated() && h.quiet(a, s)
		}}
	holderMeasured = &End{By: "the holder is measured again", work: func(_ *histories, _ question, s step) bool {
		return !s.left && s.o.Measured.HolderWear.Value.Stated()
	}}

	sealRenewed = &End{By: "the next assembly with the seal renewed", work: func(h *histories, a question, s step) bool {
		return s.left && h.quiet(a, s) && (s.o.Assembled.Seals.Stated() || a.Kind == OfPocket)
	}}
	springDone = &End{By: "the spring is renewed, or measured again within its limit",
		work: func(h *histories, a question, s step) bool {
			return s.left && s.o.Decided.Spring.Is("renew") ||
				!s.left && s.o.Measured.SpringLength.Value.Stated() && h.quiet(a, s)
		}}
	faceGround = &End{By: "the holder is condemned or scrapped, or its face is ground",
		work: func(_ *histories, _ question, s step) bool {
			return s.left && s.o.Decided.Holder.Is("grind", "renew", "condemn")
		}}
	causeFound = &End{By: "the spring is measured or renewed, a cause is named, or the valve is as found within its " +
		"band after at least 80 % of the hours in which it was lost", fact: lossExplained}

	nozzleTested = &End{By: "the nozzle is tested again as found, or renewed",
		work: func(_ *histories, a question, s step) bool {
			return renewed(a, s) || !s.left && a.found(s) && tested(&s.o.AsFound)
		}}
	nozzleGood = &End{By: "the nozzle passes a later test, or is renewed",
		work: func(h *histories, a question, s step) bool {
			return renewed(a, s) || h.quiet(a, s) && (s.left && a.left(s) && tested(&s.o.AsLeft) ||
				!s.left && a.found(s) && tested(&s.o.AsFound))
		}}
	nozzleInspected = &End{By: "guide and tip are looked at in a later overhaul, or the nozzle is renewed",
		work: func(h *histories, a question, s step) bool {
			return renewed(a, s) || !s.left && a.found(s) && s.o.Inspected.NeedleGuide.Stated() &&
				s.o.Inspected.Tip.Stated() && h.quiet(a, s)
		}}
	nozzleMeasured = &End{By: "the lift is measured again, or the nozzle is renewed",
		work: func(_ *histories, a question, s step) bool {
			return renewed(a, s) || !s.left && a.found(s) && s.o.Measured.Lift.Value.Stated()
		}}
	wornOut = &End{By: "the part is renewed, condemned, scrapped, or measured again within its limit",
		work: func(h *histories, a question, s step) bool {
			m := s.o.Measured
			if a.Kind == OfHolder {
				return s.left && s.o.Decided.Holder.Is("renew", "condemn", "grind") ||
					!s.left && m.HolderWear.Value.Stated() && h.quiet(a, s)
			}
			return renewed(a, s) || !s.left && a.found(s) && m.Lift.Value.Stated() && h.quiet(a, s)
		}}

	pocketCleared = &End{By: "the pocket is faced, one ring fitted, and the protrusion is within", fact: pocketDone}
	valveOut      = &End{By: "the valve is taken out of that position", work: func(_ *histories, _ question, s step) bool {
		return !s.left
	}}
	valveChanged = &End{By: "a valve is fitted in that position again", work: func(_ *histories, _ question, s step) bool {
		return s.left
	}}
	valveLasted = &End{By: "a later valve in that position is pulled as planned",
		work: func(h *histories, a question, s step) bool {
			return !s.left && s.o.Removed.Reason.Is("planned") && h.quiet(a, s)
		}}

	instrumentProved = &End{By: "the instrument is compared with a good one, or its certificate's as-found result is " +
		"entered: never a new instrument", Never: true, fact: compared}
	nextRound = &End{By: "the next round of the engine does not show it", fact: roundAfter}
)

// found and left say that the nozzle of the question came out, or went back, with a step.
func (a question) found(s step) bool { return s.o.Nozzle.Found.Written == a.Name }
func (a question) left(s step) bool  { return s.o.Nozzle.Left.Written == a.Name }

// renewed says that a step put another nozzle in the place of the one of the question.
func renewed(a question, s step) bool {
	return s.left && a.found(s) && (s.o.Decided.Nozzle.Is("renew", "condemn") || s.o.Nozzle.Left.Stated() && !a.left(s))
}

// pocketDone is the later fitting that shows the pocket in order. Rings that were not counted are shown to be right by
// the next count.
func pocketDone(h *histories, f *Finding) (Fact, bool) {
	done := func(h *histories, a question, s step) bool {
		fit := s.o.Fitted
		return s.left && (fit.PocketFaced.Is("yes") || a.check != "rings") && fit.RingsIn.Valid &&
			fit.RingsIn.Value == h.c.Settings.Rings.Value && fit.Protrusion.Stated() && !h.said["protrusion"][s.o.Stem]
	}
	a := question{f.Check, f.Subject}
	if o, _ := h.half(f); f.Check == "rings" && o != nil && (f.Place == o.Removed.Place || f.Place == o.Fitted.Place) {
		a.check = "rings not counted"
		done = func(_ *histories, _ question, s step) bool {
			return s.left && s.o.Fitted.RingsIn.Valid || !s.left && s.o.Removed.RingsOut.Valid
		}
	}
	chain := h.of(f.Subject)
	s, ok := h.first(a, chain, h.own(f, chain)+1, done)
	return s.fact(), ok
}

// lossExplained is the first thing after a loss of opening pressure that explains it, or shows that it does not go on.
func lossExplained(h *histories, f *Finding) (Fact, bool) {
	chain := h.of(f.Subject)
	from := h.own(f, chain)
	sprung := func(_ *histories, _ question, s step) bool {
		return !s.left && s.o.Measured.SpringLength.Value.Stated() || s.left && s.o.Decided.Spring.Is("renew")
	}
	s, ok := h.first(question{"spring looked at", f.Subject}, chain, max(from, 0), sprung)
	o, _ := h.half(f)
	if o == nil {
		return s.fact(), ok
	}
	lost := h.c.Lives.ClosedBy(o)
	const enough = 0.8
	for _, t := range chain[min(from+1, len(chain)):] {
		period := h.c.Lives.ClosedBy(t.o)
		switch {
		case ok && t == s:
			return s.fact(), true
		case t.left || t.o == o || lost == nil || period == nil || !lost.HoursKnown || !period.HoursKnown:
		case len(t.o.AsFound.Opening.Valid()) > 0 && period.Hours >= enough*lost.Hours && !h.said["opening-lost"][t.o.Stem]:
			return t.fact(), true
		}
	}
	return s.fact(), ok
}

// compared is the entry in an instrument's file that says how it read after the finding.
func compared(h *histories, f *Finding) (Fact, bool) {
	i := h.c.Book.Instruments[f.Subject.Name]
	if i == nil || f.Since == 0 {
		return Fact{}, false
	}
	for _, x := range i.Comparisons {
		if x.True.Stated() && x.Shows.Stated() && x.Date.Day >= f.Since && x.Date.Day <= h.c.Today {
			return Fact{x.Date.Day, x.Place, "compared with " + x.Against.Written}, true
		}
	}
	for _, w := range i.FoundWrong {
		if inTime(w, f.Since) {
			return Fact{w.To.Day, w.Place, "on record as out of tolerance"}, true
		}
	}
	return Fact{}, false
}

// roundAfter is the next round of the same engine of which the check says nothing.
func roundAfter(h *histories, f *Finding) (Fact, bool) {
	i, known := h.rounds[f.Subject.Name]
	if !known {
		return Fact{}, false
	}
	for _, r := range h.c.Rounds[i+1:] {
		if r.Engine == h.c.Rounds[i].Engine && r.First <= h.c.Today && !h.said[f.Check][r.Name] {
			return Fact{r.First, r.Overhauls[0].Opening, "round " + r.Name}, true
		}
	}
	return Fact{}, false
}

// scrappedSince is the line that says that the part is scrapped, or where it was landed.
func scrappedSince(h *histories, f *Finding) (Fact, bool) {
	p := h.c.Book.Part(f.Subject.Kind.String(), f.Subject.Name)
	if p == nil || !p.Scrapped.Stated() || p.Scrapped.Date.Day < f.Since || p.Scrapped.Date.Day > h.c.Today {
		return Fact{}, false
	}
	return Fact{p.Scrapped.Date.Day, p.Scrapped.Place, f.Subject.String()}, true
}

// allSetAgain says that none of the valves set with a gauge out of tolerance waits for another test.
func allSetAgain(_ *histories, f *Finding) (Fact, bool) {
	return Fact{0, f.Place, "none waits for another test"}, f.Grade == Note
}
