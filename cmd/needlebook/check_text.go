package main

import (
	"fmt"

	"needlebook/checks"
	"needlebook/logbook"
)

// findingsText lists the findings, in the groups of who has to do something about them; with propose also what each
// overhaul among the files asked for leads to, and with since what each was and what went away.
func (p *program) findingsText(o *opened, fs []checks.Finding, about *askedFor, k *checking, since *compared) error {
	asked := about.file
	count := map[checks.Grade]int{}
	for _, f := range fs {
		count[f.Grade]++
	}
	if k.all || since != nil {
		for i := range fs {
			p.findingText(o, &fs[i], since)
		}
	} else {
		p.groupsText(o, fs, about)
	}
	for _, f := range since.left() {
		fmt.Fprintf(p.out, "%s: gone since %s: %s: %s [%s]\n", f.Place, since.rev, f.Grade, f.Message, f.Check)
		fmt.Fprintf(p.out, "    %s\n", o.report.Standing(&f))
	}
	if k.propose {
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
	if line := endedLine(o, asked); line != "" && !k.all {
		fmt.Fprintln(p.out, line)
	}
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
	if k.propose {
		fmt.Fprintln(p.out, deferralLine)
	}
	return nil
}

// groupsText lists open findings group by group; where there are none, one line says what was looked at.
func (p *program) groupsText(o *opened, fs []checks.Finding, asked *askedFor) {
	for _, g := range checks.Groups {
		n := 0
		for i := range fs {
			if o.report.GroupOf(&fs[i]) != g {
				continue
			}
			if n++; n == 1 {
				fmt.Fprintf(p.out, "%s:\n", g)
			}
			p.findingText(o, &fs[i], nil)
		}
	}
	if len(fs) == 0 {
		fmt.Fprintln(p.out, o.nothingOpen(asked))
	}
}

// findingText prints one finding: the line at fault, what it is about, where that is now and since when, what to do,
// and what it rests on.
func (p *program) findingText(o *opened, f *checks.Finding, since *compared) {
	p.out.graded(f.Place.String()+": ", f.Grade, fmt.Sprintf(": %s [%s]", f.Message, f.Check))
	fmt.Fprintf(p.out, "    %s: %s\n", o.report.Where(f), o.report.Standing(f))
	for _, line := range f.Evidence {
		fmt.Fprintf(p.out, "    %s\n", line)
	}
	if f.Held != "" {
		fmt.Fprintf(p.out, "    %s\n", f.Held)
	}
	if f.Next != "" && f.State == checks.Open {
		fmt.Fprintf(p.out, "    %s\n", f.Next)
	}
	if f.Limit != nil {
		fmt.Fprintf(p.out, "    limit %s, %s, in force from %s: %s\n", f.Limit.Text, f.Limit.Source, f.Limit.Revision,
			f.Limit.Place)
	}
	for _, r := range f.Related {
		fmt.Fprintf(p.out, "    %s: %s\n", r.Place, r.Words)
	}
	if was, ok := since.before(*f); ok {
		fmt.Fprintf(p.out, "    at %s: %s: %s: %s\n", since.rev, was.Place, was.Grade, was.Message)
	}
}

// endedLine counts what is not open any more in the files asked for; empty where nothing is.
func endedLine(o *opened, asked func(path string) bool) string {
	n := map[checks.State]int{}
	for i := range o.report.Findings {
		if f := &o.report.Findings[i]; asked(f.Place.Path) {
			n[f.State]++
		}
	}
	if n[checks.Deferred]+n[checks.ClosedByWork]+n[checks.Answered] == 0 {
		return ""
	}
	return fmt.Sprintf("not open any more: %d closed by work, %d deferred, %d answered; --all lists them",
		n[checks.ClosedByWork], n[checks.Deferred], n[checks.Answered])
}
