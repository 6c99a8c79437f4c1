package deciding

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// leaks says that a joint of the valve leaked in a test: the fall of pressure is then not the needle guide's.
func leaks(t logbook.Test) bool {
	return t.Leaks.NozzleJoint.Is("weeping", "runs") || t.Leaks.Inlet.Is("weeping", "runs")
}

// tested is how the nozzle stands in one test: the verdict as found, and as left where that speaks of this nozzle.
type tested struct {
	found, left *judging.Verdict
	cleared     bool // beyond as found, and within as left with nothing done but cleaning
}

// test reads one quantity of the two tests. The test as left speaks of the nozzle that came out only where that one
// went back.
func (w *work) test(key string) tested {
	t := tested{found: w.find("as_found." + key), left: &none}
	o := w.o
	if !o.AsLeft.Stated() || !o.Nozzle.Left.Stated() || o.Nozzle.Left.Written != o.Nozzle.Found.Written {
		return t
	}
	t.left = w.find("as_left." + key)
	t.cleared = known(t.left) && !t.left.Result.Out() && o.Cleaned.Stated() && !o.Decided.Nozzle.Is("lap", "grind")
	return t
}

// none stands where there is no verdict.
var none judging.Verdict

// known says that something was measured or seen.
func known(v *judging.Verdict) bool {
	return v.Result != judging.None && v.Result != judging.NotMeasured && v.Result != judging.NotApplicable
}

// drips says that the seat leaks: worse than allowed, or a drop where the limits say nothing.
func drips(v *judging.Verdict) bool {
	return v.Result.Out() || v.Result == judging.NoLimitThen && (v.Written == "drop" || v.Written == "runs")
}

// seat asks whether the seat leaks. It is lapped where the limits state how often that may be done and it was not done
// as often yet: every lap widens the band and sinks the needle, and many makers forbid it. A damaged seat is renewed.
func (w *work) seat() Step {
	damaged := places("seat tight?", "damaged", "renew", w.seen("needle seat", "body seat"))
	t := w.test("seat.state")
	s := Step{Question: "seat tight?", Limit: "seat", Verdict: t.found, Place: t.found.Place}
	failing, thisToo := drips(t.found) && !t.cleared, false
	switch {
	case drips(t.left):
		s.Verdict, s.Place, failing, thisToo = t.left, t.left.Place, true, true
		s.Answer = said(t.left)
	case !known(t.found) && !known(t.left):
		s.Answer, s.Unknown = "seat not tested", "seat not tested"
	case !known(t.found):
		s.Verdict, s.Place, s.Answer = t.left, t.left.Place, said(t.left)
	case drips(t.found) && t.cleared:
		s.Answer, s.Word = said(t.found)+", "+t.left.Written+" as left after cleaning", "clean"
	default:
		s.Answer = said(t.found)
	}
	if damaged.Word != "" {
		damaged.Answer = "seat " + damaged.Answer
		return damaged
	}
	if !failing {
		return s
	}
	laps := w.earlier("lap", thisToo)
	switch {
	case !w.in.Laps.Valid:
		s.Word = "renew"
		s.Answer += "; the limits state no lapping of the seat"
	case float64(laps) >= w.in.Laps.Value:
		s.Word = "renew"
		s.Answer += fmt.Sprintf("; %s, at most %s", soFar("lapped", laps), w.in.Laps.Written)
	case len(notSeen(w.seen("needle seat", "body seat"))) == 2:
		s.Unknown = "the seat leaks and was not looked at: lap only a narrow and even band"
	default:
		s.Word = "lap"
		s.Answer += fmt.Sprintf("; %s, at most %s: lightly and once, if the band is narrow and even, then test again",
			soFar("lapped", laps), w.in.Laps.Written)
	}
	return s
}

