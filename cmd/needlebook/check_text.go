package main

import (
	"fmt"

	"needlebook/checks"
	"needlebook/logbook"
)

// findingsText lists the findings; with propose also what each overhaul among the files asked for leads to, and with
// since what each was and what went away.
func (p *program) findingsText(o *opened, fs []checks.Finding, asked func(path string) bool, propose bool,
	since *compared) error {
	count := map[checks.Grade]int{}
	for _, f := range fs {
		count[f.Grade]++
		p.out.graded(f.Place.String()+": ", f.Grade, fmt.Sprintf(": %s [%s]", f.Message, f.Check))
		if f.Next != "" {
			fmt.Fprintf(p.out, "    %s\n", f.Next)
		}
		if f.Limit != nil {
			fmt.Fprintf(p.out, "    limit %s, %s, in force from %s: %s\n", f.Limit.Text, f.Limit.Source, f.Limit.Revision,
				f.Limit.Place)
		}
		for _, r := range f.Related {
			fmt.Fprintf(p.out, "    %s: %s\n", r.Place, r.Words)
		}
		if was, ok := since.before(f); ok {
			fmt.Fprintf(p.out, "    at %s: %s: %s: %s\n", since.rev, was.Place, was.Grade, was.Message)
		}
	}
	for _, f := range since.left() {
		fmt.Fprintf(p.out, "%s: gone since %s: %s: %s [%s]\n", f.Place, since.rev, f.Grade, f.Message, f.Check)
	}
	if propose {
		for _, rec := range o.book.Overhauls {
			if asked(rec.Path) {
				fmt.Fprintln(p.out, rec.Path)
				p.proposed(o.report.Decisions[rec.Stem], false)
			}
		}
	}
	fmt.Fprintf(p.out, "%s read, judged from %s: %d stop, %d action, %d advice, %d note\n",
		logbook.Counted(len(o.book.Overhauls), "overhaul"), o.report.Today,
		count[checks.Stop], count[checks.Action], count[checks.Advice], count[checks.Note])
	if since != nil {
		fmt.Fprintf(p.out, "new or changed since %s: %d, gone: %d\n", since.rev, len(fs), len(since.gone))
	}
	if o.limitsOf != 0 {
		fmt.Fprintf(p.out, "every record judged by the limits in force on %s, not by those of its own day: to look at, not "+
			"what a record is held to\n", o.limitsOf)
	}
	if line := readyLine(o, asked); line != "" {
		fmt.Fprintln(p.out, line)
	}
	fmt.Fprintln(p.out, o.trail.Headline)
	if propose {
		fmt.Fprintln(p.out, deferralLine)
	}
	return nil
}
