package content

import (
	"strings"

	"needlebook/checks"
	"needlebook/site/address"
	"needlebook/site/page"
)

// manualPage is one page of the manual of the checks, made from their own documentation.
func (w *Writer) manualPage(i int) *page.Page {
	p := &page.Page{Name: address.Manual[i], Title: "the checks", Kind: "manual", Way: here("the checks"),
		Head: "The checks"}
	p.Add(lead(page.Words("What is looked at, why it matters at sea, and what to do next. No check knows a limit of " +
		"its own: limits come from " +
		"the book's limits file, with source and date. What ends a finding is written with its check; correcting the line " +
		"ends any. What no work can make good is answered by the second engineer or the chief in post; a stop by the " +
		"superintendent, and never about a part in service or ready.")))
	for n, levels := range address.ManualLevels {
		for _, level := range levels {
			p.Add(checksOf(level, n, n == i))
		}
	}
	for _, level := range address.ManualLevels[i] {
		s := page.Under(levelWords[level])
		for _, c := range checks.All() {
			if c.Level == level {
				s.Add(w.check(c))
			}
		}
		p.Add(s)
	}
	return p
}

// checksOf are the ways to the checks of a level, or to the page that has them.
func checksOf(level checks.Level, n int, onPage bool) page.Block {
	t := page.In(page.Bold, levelWords[level]).Say(" ")
	if !onPage {
		t = t.Link(address.Manual[n], "another page")
		return page.Para{Style: page.Source, Text: t}
	}
	for _, c := range checks.All() {
		if c.Level == level {
			t = t.Link("#"+page.Ref(page.Slug(c.Name)), plainName(c.Name)).Say(" · ")
		}
	}
	return page.Para{Style: page.Source, Text: t}
}

var levelWords = map[checks.Level]string{
	checks.Field:   "Field: one value, how it is written and what else shows it",
	checks.Record:  "Record: one overhaul, in the order of the bench",
	checks.History: "History: one part or position through time",
	checks.Batch:   "Batch: one round, or what was set with one gauge",
	checks.Vessel:  "Vessel: the book as a whole",
}

func (w *Writer) check(c *checks.Check) page.Block {
	a := page.Article{ID: page.Slug(c.Name), Title: page.Words(plainName(c.Name)).Say(" ").Then(grade(c.Grade))}
	for text := range strings.SplitSeq(c.Doc, "\n\n") {
		a.Blocks = append(a.Blocks, said(text))
	}
	if c.Example != "" {
		a.Blocks = append(a.Blocks, para(page.Words("It says, for instance: ").In(page.Quoting, c.Example)))
	}
	ends := append([]string{"About: " + c.Subject.String()}, c.Ends.Words()...)
	a.Blocks = append(a.Blocks, page.Para{Style: page.Source, Text: page.Words(strings.Join(ends, ". ") + ".")})
	t := page.Words("Source: ").Say(c.Source).Say(". ")
	silent := true
	for g := checks.Stop; g >= checks.Note; g-- {
		if to := w.at.OfGroup(g, c.Name); to != "" {
			t, silent = t.Say(" ").Link(to, "what it says of this book, grade "+g.String()), false
		}
	}
	if silent {
		t = t.Say("It says nothing on this book.")
	}
	a.Blocks = append(a.Blocks, page.Para{Style: page.Source, Text: t})
	return a
}
