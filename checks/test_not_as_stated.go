package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

var testNotAsStated = &Check{
	Name:    "test-not-as-stated",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 2,
	Level:   Record,
	Doc: "A leak-down or seat test was made between other pressures, or watched for a shorter time, than its limit " +
		"holds for, or the holes were tried with another wire. A longer fall takes longer and a lower pressure drips " +
		"less, so that the value passes or fails for the wrong reason. Test again as the limits state; a pressure stated " +
		"from the opening pressure counts from the measured one, or from the setting.",
	Source:  "common practice, no source; pressures and times are the book's own, how near is near enough is a setting",
	Example: `leak-down as left timed from 300 bar over 50 bar; its limit holds from 325 bar over 60 bar`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			e := c.inForce(o, t.Date.Day)
			median := t.Opening.Median()
			opening := []measure.Quantity{median.Quantity}
			switch {
			case mistaken(c, o)[median.Place]:
				opening = nil // from what it was to be counted is not known
			case state == "as left":
				opening = append(opening, middle(c.Judged.Find(o, keys.AsLeftOpeningPressure).Span))
			}
			leakDownSpan(c, o, state, t, e, opening)
			seatHeld(c, o, state, t.Seat, e.Seat, opening)
		})
		wire, asked := o.Measured.NoGo.Wire, c.inForce(o, o.AsFound.Date.Day).Holes.NoGo
		if wire.Valid() && asked.Valid() && wire.Compare(asked.Quantity) != 0 && !mistaken(c, o)[wire.Place] {
			c.Report(Finding{Place: wire.Place, Message: fmt.Sprintf("no-go wire %s; its limit holds with %s", wire.Quantity,
				asked.Quantity), Limit: c.limitAt(asked.Leaf), About: about(o),
				Next: "correct the figure, or try the holes again with that wire"})
		}
	},
	Grade: Advice,
}

func leakDownSpan(c *Case, o *logbook.Overhaul, state string, t *logbook.Test, e *logbook.Revision,
	opening []measure.Quantity) {
	l, asked := t.LeakDown, e.LeakDown
	if !l.From.Quantity.Valid() || !l.To.Quantity.Valid() || !l.Time.Quantity.Valid() || !asked.From.Relative.Valid() {
		return
	}
	if l.From.Compare(l.To.Quantity) < 0 {
		return // the two are exchanged, which figure-not-believed says
	}
	fall := l.From.Minus(l.To.Quantity)
	start, near := nearStated(c, l.From.Quantity, asked.From.Relative, opening)
	if !start.Valid() {
		return
	}
	want := asked.Fall.Quantity
	if to, _ := nearStated(c, l.To.Quantity, asked.To.Relative, opening); !want.Valid() && to.Valid() {
		want = start.Minus(to)
	}
	if near && (!want.Valid() || within(c, fall, want)) {
		return
	}
	message := fmt.Sprintf("leak-down %s timed from %s over %s; its limit holds from %s", state, l.From.Quantity, fall,
		start.Beside(l.From.Quantity))
	if want.Valid() {
		message += " over " + want.String()
	}
	c.Report(Finding{Place: l.From.Place, Message: message, Limit: c.limitAt(asked.From.Leaf), About: about(o),
		Next: "time the fall again between those pressures: the time cannot be held against its limit"})
}

func seatHeld(c *Case, o *logbook.Overhaul, state string, s logbook.Seat, asked logbook.SeatLimits,
	opening []measure.Quantity) {
	if !s.State.Stated() {
		return
	}
	if at, near := nearStated(c, s.At.Quantity, asked.At.Relative, opening); at.Valid() && !near {
		c.Report(Finding{Place: s.At.Place, Message: fmt.Sprintf("seat %s held at %s; its limit holds at %s", state,
			s.At.Quantity, at.Beside(s.At.Quantity)), Limit: c.limitAt(asked.At.Leaf), About: about(o),
			Next: "hold it again at that pressure"})
	}
	if s.For.Quantity.Valid() && asked.For.Quantity.Valid() && s.For.Compare(asked.For.Quantity) < 0 {
		c.Report(Finding{Place: s.For.Place, Message: fmt.Sprintf("seat %s watched for %s; its limit holds for %s", state,
			s.For.Quantity, asked.For.Quantity), Limit: c.limitAt(asked.For.Leaf), About: about(o),
			Next: "watch it again for the whole time"})
	}
}

// nearStated gives the pressure that a test was to be made at, from the opening pressure nearest to it, and whether it
// was made near enough; it is invalid where that cannot be worked out.
func nearStated(c *Case, at measure.Quantity, asked measure.Relative,
	opening []measure.Quantity) (want measure.Quantity, near bool) {
	if !at.Valid() || !asked.Valid() {
		return measure.Quantity{}, false
	}
	for _, from := range opening {
		if asked.Base != "" && (!from.Valid() || from.Kind() != at.Kind()) {
			continue
		}
		if w := asked.From(from); w.Kind() == at.Kind() && (!want.Valid() ||
			math.Abs(w.Float()-at.Float()) < math.Abs(want.Float()-at.Float())) {
			want = w
		}
	}
	return want, want.Valid() && within(c, at, want)
}

func within(c *Case, a, b measure.Quantity) bool {
	return math.Abs(a.Float()-b.Float()) <= c.Settings.TestWithin.Float()
}
