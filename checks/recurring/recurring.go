// Package recurring works out what several overhauls show together and one alone cannot: how a round came back against
// this ship's own normal, which rounds were fouled as a whole, which nozzles were rejected before their time and what
// explains it. It reports nothing and judges no single value: checks turn its facts into findings, pages draw them.
//
// Whatever is settled by then leaves the ship's normal: valves set or tested with an instrument on record as wrong, and
// parts that were condemned in the end.
//
// Begin with [Find].
package recurring

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Recurring is what the overhauls of a book show together. It is read-only once made, and safe for use by several
// goroutines.
type Recurring struct {
	Shifts []Shift // every overhaul whose opening pressure compares with how the valve was left, oldest first
	// rounds large enough to hold against the ship's normal, oldest first; one for each setting class
	Against    []RoundShift
	Fouled     []Fouled    // rounds fouled as a whole, oldest first
	Rejections []Rejection // nozzles and holders taken out of use, and valves pulled for their signs, oldest first

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
		fouled: map[*logbook.Overhaul]*Fouled{}}
	c.condemned()
	c.findShifts()
	c.holdAgainst(rounds)
	c.findFouled(rounds)
	c.findRejections()
	return c
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

// newest cuts a list to its last n.
func newest[T any](all []T, n int) []T { return all[max(0, len(all)-n):] }
