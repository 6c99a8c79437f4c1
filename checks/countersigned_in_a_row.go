package checks

import (
	"fmt"
	"sort"
	"time"

	"needlebook/logbook"
)

var countersignedInARow = &Check{
	Name:    "countersigned-in-a-row",
	Subject: OfPost,
	Ends:    &End{Ways: only("it is answered"), Answer: Ashore},
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "Many records were countersigned within a few minutes. It may be a round looked at together and signed at " +
		"the end; it is noted because nobody looks at a dozen valves in that time, and the reader ashore may want to know " +
		"which it was. Nothing needs doing.",
	Source:  "from memory",
	Example: "12 records countersigned by o.lindqvist in 4 minutes, from 2023-04-21 08:05 UTC on",
	Grade:   Note,
	Whole: func(c *Case) {
		by := map[string][]seenAt{}
		var persons []string
		for path, t := range c.Trail.Records {
			for _, s := range t.Countersignatures {
				if k := c.Trail.At(s.Commit); k != nil && s.Person != "" {
					if by[s.Person] == nil {
						persons = append(persons, s.Person)
					}
					by[s.Person] = append(by[s.Person], seenAt{k.Stated.UTC(), s.Path, path})
				}
			}
		}
		sort.Strings(persons)
		for _, person := range persons {
			c.inARow(person, by[person])
		}
	},
}

// seenAt is one countersignature: when, its file, and the record.
type seenAt struct {
	when         time.Time
	path, record string
}

// inARow reports each longest run that falls within the book's minutes.
func (c *Case) inARow(person string, all []seenAt) {
	sort.Slice(all, func(i, j int) bool {
		if !all[i].when.Equal(all[j].when) {
			return all[i].when.Before(all[j].when)
		}
		return all[i].path < all[j].path
	})
	within := time.Duration(c.Settings.CountersignSpan.Float() * float64(time.Second))
	for i := 0; i < len(all); {
		j := i
		for j+1 < len(all) && all[j+1].when.Sub(all[i].when) <= within {
			j++
		}
		if n := j - i + 1; n > c.Settings.CountersignMany.Int() {
			c.Report(Finding{Place: logbook.Place{Path: all[i].path, Line: 1, Column: 1}, About: About{Person: person},
				Message: fmt.Sprintf("%d records countersigned by %s in %.0f minutes, from %s on", n, person,
					all[j].when.Sub(all[i].when).Minutes(), all[i].when.Format("2006-01-02 15:04 UTC")),
				Related: []Related{{logbook.Place{Path: all[j].path, Line: 1, Column: 1}, "the last of them"}}})
			i = j + 1
			continue
		}
		i++
	}
}
