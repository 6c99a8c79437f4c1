package content

import (
	"strconv"

	"needlebook/checks"
	"needlebook/site/address"
	"needlebook/site/page"
)

// findingsPage is one page of all findings, the open ones first.
func (w *Writer) findingsPage(i int) *page.Page {
	p := &page.Page{Name: w.at.Findings[i], Title: "findings", Kind: "list", Way: here("findings"), Head: "Findings"}
	p.Add(lead(page.Words("Every finding of ").Say(checksRun()).Say(" on the book as of ").Say(w.Today.String()).
		Say(": the open ones, the gravest first, then those that have ended, with what ended them. ").
		Link(address.Reading.At("grades"),
			"What the grades mean").Say(".")))
	if len(w.Ordered) == 0 {
		p.Add(quiet("Nothing is open."))
	}
	number := func(i int) string { return strconv.Itoa(i + 1) }
	p.Add(w.tally(), pager(w.at.Findings, i, number))
	p.Add(w.groups(i)...)
	p.Add(pager(w.at.Findings, i, number))
	return p
}

// groups are the findings of one page, check by check. The first of a grade, and of a check within it, bears its id.
func (w *Writer) groups(i int) []page.Block {
	seen := map[string]bool{}
	for _, f := range w.Ordered[:min(i*address.FindingsOnPage, len(w.Ordered))] {
		seen[f.Grade.String()], seen[address.GroupID(f.Grade, f.Check)] = true, true
	}
	first := func(id string) string {
		if seen[id] {
			return ""
		}
		seen[id] = true
		return id
	}
	var all []page.Block
	on := part(w.Ordered, i, address.FindingsOnPage)
	for len(on) > 0 {
		f, n := on[0], 1
		for n < len(on) && w.sameGroup(f, on[n]) {
			n++
		}
		title := grade(f.Grade).Say(" ").Link(w.at.OfCheck(f.Check), plainName(f.Check))
		if !w.Report.IsOpen(f) {
			title = page.Words("Ended: ").Then(title)
		}
		s := &page.Section{Title: title,
			ID:      first(f.Grade.String()),
			TitleID: first(address.GroupID(f.Grade, f.Check))}
		s.Add(w.findings(on[:n], false))
		all, on = append(all, s), on[n:]
	}
	return all
}

// sameGroup says that two findings are under one heading.
func (w *Writer) sameGroup(a, b *checks.Finding) bool {
	return a.Grade == b.Grade && a.Check == b.Check && w.Report.IsOpen(a) == w.Report.IsOpen(b)
}
