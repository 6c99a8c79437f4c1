package content

import (
	"path"
	"slices"

	"needlebook/checks"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// filesPage is a list of every file of the book that is no overhaul, by folder.
func (w *Writer) filesPage() *page.Page {
	p := &page.Page{Name: address.Files, Title: "limits and other files", Kind: "list",
		Way:  here("limits and other files"),
		Head: "Limits and other files"}
	p.Add(lead(page.Words("The book is plain files. Every one that is not an overhaul, as it is written, with who " +
		"answers for it.")))
	var t *page.Table
	last := ""
	for _, f := range w.Texts {
		if dir := path.Dir(f); dir != last {
			t, last = page.NewTable(page.Listed, "file", "open findings", "who answers for it"), dir
			if dir == "." {
				dir = "the book itself"
			}
			p.Add(page.Under(dir, t))
		}
		var found page.Text
		if g := facts.Gravest(w.Open(w.Found.File[f])); g != 0 {
			found = grade(g)
		}
		t.Row(page.RowHead(page.Link(w.at.File[f], path.Base(f))), page.Marked(found), page.Plainly(w.StandingOf(f).Words))
	}
	return p
}

// filePage is one file of the book: what it says, who vouches for it, and its text as written. A long file goes on
// over further pages.
func (w *Writer) filePage(f string, leaf int) *page.Page {
	leaves := w.at.Leaves[f]
	p := &page.Page{Name: leaves[leaf], Title: f, Kind: "file", Way: []page.Step{{To: address.Files, Text: "files"},
		{Text: f}}, Head: f}
	if leaf == 0 {
		p.Add(w.fileFirst(f)...)
	}
	pages := pager(leaves, leaf, func(i int) string { return "lines " + page.Grouped(i*address.LinesOnPage+1) + " on" })
	p.Add(pages, w.textOf(f, leaf*address.LinesOnPage+1, (leaf+1)*address.LinesOnPage), pages)
	if leaf == 0 {
		p.Add(w.traceOf(f))
	}
	return p
}

// fileFirst is what comes before the text of a file.
func (w *Writer) fileFirst(f string) []page.Block {
	all := []page.Block{vouched(w.StandingOf(f))}
	if list := w.ofFile(f); len(list) > 0 {
		all = append(all, w.openFindings(list, "this file"))
	}
	if file, words, ok := w.FileAt(f); ok {
		all = append(all, page.Under("What it says", w.fields(file)))
		if r := remarks(f, words); r != nil {
			s := page.Under("Remarks", r)
			s.Style = page.RemarksOf
			all = append(all, s)
		}
	}
	return all
}

// ofFile are the findings in a file, and those about what it is the page of: the posts in the crew list, the book.
func (w *Writer) ofFile(f string) []*checks.Finding {
	list := slices.Clone(w.Found.File[f])
	if f != "crew.csv" && f != "book.md" {
		return list
	}
	for _, one := range w.Ordered {
		if one.Place.Path != f && w.at.Subject(one) == w.at.File[f] {
			list = append(list, one)
		}
	}
	return list
}
