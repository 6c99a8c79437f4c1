package checks

import (
	"path"
	"strings"

	"needlebook/logbook"
)

var samePerson = &Check{
	Name:    "same-person",
	Subject: OfRecord,
	Ends:    signature,
	Version: 1,
	Level:   Record,
	Doc: "The person that did the work also countersigned it. A countersignature says that a second pair of eyes has " +
		"seen the record; two by one person are one. Have " +
		"another certificated engineer look at the valve's record and countersign.",
	Source: "IACS UR Z20, 1.3.2, overhaul documentation is reported and signed by the chief engineer; that this is " +
		"another person than the performer: common practice, no source",
	Example: `c.one did the work and countersigned it`,
	Whole: func(c *Case) {
		for _, s := range c.Book.Countersigned {
			o := c.Book.Overhaul(strings.TrimSuffix(path.Base(s.Record.Written), ".md"))
			if o == nil {
				continue
			}
			person, found := strings.CutPrefix(strings.TrimSuffix(path.Base(s.Path), ".md"), o.Stem+".")
			a := about(o)
			a.Person = person
			for _, did := range []logbook.Serial{o.By, o.FittedBy} {
				if found && did.Stated() && did.Written == person {
					c.Report(Finding{Place: s.Opening, Message: person + " did the work and countersigned it",
						Next:    "have another engineer look at the record and countersign it",
						Related: []Related{{did.Place, "who did the work"}}, About: a})
					break
				}
			}
		}
	},
	Grade: Action,
}
