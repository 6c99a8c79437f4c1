package checks

import (
	"fmt"
	"maps"
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var oilTemperature = &Check{
	Name:    "oil-temperature",
	Subject: OfHolder,
	Ends:    testedAgain,
	Version: 2,
	Level:   Record,
	Doc: "The test oil was warmer or colder than leak-down times compare well at. Warm oil is thin and makes a good " +
		"guide look worn, cold oil makes a worn one look good. Every time is judged as it would be at the oil temperature " +
		"of the limits, where they state one; the " +
		"further away, the less well it is known, and better is to test again with oil in the range. " +
		"A temperature that cannot be right is a slip, and no later test ends it: see figure-not-believed.",
	Source:  "from memory; the range is the limits file's, or a setting of the book",
	Example: `test oil 38 °C as found is outside 15 to 30 °C; 11.2 s there is 14.6 s at 20 °C`,
	Holds:   wasTested,
	Each: func(c *Case, o *logbook.Overhaul) {
		eachTest(o, func(state string, t *logbook.Test) {
			e := c.inForce(o, t.Date.Day)
			text, lim := c.Settings.OilRange.Span.String(), (*Limit)(nil)
			if e.Oil.Span.Valid() {
				text, lim = e.Oil.String(), c.limitOf(e.Oil)
			}
			if !c.oilOutside(o, t) || !t.LeakDown.Time.Quantity.Valid() || c.oilCannotBe(o, t, state) != "" {
				return
			}
			message := "test oil " + t.Oil.String() + " " + state + " is outside " + text
			if seconds, ok := judging.AtOil(c.Book, t, e.LeakDown.Oil.Float()); ok && e.LeakDown.Oil.Quantity.Valid() {
				message += fmt.Sprintf("; %s there is %.1f s at %s", t.LeakDown.Time, seconds, e.LeakDown.Oil)
			}
			c.Report(Finding{Place: t.Oil.Place, Message: message, Limit: lim, About: about(o),
				Next: "bring the oil into the range and time the fall again"})
		})
	},
	Grade: Advice,
}

// oilOutside says that the oil of a test is outside the range that leak-down times compare well at.
func (c *Case) oilOutside(o *logbook.Overhaul, t *logbook.Test) bool {
	span := c.Settings.OilRange.Span
	if in := c.inForce(o, t.Date.Day).Oil.Span; in.Valid() {
		span = in
	}
	return t.Oil.Quantity.Valid() && span.Side(t.Oil.Quantity) != 0
}

// oilCannotBe says of a temperature outside that range why it cannot be that of the oil: it is off the scale of every
// thermometer of the book, no bench works so, or the other tests of the round had quite another. Empty where it can be.
func (c *Case) oilCannotBe(o *logbook.Overhaul, t *logbook.Test, state string) string {
	if !c.oilOutside(o, t) {
		return ""
	}
	what := "test oil " + t.Oil.String() + " " + state
	on, off := 0, (*logbook.Instrument)(nil)
	for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
		i := c.Book.Instruments[id]
		switch named := t.LeakDown.Thermometer.Written; {
		case !i.Kind.Is("thermometer") || !i.Range.Span.Valid() || i.Range.Kind() != t.Oil.Kind() ||
			named != "" && named != id:
		case i.Range.Side(t.Oil.Quantity) == 0:
			on++
		default:
			off = i
		}
	}
	degrees := t.Oil.Float()
	low, high, others := c.oilsOfRound(o, t)
	switch apart := max(low-degrees, degrees-high); {
	case on == 0 && off != nil:
		return what + " is off the scale of " + off.ID.Written + ", " + off.Range.String()
	case degrees < coldestOil || degrees > hottestOil:
		return what + ": no bench has that"
	case float64(others) >= c.Settings.SetLeast.Value && apart > max(oilApart, 2*(high-low)):
		return fmt.Sprintf("%s, %.3g to %.3g °C in %s of the round", what, low, high,
			logbook.Counted(others, "other test"))
	}
	return ""
}

// coldestOil and hottestOil are what the oil of a bench can have in °C: test oil of ISO 4113 flashes from 75 °C on; the
// rest is from memory. oilApart is how many K the oil of a bench changes within a round at most: from memory.
const coldestOil, hottestOil, oilApart = -10, 75, 20

// oilsOfRound are the lowest and the highest temperature in °C of the oil in the other tests of a round.
func (c *Case) oilsOfRound(o *logbook.Overhaul, t *logbook.Test) (low, high float64, others int) {
	for _, r := range c.Rounds {
		if !slices.Contains(r.Overhauls, o) {
			continue
		}
		for _, x := range r.Overhauls {
			eachTest(x, func(_ string, other *logbook.Test) {
				if !other.Oil.Valid() || other.Oil.Place == t.Oil.Place {
					return
				}
				is := other.Oil.Float()
				if others++; others == 1 {
					low, high = is, is
				}
				low, high = min(low, is), max(high, is)
			})
		}
	}
	return low, high, others
}
