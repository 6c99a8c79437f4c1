package checks

import (
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

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
	writing   = &End{Ways: only("the line is corrected")}
	signature = &End{Signature: true,
		Ways: only("somebody else countersigns the record, while it can still be looked at")}
	figuresAshore = &End{Ways: only("it is answered ashore"), Never: true, Answer: Ashore}
	stamp         = &End{Never: true, Ways: []Way{
		{By: "somebody has read the stamp", fact: stampRead}, {By: "the wrong entry is corrected"}}}
	scrapped = &End{Never: true, Ways: []Way{
		{By: "the part is scrapped", fact: scrappedSince},
		{By: "the part is landed with a receipt", fact: landedSince}}}

	testedAgain = byWork("the valve is tested again", func(_ *histories, _ question, s step) bool {
		return s.left && tested(&s.o.AsLeft) || !s.left && tested(&s.o.AsFound)
	})
	foundAgain = byWork("the valve is tested as found again", func(_ *histories, _ question, s step) bool {
		return !s.left && tested(&s.o.AsFound)
	})
	setAgain = byWork("the valve is set and tested again", func(_ *histories, _ question, s step) bool {
		return s.left && len(s.o.AsLeft.Opening.Valid()) > 0
	})
	builtAgain = byWork("the valve is built up again", func(_ *histories, _ question, s step) bool {
		return s.left && s.o.Assembled.Stated()
	})
	inspectedAgain = byWork("the place is looked at in a later overhaul", func(_ *histories, _ question, s step) bool {
		return !s.left && s.o.Inspected.Stated() && len(placesMissed(s.o)) == 0
	})
	holderMeasured = byWork("the holder is measured again", func(_ *histories, _ question, s step) bool {
		return !s.left && s.o.Measured.HolderWear.Value.Stated()
	})

	sealRenewed = byWork("the next assembly with the seal renewed", func(h *histories, a question, s step) bool {
		return s.left && h.quiet(a, s) && s.o.Assembled.Seals.Stated()
	})
	springDone = &End{Ways: []Way{
		{By: "the spring is renewed", work: springRenewed},
		{By: "it is measured again within its limit", work: func(h *histories, a question, s step) bool {
			return !s.left && h.within(s.o, keys.MeasuredSpringLength) && h.quiet(a, s)
		}}}}
	faceGround = &End{Ways: []Way{
		{By: "the face of the holder is ground", work: holderDecided("grind")},
		{By: "the holder is renewed or condemned", work: holderDecided("renew", "condemn")}}}
	causeFound = &End{Ways: []Way{
		{By: "the spring is measured or renewed", fact: since(func(h *histories, a question, s step) bool {
			return !s.left && s.o.Measured.SpringLength.Value.Stated() || springRenewed(h, a, s)
		})},
		{By: "a cause is named at the spring", fact: since(func(_ *histories, _ question, s step) bool {
			return !s.left && s.o.Inspected.Spring.Is("marked", "damaged", "cracked")
		})},
		{By: "the valve is as found within its band after at least 80 % of the hours in which it was lost", fact: lasted}}}

	nozzleTested = &End{Ways: []Way{nozzleRenewed,
		{By: "it is tested again as found", work: func(_ *histories, a question, s step) bool {
			return !s.left && a.found(s) && tested(&s.o.AsFound)
		}}}}
	seatTight     = passes("its seat is tight in a later test", keys.AsFoundSeatState, keys.AsLeftSeatState)
	leakDownRight = passes("its leak-down is within in a later test", keys.AsFoundLeakDownTime, keys.AsLeftLeakDownTime)
	coolingTight  = passes("its cooling space is tight in a later test", keys.AsFoundCooling, keys.AsLeftCooling)
	sprayRight    = passes("its spray is right in a later test", keys.AsFoundSpray, keys.AsLeftSpray)

	nozzleInspected = &End{Ways: []Way{nozzleRenewed,
		{By: "its guide and tip are looked at in a later overhaul", work: func(h *histories, a question, s step) bool {
			return !s.left && a.found(s) && s.o.Inspected.NeedleGuide.Stated() && s.o.Inspected.Tip.Stated() && h.quiet(a, s)
		}}}}
	nozzleMeasured = &End{Ways: []Way{nozzleRenewed,
		{By: "its lift is measured again", work: func(_ *histories, a question, s step) bool {
			return !s.left && a.found(s) && s.o.Measured.Lift.Value.Stated()
		}}}}
	nozzleReplaced = &End{Ways: []Way{nozzleRenewed}}
	wornOut        = &End{Ways: []Way{partRenewed,
		{By: "it is measured again within its limit", work: func(h *histories, a question, s step) bool {
			if s.left || !h.quiet(a, s) {
				return false
			}
			if a.Kind == OfHolder {
				return h.within(s.o, keys.MeasuredHolderWear)
			}
			return a.found(s) && h.within(s.o, keys.MeasuredLift, judging.EffectiveLift, keys.MeasuredNoGo)
		}}}}
	seatWorn = &End{Ways: []Way{nozzleRenewed,
		{By: "its seat is measured again within its limit", work: func(h *histories, a question, s step) bool {
			return !s.left && a.found(s) && h.within(s.o, keys.MeasuredSeatDiameter) && h.quiet(a, s)
		}}}}

	pocketCleared = &End{Ways: []Way{
		{By: "the pocket is faced, one ring fitted, and the protrusion is within", fact: pocketDone}}}
	valveOut = byWork("the valve is taken out of that position", func(_ *histories, _ question, s step) bool {
		return !s.left
	})
	valveChanged = byWork("a valve is fitted in that position again", func(_ *histories, _ question, s step) bool {
		return s.left
	})
	valveLasted = byWork("a later valve in that position is pulled as planned",
		func(h *histories, a question, s step) bool {
			return !s.left && s.o.Removed.Reason.Is("planned") && h.quiet(a, s)
		})

	instrumentProved = &End{Ways: []Way{
		{By: "the instrument is compared with a good one", fact: compared},
		{By: "a certificate states that it was within as found: never a new instrument", fact: withinAsFound},
		{By: "it is on record as out of tolerance for that time", fact: onRecordAsWrong}}, Never: true}
	nextRound = &End{Ways: []Way{{By: "the next round of the engine does not show it", fact: roundAfter}}}
)

