package deciding

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// holder goes through the order of decisions for the holder. Its face is put right before a new nozzle goes on: a worn
// face prints itself into the next one. Common practice, no source; the limits are the book's own.
func (w *work) holder() []Step {
	return []Step{
		cracked("holder", "condemn", w.o.Inspected.PlacesOf("holder")),
		w.condemnedBefore("holder", w.o.Holder.Written),
		w.joint(),
		w.wear(),
		places("drillings damaged?", "damaged", "renew", w.seen("drillings")),
		places("faces damaged?", "damaged", "lap", w.seen("holder face", "inlet face")),
	}
}

// joint asks whether the joint leaked as found: then the face has to be seen, for a hairline crack from the drilling
// does just that.
func (w *work) joint() Step {
	l := w.o.AsFound.Leaks.NozzleJoint
	s := Step{Question: "joint tight as found?", Answer: "not noted", Place: l.Place}
	if l.Stated() {
		s.Answer = l.Written
	}
	if l.Is("weeping", "runs") && !w.o.Inspected.HolderFace.Stated() {
		s.Unknown = "the nozzle joint leaked as found, and the holder's face was not looked at"
	}
	return s
}

// wear asks for the wear of the face. Ground flat where the maker allows it and enough metal is left; otherwise the
// holder is done.
func (w *work) wear() Step {
	s := w.onMeasured("holder worn?", keys.MeasuredHolderWear, "holder wear", w.in.HolderWear.Max.Stated(), "renew",
		"holder_wear")
	if s.Word == "" {
		return s
	}
	g := w.grindable("holder", w.o.Holder.Written)
	wear := w.o.Measured.HolderWear.Value.Quantity
	switch {
	case w.in.Grind.Allowed.Is("no"):
		s.Word = "condemn"
		s.Answer += "; " + g.Why
	case !g.Possible:
		s.Answer += "; not to be ground: " + g.Why
	case wear.Compare(g.Most) > 0:
		s.Word = "condemn"
		s.Answer += fmt.Sprintf("; %s must come off, and %s may", wear, g.Most)
	default:
		s.Word = "grind"
		s.Answer += fmt.Sprintf("; %s off the face makes it flat, and %s may come off", wear, g.Most)
	}
	return s
}

// spring goes through the order of decisions for the spring. A loss of opening pressure that wear does not explain
// points to it: the screw alone would only hide that.
func (w *work) spring() []Step {
	spring := w.o.Inspected.PlacesOf("spring")
	length := w.onMeasured("spring too short?", keys.MeasuredSpringLength, "free length of the spring",
		w.in.Spring.Min.Stated(), "renew", "spring").optional()
	ends := places("spring or its ends damaged?", "damaged", "renew", spring)
	seen, measured := len(notSeen(spring)) == 0, known(length.Verdict)
	if !seen {
		ends.Open = "spring not looked at"
		if !measured {
			ends.Open, ends.Unknown = "", "spring neither looked at nor measured"
			length.Open = ""
		}
	}
	crack := places("cracked?", "cracked", "renew", spring)
	crack.Stop = true
	return []Step{crack, ends, length, w.loss(seen, measured)}
}

// loss asks whether the valve lost more opening pressure than settling explains. What is found wrong with the gauge
// explains it too.
func (w *work) loss(seen, measured bool) Step {
	s := Step{Question: "opening pressure lost?", Answer: "not known", Place: w.o.AsFound.Opening.Place}
	found := w.o.AsFound.Opening.Median()
	left, ok := w.book.Lives().LeftBefore(w.o)
	if !ok || !found.Quantity.Valid() || !left.Opening.Valid() || left.Opening.Float() <= 0 ||
		found.Kind() != left.Opening.Kind() {
		return s
	}
	share := 100 * (left.Opening.Float() - found.Float()) / left.Opening.Float()
	s.Answer = fmt.Sprintf("%s as found, left at %s: %.0f %% lost", found, left.Opening, share)
	if share < 0 {
		s.Answer = fmt.Sprintf("%s as found, left at %s", found, left.Opening)
	}
	most := w.settings.DropUsed
	if left.Class == logbook.New {
		most = w.settings.DropNew
	}
	v := w.find(keys.AsFoundOpeningPressure)
	gauge := left.Overhaul != nil && w.wrongGauge(left.Overhaul.AsLeft) || w.wrongGauge(w.o.AsFound)
	switch {
	case gauge:
		s.Answer += ", with a gauge found wrong then"
	case w.rose(left):
		s.Open = "why it opens higher than it was left, beyond the uncertainty of the gauge: gauge, holder number, lock nut"
	case share <= most.Float() && !v.Result.Out():
	case !seen:
		s.Unknown = s.Answer + ", and the spring was not looked at"
	case !measured && w.in.Spring.Min.Stated():
		s.Open = "what took the opening pressure: the spring was looked at, its free length not measured"
	default:
		s.Open = "what took the opening pressure, the spring being good: lock nut, shim, seat contact, gauge; setting it " +
			"up again only hides it"
	}
	return s
}

// rose says that a valve opens higher than it was left by more than the uncertainty of the difference.
func (w *work) rose(left logbook.LastLeft) bool {
	if left.Overhaul == nil {
		return false
	}
	now := judging.OpeningTaken(&w.o.AsFound, w.o.Day())
	u, known := judging.Between(w.book, now, judging.OpeningTaken(&left.Overhaul.AsLeft, left.Day))
	return known && now.Value.Float()-left.Opening.Float() > u
}

// wrongGauge says that a test was made with a gauge that was found to read wrong then.
func (w *work) wrongGauge(t logbook.Test) bool {
	i := w.book.Instruments[t.Gauge.Written]
	if i == nil {
		return false
	}
	_, wrong := judging.WrongOn(i, t.Date.Day)
	return wrong
}
