package checks

import (
	"fmt"

	"needlebook/logbook"
)

var countersignerNotAboard = &Check{
	Name:    "countersigner-not-aboard",
	Subject: OfRecord,
	Ends:    signature,
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A record was countersigned by a chief who, by the crew list, was not aboard that day, or the countersignature " +
		"does not count: its key was not in force, or its owner may not countersign this record. " +
		"A countersignature says that somebody looked at the valve's figures while the valve could still be looked at. " +
		"Correct the crew list if it is wrong; otherwise let the chief aboard countersign. A superintendent ashore is not " +
		"asked to be aboard.",
	Source:  "common practice, no source",
	Example: "countersigned 2023-09-05 by o.lindqvist, who was not aboard by crew.csv",
	Grade:   Action,
	Each: func(c *Case, o *logbook.Overhaul) {
		t := c.Trail.Records[o.Path]
		if t == nil {
			return
		}
		for _, s := range t.Countersignatures {
			k := c.Trail.At(s.Commit)
			if k == nil {
				continue
			}
			f := Finding{Place: logbook.Place{Path: s.Path, Line: 1, Column: 1}, About: about(o),
				Related: []Related{{o.Opening, "the record"}}, Next: "let the chief aboard countersign, or correct the crew list"}
			f.About.Person = s.Person
			day := logbook.DayOf(k.Stated.UTC())
			switch {
			case s.State == logbook.NotCounted:
				f.Message = fmt.Sprintf("countersignature of %s by %s does not count: %s", day, orName(s.Person, k), s.Why)
				f.Next = "let a chief who may countersign this record do so"
				if s.Pending {
					f.Next = "let a superintendent confirm the key: needlebook enrol NAME --confirm FINGERPRINT"
				}
			case c.ashore(&s):
				f.Message = fmt.Sprintf("countersigned %s by %s, who was not aboard by crew.csv", day, s.Person)
				if stay, off := nearestStay(c.Book, s.Person, day, day, 0); off > 0 {
					f.Rests = Rests{Place: stay.Place, Words: "stays of " + s.Person}
					f.Related = append(f.Related, Related{stay.Place, "nearest stay, " + period(stay)})
				}
			default:
				continue
			}
			c.Report(f)
		}
	},
}

// ashore says that a chief who countersigned was not aboard that day by the crew list.
func (c *Case) ashore(s *logbook.Countersignature) bool {
	k := c.Trail.At(s.Commit)
	return s.Role != "superintendent" && len(c.Book.Crew) > 0 && k != nil &&
		!aboard(c.Book, s.Person, logbook.DayOf(k.Stated.UTC()))
}

// aboard says that a person was aboard on a day by the crew list; days compare within one day.
func aboard(b *logbook.Book, person string, day logbook.Day) bool {
	for _, s := range b.Aboard(person) {
		if s.From.Day <= day+1 && (s.To.Day == 0 || day <= s.To.Day+1) {
			return true
		}
	}
	return false
}

func orName(person string, k *logbook.Commit) string {
	if person != "" {
		return person
	}
	return "the name " + k.AuthorName
}
