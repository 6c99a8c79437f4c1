package checks

import (
	"strings"

	"needlebook/checks/deciding"
	"needlebook/logbook"
)

var decisionWithoutReason = &Check{
	Name:    "decision-without-reason",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Record,
	Doc: "What was decided for nozzle, holder or spring is another thing than the order of decisions leads to, and no " +
		"reason is written. The order is only a proposal, worked " +
		"out from what the record holds; the engineer at the bench saw more, and decides. But the next crew and the " +
		"superintendent see the record alone: write why (why: or considered: " +
		"under decided), name the deferral, or decide otherwise. A decision on the careful side is only noted.",
	Source:  "common practice, no source; the limits are the book's own",
	Example: `nozzle decided reuse without a written reason: the order of decisions leads to renew`,
	Each: func(c *Case, o *logbook.Overhaul) {
		for _, p := range c.Outcomes()[o.Stem].Proposals() {
			differs := p.Agreement == deciding.Bolder || p.Agreement == deciding.Further || p.Agreement == deciding.OtherWay
			if !differs || p.Answer != "" || saidOfReuse(o, p) {
				continue
			}
			f := Finding{Place: p.Place, Message: decidedAs(p) + ": the order of decisions leads to " + p.Word,
				Evidence: strings.Split(p.Why(), "; "), About: about(o),
				Next: "write the reason (why: under decided), name the deferral, or decide otherwise"}
			if p.Agreement != deciding.Bolder {
				f.Grade, f.Next = Note, "the careful side; a reason would tell the next crew what was seen (why: under decided)"
			}
			for _, s := range p.Reasons() {
				if f.Limit == nil {
					f.Limit = limit(s.Verdict)
				}
				if s.Place.Line != 0 {
					f.Related = append(f.Related, Related{s.Place, s.Answer})
				}
			}
			c.Report(f)
		}
	},
	Grade: Action,
}

// decidedAs says what was decided: the word as written, or what the build shows.
func decidedAs(p deciding.Proposal) string {
	if p.Implied {
		return p.Part + " built in (" + p.Decided + ") without a decision"
	}
	return p.Part + " decided " + p.Decided + " without a written reason"
}

// saidOfReuse says that the difference rests on the test as found alone and nothing at all was done about it: that is
// what the check reuse-against-findings asks about.
func saidOfReuse(o *logbook.Overhaul, p deciding.Proposal) bool {
	if p.Part != "nozzle" || p.Implied || p.Decided != "reuse" || o.Cleaned.Stated() {
		return false
	}
	for _, s := range p.Steps {
		if s.Word != "" && !strings.HasPrefix(s.Verdict.Key, "as_found.") {
			return false
		}
	}
	return true
}