// leakDown asks what a short time means: with a dry tip the guide is worn, with a wet one it is the seat, with a
// weeping joint the time is the joint's. A long time means dirt or cold oil.
func (w *work) leakDown() Step {
	t := w.test("leak_down.time")
	s := Step{Question: "leak-down?", Limit: "leak_down", Verdict: t.found, Place: t.found.Place}
	test, tip := w.o.AsFound, w.find(keys.AsFoundSeatState)
	failing := t.found.Result.Out() && !t.cleared
	switch {
	case t.left.Result.Out():
		s.Verdict, s.Place, failing = t.left, t.left.Place, true
		test, tip = w.o.AsLeft, w.find(keys.AsLeftSeatState)
		s.Answer = said(t.left)
	case !known(t.found) && !known(t.left):
		s.Answer = "leak-down not timed"
		if w.in.LeakDown.AsFound.Span.Valid() || w.in.LeakDown.AsLeft.Span.Valid() {
			s.Unknown = s.Answer
		}
	case !known(t.found):
		s.Verdict, s.Place, s.Answer = t.left, t.left.Place, said(t.left)
	case t.found.Result.Out() && t.cleared:
		s.Answer, s.Word = said(t.found)+", "+t.left.Written+" as left after cleaning", "clean"
	case t.found.Result.Out() && known(t.left) && w.o.Decided.Nozzle.Is("lap"):
		s.Answer, s.Word, failing = said(t.found)+", "+t.left.Written+" as left after the lap: it was the seat", "lap", false
	default:
		s.Answer = said(t.found)
		if least := w.in.LeakDown.AsLeft.Low; !known(t.left) && least.Valid() && t.found.Value.Valid() &&
			least.Kind() == t.found.Value.Kind() && t.found.Value.Compare(least) < 0 {
			s.Open = "leak-down " + t.found.Written + " as found, and at least " + least.String() + " is asked for as left"
		}
	}
	if !failing {
		return s
	}
	switch {
	case s.Verdict.Side > 0:
		s.Word = "clean"
		s.Answer += "; dirt, a tight needle or cold oil: clean and time it again"
	case leaks(test):
		s.Unknown = "the joint leaked in the test, so the time is not the needle guide's: tighten it and time it again"
	case !known(tip):
		s.Unknown = "leak-down is short, and whether the tip was wet or dry is not noted"
	case drips(tip):
		s.Answer += "; the tip is wet: it is the seat"
	default:
		s.Word = "renew"
		s.Answer += "; no drop at the tip (" + tip.Written + "): the guide is worn"
	}
	return s
}

// holes asks for the spray: worn holes and those that cleaning does not clear are the end of the nozzle.
func (w *work) holes() Step {
	worn := w.find(keys.MeasuredNoGo)
	seen := places("spray holes?", "damaged", "renew", w.seen("holes"))
	t := w.test("spray")
	s := Step{Question: "spray holes?", Limit: "holes", Verdict: t.found, Place: t.found.Place}
	switch {
	case worn.Result.Out():
		s.Verdict, s.Place, s.Word, s.Answer = worn, worn.Place, "renew", said(worn)+": the holes are worn"
	case seen.Word != "":
		seen.Answer = "holes " + seen.Answer
		return seen
	case t.left.Result.Out() && w.o.Cleaned.Stated():
		s.Verdict, s.Place, s.Word, s.Answer = t.left, t.left.Place, "renew", said(t.left)+", after cleaning"
	case t.left.Result.Out():
		s.Verdict, s.Place, s.Word, s.Answer = t.left, t.left.Place, "clean", said(t.left)
	case known(t.left) && len(w.o.AsLeft.Spray.Weak.Each) > 0:
		s.Verdict, s.Place, s.Word, s.Answer = t.left, t.left.Place, "clean",
			t.left.Name+": weak at clock number "+clock(w.o.AsLeft.Spray.Weak)+"; clear the holes and test again"
	case !known(t.found) && !known(t.left):
		s.Answer, s.Unknown = "spray not tested", "spray not tested"
	case !known(t.found):
		s.Verdict, s.Place, s.Answer = t.left, t.left.Place, said(t.left)
	case t.found.Result.Out():
		s.Word, s.Answer = "clean", said(t.found)
		if t.cleared {
			s.Answer += ", " + t.left.Written + " as left after cleaning"
		} else {
			s.Answer += ": clear the holes and test again; renew if they stay shut"
		}
	default:
		s.Answer = said(t.found)
	}
	return s
}
