package facts

import (
	"strings"

	"needlebook/logbook"
)

// Person is a person in words: name and rank on a day, as the crew list has them, or the id as written.
func (k *Facts) Person(id string, day logbook.Day) string {
	if id == "" {
		return ""
	}
	var last *logbook.CrewPeriod
	for i, c := range k.Book.Crew {
		if c.ID.Written != id {
			continue
		}
		if last == nil || c.From.Day <= day {
			last = &k.Book.Crew[i]
		}
	}
	if last == nil || last.Name.Written == "" {
		return id
	}
	if last.Rank.Written == "" {
		return last.Name.Written
	}
	return last.Name.Written + ", " + last.Rank.Written
}

// Signer is a principal of the register with the name of the crew list.
func (k *Facts) Signer(principal string, day logbook.Day) string {
	id, _, _ := strings.Cut(principal, "@")
	if name := k.Person(id, day); name != id {
		return name
	}
	return principal
}

// PersonOf is one person of a record: what the record says they did, and the commits their key signed.
type PersonOf struct {
	ID, Did   string
	Principal string
	Day       logbook.Day
	Commits   []*logbook.Commit
}

// PeopleOf are the people of a record, those it names first. Whoever is named and has signed stands once.
func (k *Facts) PeopleOf(o *logbook.Overhaul) []*PersonOf {
	var all []*PersonOf
	of := func(id string, day logbook.Day) *PersonOf {
		for _, h := range all {
			if h.ID == id {
				return h
			}
		}
		all = append(all, &PersonOf{ID: id, Day: day})
		return all[len(all)-1]
	}
	named := func(l logbook.Serial, did string, day logbook.Day) {
		if l.Present() {
			h := of(l.Written, day)
			if h.Did != "" {
				h.Did += ", "
			}
			h.Did += did
		}
	}
	named(o.By, "bench work", DayOf(o, "as_left"))
	named(o.CheckedBy, "decided and released", DayOf(o, "as_left"))
	named(o.FittedBy, "fitted", DayOf(o, "fitted"))
	if r := k.Trail.Records[o.Path]; r != nil {
		for i := range r.Versions {
			c := k.Trail.At(r.Versions[i].Commit)
			who := c.Signer
			if c.AdoptedBy != "" {
				who = c.AdoptedBy
			}
			if !r.Versions[i].State.Speaks() || who == "" {
				continue
			}
			id, _, _ := strings.Cut(who, "@")
			h := of(id, logbook.DayOf(c.Stated.UTC()))
			h.Principal, h.Commits = who, append(h.Commits, c)
		}
	}
	return all
}
