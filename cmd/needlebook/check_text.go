package main

import (
	"fmt"

	"needlebook/checks"
)

func (p *program) findingsText(o *opened, fs []checks.Finding) error {
	count := map[checks.Grade]int{}
	for _, f := range fs {
		count[f.Grade]++
		fmt.Fprintf(p.out, "%s: %s: %s [%s]\n", f.Place, f.Grade, f.Message, f.Check)
		if f.Next != "" {
			fmt.Fprintf(p.out, "    %s\n", f.Next)
		}
		if f.Limit != nil {
			fmt.Fprintf(p.out, "    limit %s, %s, in force from %s: %s\n", f.Limit.Text, f.Limit.Source, f.Limit.Edition, f.Limit.Place)
		}
		for _, r := range f.Related {
			fmt.Fprintf(p.out, "    %s: %s\n", r.Place, r.Words)
		}
	}
	fmt.Fprintf(p.out, "%d overhauls read, judged from %s: %d stop, %d answer, %d advice, %d note\n", len(o.book.Overhauls), o.report.Today,
		count[checks.Stop], count[checks.Answer], count[checks.Advice], count[checks.Note])
	fmt.Fprintln(p.out, o.trail.Headline)
	fmt.Fprintln(p.out, deferralLine)
	return nil
}
