package main

import (
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
)

// deferralTopic is the help on how a deferral is written, approved, signed and closed.
func deferralTopic() *cobra.Command {
	var b strings.Builder
	b.WriteString(`A limit that is exceeded knowingly is allowed in writing, with an end. It is one
file, named after its id, with any editor. In deferrals/d-08.md:

  ---
  id: D-08
  record: 2024-06-25-h-102
  limit: effective_lift
  holder: "H-102"
  nozzle: "N-2024"
  by_how_much: 0.94 mm against 0.90 mm
  reason: no nozzle on board before the order of 25 July
  risk: seat and tip may crack; load kept under 85 %
  inspection: exhaust and pmax of ME2-2 every week
  from: 2024-06-25
  hours: 500 h
  until: 2024-08-09
  requested_by: o.lindqvist
  approved: {by: s.okonjo, date: 2024-06-25, reference: mail 112}
  informed: maker by mail, class not informed
  ---

Who approves it is the office, by name. The chief engineer alone may, once for
a part, for as long as provisional_deferral in book.md says.

Who may sign it are the chief and the superintendent: needlebook sign D-08. It
holds when the one under approved has signed it. Where another wrote it, the
approver gets the book, by sync or by mailbag, and types the same command: the
terms are shown, and the day is written under confirmed. Terms that are changed
afterwards hold when they are signed again.

A stop is deferred for the record and the limit that are named; a check's name
is a limit too. For the running hours of a fitted valve it is limit: interval,
with its holder or nozzle, and no record.

It ends with its hours or its last day, whichever comes first: running on is a
stop. When the part came out, or was put right, add the line

  closed: {date: 2024-07-30, why: "nozzle renewed"}

Each key:
`)
	kind, _ := logbook.KindOf("deferrals/d-08.md")
	for _, f := range kind.Fields {
		said := f.Doc
		for _, x := range f.Fields {
			said += "\n    " + x.Key + ": " + x.Doc
		}
		b.WriteString("  " + f.Key + ": " + said + "\n")
	}
	const width = 80
	return &cobra.Command{Use: "deferral", Short: "How a limit is exceeded knowingly: the file, who approves, who signs",
		Long: wrapped(b.String(), width)}
}