// What ends several: the nozzle, or the worn part, is not used any more.
var (
	nozzleRenewed = Way{By: "the nozzle is renewed, and not built in again", work: renewed}
	partRenewed   = Way{By: "the part is renewed, ground or condemned, and not built in again",
		work: func(h *histories, a question, s step) bool {
			if a.Kind == OfHolder {
				return s.left && s.o.Decided.Holder.Is("renew", "condemn", "grind")
			}
			return renewed(h, a, s)
		}}
)

// within says that a record measured the first of some quantities, and none of them is beyond its limit. That a check
// is silent about a record is not enough: it is, too, where a part beyond its limit does not go back.
func (h *histories) within(o *logbook.Overhaul, quantities ...string) bool {
	for i, key := range quantities {
		v := h.c.Judged.Find(o, key)
		if v.Result.Out() || v.Unaccepted() || i == 0 && !v.Value.Valid() {
			return false
		}
	}
	return true
}

// byWork is an end in one way, by a step of the subject's history.
func byWork(by string, work func(h *histories, a question, s step) bool) *End {
	return &End{Ways: []Way{{By: by, work: work}}}
}

// passes is the end of what a test showed of a nozzle: a later test that states the same figure, and is within.
func passes(by, found, left string) *End {
	return &End{Ways: []Way{nozzleRenewed, {By: by, work: func(h *histories, a question, s step) bool {
		key := found
		if s.left {
			key = left
		}
		v := h.c.Judged.Find(s.o, key)
		return (s.left && a.left(s) || !s.left && a.found(s)) && v.Written != "" && !v.Result.Out() && h.quiet(a, s)
	}}}}
}

// springRenewed says that a step renewed the spring.
func springRenewed(_ *histories, _ question, s step) bool {
	return s.left && s.o.Decided.Spring.Is("renew")
}

