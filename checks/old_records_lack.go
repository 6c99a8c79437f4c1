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
			if !c.fromOldPaper(o) {
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

// fromOldPaper says that a record was written later from papers of a time that asked for less. What sits in a cylinder
// or is a ready spare is asked for in full.
func (c *Case) fromOldPaper(o *logbook.Overhaul) bool {
	if o == nil || !o.Reconstructed.Stated() || o.Day() >= c.Book.Vessel.Opening.Date.Day &&
		o.Reconstructed.Date.Day.Days(o.Day()) <= daysOld {
		return false
	}
	return !c.inUse(o)
}

// inUse says that the valve sits in a cylinder, or is a ready spare, as the record left it.
func (c *Case) inUse(o *logbook.Overhaul) bool {
	s := c.Lives.OpenedBy(o)
	return s != nil && c.Lives.At(s.Position, c.Today) == s || c.racked()[o]
}

// racked are the records that left what is a ready spare on a day.
func racked(b *logbook.Book, today logbook.Day) map[*logbook.Overhaul]bool {
	all := map[*logbook.Overhaul]bool{}
	for _, spare := range b.Lives().Rack(today) {
		all[spare.Overhaul] = true
	}
	return all
}
