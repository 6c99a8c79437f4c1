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
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A deferral names who approved it, and that person has never signed the file. A name is typed by anybody: " +
		"until the one who approved a limit exceeded signs it, the deferral is the word of whoever wrote it. Approved by " +
		"telephone or by mail, it is signed with the next connection: the text as it stands, or with the reference put " +
		"right.",
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
	by := d.Approved.By
	is := func(signer string) bool { return lettersAlone(signer) == lettersAlone(by.Written) }
	if slices.ContainsFunc(signers, is) {
		return
	}
	c.Report(Finding{Place: by.Place, About: About{Record: d.Record.Written, Holder: d.Holder.Written,
		Nozzle: d.Nozzle.Written}, Message: d.Called() + " is approved by " + by.Written + ", who has not signed it",
		Evidence: []string{"signed by " + cmp.Or(strings.Join(signers, " and by "), "nobody")},
		Next:     "let " + by.Written + " sign it: needlebook sign " + d.Path})
}
