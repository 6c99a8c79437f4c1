package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"needlebook/logbook"
)

var oldRecordsLack = &Check{
	Name:    "old-records-lack",
	Subject: OfBook,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "Records were written later from old papers, and hold no leak check, no torque, no instrument: the sheets of " +
		"that time did not ask for them. What such a record lacks is not asked for one by one, but said here once. " +
		"A record counts as such when it is marked as reconstructed, its work is from before the book began, or more " +
		"than a year before it was written, and its valve neither sits in a cylinder nor is a ready spare. " +
		"Add what a paper still shows; the rest cannot be made good.",
	Source:  "our own rule; the year is from memory",
	Example: "36 reconstructed records lack what their papers did not hold: 6 things",
	Grade:   Note,
	Whole: func(c *Case) {
		sub, records := *c, 0
		sub.lacking = map[string][]Related{}
		for _, o := range c.Book.Overhauls {
			if !c.old[o] {
				continue
			}
			records++
			for _, k := range c.every {
				if k.Each != nil {
					sub.check = k
					k.Each(&sub, o)
				}
			}
		}
		if len(sub.lacking) == 0 {
			return
		}
		f := Finding{Place: c.Book.Vessel.Opening.Date.Place,
			Message: fmt.Sprintf("%s lack what their papers did not hold: %s",
				numbered(records, "reconstructed record", "reconstructed records"),
				numbered(len(sub.lacking), "thing", "things")),
			Next: "add what a paper still shows; the rest cannot be made good"}
		if f.Place.Path == "" {
			f.Place = logbook.Place{Path: "book.md", Line: 1, Column: 1}
		}
		things := slices.SortedFunc(maps.Keys(sub.lacking), func(x, y string) int {
			return cmp.Or(len(sub.lacking[y])-len(sub.lacking[x]), cmp.Compare(x, y))
		})
		for _, thing := range things {
			on := sub.lacking[thing]
			first := on[0]
			first.Words = fmt.Sprintf("%s: %s", thing, numbered(len(on), "record", "records"))
			f.Related = append(f.Related, first)
		}
		c.Report(f)
	},
}

// daysOld is how long after its work a record is written from an old paper.
const daysOld = 365

// oldPapers are the records that were written later from papers of a time that asked for less. What sits in a cylinder
// or is a ready spare is asked for in full.
func oldPapers(b *logbook.Book, today logbook.Day) map[*logbook.Overhaul]bool {
	old := map[*logbook.Overhaul]bool{}
	open := b.Vessel.Opening.Date.Day
	for _, o := range b.Overhauls {
		r := &o.Reconstructed
		if r.Stated() && (o.Day() < open || r.Date.Day.Days(o.Day()) > daysOld) {
			if s := b.Lives().OpenedBy(o); s == nil || b.Lives().At(s.Position, today) != s {
				old[o] = true
			}
		}
	}
	if len(old) > 0 {
		for _, spare := range b.Lives().Rack(today) {
			delete(old, spare.Overhaul)
		}
	}
	return old
}
