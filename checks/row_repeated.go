package checks

import (
	"fmt"

	"needlebook/logbook"
)

var rowRepeated = &Check{
	Name:    "row-repeated",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "A row of a table is there once more than the commits that brought it allow. A merge by lines, as plain git " +
		"makes one, doubles a row once two copies have crossed, or brings back one that was corrected: spares are then " +
		"counted twice. " +
		"Take the row out. Where two copies each brought an equal row, both may be meant: take one out, or say in the note " +
		"of one what tells them apart.",
	Source:  "common practice, no source",
	Example: "row doubled by merge 3f2a90c1b7de, no commit brought it: 2024-05-02,nozzle,6QZ-1603,,+5,",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, r := range c.Trail.Repeated {
			f := Finding{Place: logbook.Place{Path: r.Path, Line: r.Line, Column: 1},
				Next: "take the row out, or the one that it repeats, and sign the table"}
			if r.First > 0 {
				f.Related = []Related{{logbook.Place{Path: r.Path, Line: r.First, Column: 1}, "the row that it repeats"}}
			}
			row := []rune(r.Row)
			if len(row) > 40 {
				row = append(row[:39], '…')
			}
			switch merge := c.Trail.At(r.Merge); {
			case merge == nil:
				f.Grade = Advice
				f.Message = fmt.Sprintf("equal row written on two sides: %s", string(row))
				f.Next = "take one out if it is one, else say in its note what tells them apart"
				for _, by := range r.By {
					k := c.Trail.At(by)
					f.Related = append(f.Related, Related{f.Place, fmt.Sprintf("commit %s by %s", short(k.ID), k.Person)})
				}
			case r.First == 0:
				f.Message = fmt.Sprintf("row taken out before is back by merge %s: %s", short(merge.ID), string(row))
				f.Next = "take the row out again, and sign the table"
			default:
				f.Message = fmt.Sprintf("row doubled by merge %s, no commit brought it: %s", short(merge.ID), string(row))
			}
			c.Report(f)
		}
	},
}
