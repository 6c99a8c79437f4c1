// Package recurring works out what several overhauls show together and one alone cannot. One engine compares what
// competes to explain it (a holder, a position, a cylinder head, a delivery of nozzles, a round or its fuel, a gauge,
// and nothing), names one, or says that the records cannot tell two apart. It reports nothing and judges no single
// value: checks turn its facts into findings, pages draw them.
//
// Rejected: the ship's normal first, and each explanation held against it. What is being explained then moves the
// normal, and its echo is accused: of simulated ships with one fault another was named on up to 7.6 %. Opening
// pressures are therefore one model (type mixed), in which normal, age, rounds and what is named are estimated
// together.
//
// Begin with [Find]. The engine is [ExplainFailures] and [ExplainPressures], on plain visits.
package recurring

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Recurring is what the overhauls of a book show together. It is read-only once made, and safe for use by several
// goroutines.
type Recurring struct {
	Shifts []Shift // every overhaul whose opening pressure compares with how the valve was left, oldest first
	// rounds large enough to set beside the ship's normal, oldest first; one for each setting class
	Against    []RoundShift
	Rejections []Rejection // nozzles and holders taken out of use, and valves pulled for their signs, oldest first
	Visits     []Visit     // every removal as the explanations see it, round by round
	Failures   []Failures  // what explains valves that failed, the clearest first
	Pressures  []Pressures // what explains opening pressures that are off, the clearest first
	Fouled     []Fouled    // rounds that failed as a whole, oldest first
	Asked      int         // explanations that were asked about

	rounds   []logbook.Round
	book     *logbook.Book
	judged   *judging.Judgement
	settings logbook.Settings
	ended    map[part]bool // holders and nozzles condemned
	fouled   map[*logbook.Overhaul]*Fouled
}

// part is a holder or a nozzle: the two may bear one number.
type part struct{ kind, serial string }

// Find works out the causes of a book from its rounds and verdicts.
func Find(b *logbook.Book, rounds []logbook.Round, judged *judging.Judgement) *Recurring {
	c := &Recurring{book: b, judged: judged, settings: b.Vessel.Settings.WithDefaults(), ended: map[part]bool{},
		fouled: map[*logbook.Overhaul]*Fouled{}, rounds: rounds}
	c.condemned()
	c.findShifts()
	c.findRejections()
	c.gather(rounds)
	c.Failures, c.Pressures, c.Asked = Explain(c.Visits, c.settings.RecurringChance.Float()/100)
	c.findFouled(rounds)
	c.besideNormal(rounds)
	return c
}

// Explain names what explains the visits of a ship. Failures and pressures are each asked at half the chance, so that
// an honest ship has a finding of either at most as often as the book allows.
func Explain(visits []Visit, chance float64) (failures []Failures, pressures []Pressures, asked int) {
	failures, a := ExplainFailures(visits, chance/2)
	pressures, b := ExplainPressures(visits, failures, chance/2)
	return failures, pressures, a + b
}

// condemned notes the parts that ended by a fault of their own, by the decision of an overhaul or by the part's own
// file.
func (c *Recurring) condemned() {
	for _, o := range c.book.Overhauls {
		if o.Decided.Holder.Is("condemn") && o.Holder.Stated() {
			c.ended[part{"holder", o.Holder.Written}] = true
		}
		if o.Decided.Nozzle.Is("condemn") && o.Nozzle.Found.Stated() && !o.Decided.Holder.Is("condemn") {
			c.ended[part{"nozzle", o.Nozzle.Found.Written}] = true
		}
	}
	for _, p := range c.book.Parts {
		if p.Condemned.Stated() {
			c.ended[part{p.Kind.Written, p.Number()}] = true
		}
	}
}

// HolderCondemned says that a holder was condemned in the end.
func (c *Recurring) HolderCondemned(serial string) bool { return c.condemnedPart("holder", serial) }

// NozzleCondemned says that a nozzle was condemned in the end.
func (c *Recurring) NozzleCondemned(serial string) bool { return c.condemnedPart("nozzle", serial) }

// condemnedPart also heeds the files of parts that do not state their kind.
func (c *Recurring) condemnedPart(kind, serial string) bool {
	return serial != "" && (c.ended[part{kind, serial}] || c.ended[part{"", serial}])
}

// settled says that the holder or the nozzle of a record was condemned in the end.
func (c *Recurring) settled(o *logbook.Overhaul) bool {
	return c.HolderCondemned(o.Holder.Written) || c.NozzleCondemned(o.Nozzle.Found.Written)
}

// wrong is the time found wrong of an instrument that holds a day; nil where there is none.
func (c *Recurring) wrong(instrument string, day logbook.Day) *logbook.FoundWrong {
	if i := c.book.Instruments[instrument]; i != nil && day != 0 {
		if w, ok := judging.WrongOn(i, day); ok {
			return &w
		}
	}
	return nil
}

// RoundOf is the round of a visit.
func (c *Recurring) RoundOf(i int) logbook.Round { return c.rounds[c.Visits[i].TestedIn] }

// HeadOf is the cylinder head that all visits of an explanation had; empty where they had several or it is not known.
func (c *Recurring) HeadOf(f *Failures) string {
	head := c.Visits[f.Visits[0]].Head
	for _, i := range f.Visits {
		if c.Visits[i].Head != head {
			return ""
		}
	}
	return head
}