// holderDecided says that a step decided one of some things about the holder.
func holderDecided(words ...string) func(*histories, question, step) bool {
	return func(_ *histories, _ question, s step) bool { return s.left && s.o.Decided.Holder.Is(words...) }
}

// found and left say that the nozzle of the question came out, or went back, with a step.
func (a question) found(s step) bool { return s.o.Nozzle.Found.Written == a.Name }
func (a question) left(s step) bool  { return s.o.Nozzle.Left.Written == a.Name }

// renewed says that a step put another nozzle in the place of the one of the question, which is in no valve that was
// built up later: what lies in a box may come back.
func renewed(h *histories, a question, s step) bool {
	if !s.left || !a.found(s) || !s.o.Decided.Nozzle.Is("renew", "condemn") && (!s.o.Nozzle.Left.Stated() || a.left(s)) {
		return false
	}
	for _, t := range slices.Backward(h.of(a.Subject)) {
		if t.o == s.o {
			break
		}
		if t.left && a.left(t) {
			return false
		}
	}
	return true
}

// pocketDone is the later fitting that shows the pocket in order. Rings that were not counted are shown to be right by
// the next count.
func pocketDone(h *histories, f *Finding) (Fact, bool) {
	a := h.question(f, "in order")
	done := func(h *histories, _ question, s step) bool {
		fit := &s.o.Fitted
		return s.left && (fit.PocketFaced.Is("yes") || f.Check != "rings") && fit.RingsIn.Valid &&
			fit.RingsIn.Value == h.c.Settings.Rings.Value && fit.Protrusion.Stated() &&
			!h.c.Judged.Find(s.o, keys.FittedProtrusion).Result.Out()
	}
	if o, _ := h.half(f); f.Check == "rings" && o != nil && (f.Place == o.Removed.Place || f.Place == o.Fitted.Place) {
		a = h.question(f, "counted")
		done = func(_ *histories, _ question, s step) bool {
			return s.left && s.o.Fitted.RingsIn.Valid || !s.left && s.o.Removed.RingsOut.Valid
		}
	}
	return h.after(f, a, done)
}

// since finds the first step that ends a finding where its own step may do so.
func since(work func(*histories, question, step) bool) func(*histories, *Finding) (Fact, bool) {
	return func(h *histories, f *Finding) (Fact, bool) {
		chain := h.of(f.Subject)
		for _, s := range chain[min(max(h.own(f, chain), 0), len(chain)):] {
			if work(h, question{}, s) {
				return s.fact(), true
			}
		}
		return Fact{}, false
	}
}

// lasted is the first later test as found, after most of the hours in which opening pressure was lost, that shows no
// loss.
func lasted(h *histories, f *Finding) (Fact, bool) {
	const enough = 0.8
	o, _ := h.half(f)
	lost := h.c.Lives.ClosedBy(o)
	if lost == nil || !lost.HoursKnown {
		return Fact{}, false
	}
	chain := h.of(f.Subject)
	for _, s := range chain[min(h.own(f, chain)+1, len(chain)):] {
		period := h.c.Lives.ClosedBy(s.o)
		if !s.left && period != nil && period.HoursKnown && period.Hours >= enough*lost.Hours &&
			s.o.AsFound.Opening.Median().Quantity.Valid() {
			if _, much, known := h.c.pressureLost(s.o); known && !much {
				return s.fact(), true
			}
		}
	}
	return Fact{}, false
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
	return Fact{}, false
}

// onRecordAsWrong is the entry in an instrument's file that says how it read at the time of the finding.
func onRecordAsWrong(h *histories, f *Finding) (Fact, bool) {
	i := h.c.Book.Instruments[f.Subject.Name]
	if i == nil || f.Since == 0 {
		return Fact{}, false
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

// allSetAgain says that none of the valves set with a gauge out of tolerance waits for another test.
func allSetAgain(_ *histories, f *Finding) (Fact, bool) {
	return Fact{0, f.Place, "none waits for another test"}, f.Grade == Note
}
