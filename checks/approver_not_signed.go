package checks

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/logbook"
)

var approverNotSigned = &Check{
	Name:    "approver-not-signed",
	Subject: OfRecord,
	Ends:    &End{Ways: only("whoever approved it signs the file"), Answer: Ashore},
	Version: 2,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A deferral names who approved it, and that person has not signed it as it stands: never, or its hours, its " +
		"last day, its part or its limit were changed afterwards. A name is typed by anybody, so that the deferral " +
		"does not hold until the one who approved it signs it; of one who signs nothing in this book it is the word " +
		"of whoever wrote it. Approved by telephone or by mail, it is signed with the next connection: sign names the " +
		"file, shows the terms, and writes the day under confirmed.",
	Source:  "common practice, no source",
	Example: "deferral D-08 is approved by s.okonjo, who has not signed it",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, d := range c.Book.Deferrals {
			if c.Trail.Records[d.Path] == nil || !d.Approved.By.Stated() {
				continue // of one that was never committed, others tell
			}
			var signers []string
			for _, k := range c.Trail.Signed(d.Path) {
				signers = append(signers, k.Person)
			}
			c.approved(d, signers)
		}
	},
}

// approved asks that whoever approved a deferral is among the signers of its file.
func (c *Case) approved(d *logbook.Deferral, signers []string) {
	by, lacks := d.Approved.By, c.Trail.Unapproved(d)
	is := func(signer string) bool { return lettersAlone(signer) == lettersAlone(by.Written) }
	if lacks == "" && slices.ContainsFunc(signers, is) {
		return
	}
	says := d.Called() + " is approved by " + by.Written + ", who has not signed it"
	if lacks != "" {
		says = d.Called() + " " + lacks
	}
	c.Report(Finding{Place: by.Place, About: About{Record: d.Record.Written, Holder: d.Holder.Written,
		Nozzle: d.Nozzle.Written}, Message: says,
		Evidence: []string{"signed by " + cmp.Or(strings.Join(signers, " and by "), "nobody")},
		Next:     "let " + by.Written + " run needlebook sign " + d.Path})
}
