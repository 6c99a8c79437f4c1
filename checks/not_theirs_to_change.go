package checks

import (
	"maps"
	"slices"

	"needlebook/logbook"
)

var notTheirsToChange = &Check{
	Name:    "not-theirs-to-change",
	Subject: OfRecord,
	Ends:    &End{Ways: only("what was changed is put right"), Never: true, Answer: Ashore},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A signer of the book changed a file that is not theirs to change by what their key is for: an engineer the " +
		"limits, the crew list or a countersignature, or somebody a line of another person in the table of answers. The " +
		"key is good and the change is signed, so that only the rank tells it. Put right what was changed and let whoever " +
		"may change it do so, or let the superintendent look at it and answer.",
	Source:  "common practice, no source",
	Example: "changed by e.eng, who may not change it",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, name := range slices.Sorted(maps.Keys(c.Trail.Records)) {
			t := c.Trail.Records[name]
			for i, k := range c.Trail.Signed(name) {
				v := &t.Versions[i]
				why := k.NotHis(v.Path)
				if why == "" || i != t.Current && len(standing(t, v.Commit)) == 0 || v.Path != t.Path {
					continue
				}
				c.Report(Finding{Place: logbook.Place{Path: name, Line: 1, Column: 1}, About: aboutPath(c.Book, name),
					Facts: []string{k.ID, name}, Since: logbook.DayOf(k.Stated),
					Message:  "changed by " + k.Person + ", who may not change it",
					Evidence: []string{why, "changed " + moment(k) + " " + writtenBy(k)},
					Next:     "put right what was changed, or let the superintendent look at it and answer"})
			}
		}
	},
}
