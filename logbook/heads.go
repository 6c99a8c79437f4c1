package logbook

import (
	"cmp"
	"slices"
)

// HeadExchange is the day on which another cylinder head came onto a cylinder. A pocket is a bore in the head, so that
// what was found about it goes where the head goes. Those from before the book begins are in book.md, which is the
// superintendent's; the ship writes hers into heads.csv.
type HeadExchange struct {
	Block
	Engine   Serial `key:"engine" doc:"engine" as:"engine"`
	Cylinder Serial `key:"cylinder" doc:"cylinder" as:"cylinder"`
	Date     Date   `key:"date" doc:"day"`
	Counter  Amount `key:"counter" unit:"h" doc:"reading of the hour counter on that day"`
	Head     Serial `key:"head" doc:"number of the head that came on" as:"plain"`
	Off      Serial `key:"off" doc:"number of the head that came off, where no earlier line names it" as:"plain"`
}

// HeadsFile is the table of the heads that the ship exchanged: its lines stand behind those of book.md.
const HeadsFile = "heads.csv"

// HeadOn is the stay of the head that is on a cylinder on a day; ok is false where no exchange there is written down.
func (b *Book) HeadOn(p Position, on Day) (now HeadStay, ok bool) {
	for _, s := range b.HeadStays(on) {
		if s.Position == p {
			now, ok = s, true
		}
	}
	return now, ok
}

// Position is the cylinder of the exchange.
func (x *HeadExchange) Position() Position { return Position{x.Engine.Written, x.Cylinder.Written} }

// HeadStay is the time that one cylinder head was on a cylinder.
type HeadStay struct {
	Head string // its number; empty where no line names it
	Bore string // which of its bores: empty for the main valve's, else what the line of further valves adds: P of ME1P
	Position
	From, To Day   // 0: since before the book begins, and still there
	Place    Place // the line that brought it; none for the first one
}

// Held says that the pocket there was that of this head when a valve came out, or went in, on a day. On the day of an
// exchange the valve came out of the old head, and went into the new one.
func (s *HeadStay) Held(day Day, wentIn bool) bool {
	if wentIn {
		return day >= s.From && (s.To == 0 || day < s.To)
	}
	return (day > s.From || s.From == 0) && (s.To == 0 || day <= s.To)
}

// HeadStays are the stays of all heads on the cylinders on which one was exchanged by the end of a day, in the order of
// the days. A line without a day, or on a cylinder that the book does not know, is left out.
func (b *Book) HeadStays(on Day) []HeadStay {
	if len(b.Vessel.Heads) == 0 {
		return nil
	}
	known, by := b.Positions(), map[Position][]*HeadExchange{}
	for i := range b.Vessel.Heads {
		x := &b.Vessel.Heads[i]
		if x.Date.Day == 0 || x.Date.Day > on {
			continue
		}
		for _, p := range known { // every valve of the cylinder sits in that head
			if p.Cylinder == x.Cylinder.Written && b.HostOf(p.Engine) == b.HostOf(x.Engine.Written) {
				by[p] = append(by[p], x)
			}
		}
	}
	var all []HeadStay
	for _, p := range known {
		exchanges := by[p]
		slices.SortStableFunc(exchanges, func(x, y *HeadExchange) int { return cmp.Compare(x.Date.Day, y.Date.Day) })
		bore := b.bore(p.Engine)
		now := HeadStay{Bore: bore, Position: p}
		for _, x := range exchanges {
			now.Head, now.To = cmp.Or(now.Head, x.Off.number()), x.Date.Day
			all = append(all, now)
			now = HeadStay{Head: x.Head.number(), Bore: bore, Position: p, From: x.Date.Day, Place: x.Place}
		}
		if len(exchanges) > 0 {
			all = append(all, now)
		}
	}
	slices.SortStableFunc(all, func(x, y HeadStay) int { return cmp.Compare(x.From, y.From) })
	return all
}

// number is what a serial says; empty where it says none.
func (s Serial) number() string {
	if s.Stated() {
		return s.Written
	}
	return ""
}
