package content

import (
	"slices"

	"needlebook/site/address"
	"needlebook/site/page"
)

// overhaulsPage is one page of all overhauls, the newest first.
func (w *Writer) overhaulsPage(i int) *page.Page {
	p := &page.Page{Name: w.at.Overhauls[i], Title: "overhauls", Kind: "list", Way: here("overhauls"), Head: "Overhauls"}
	all := slices.Clone(w.Book.Overhauls)
	slices.Reverse(all)
	pages := pager(w.at.Overhauls, i, func(i int) string {
		stretch := part(all, i, address.OverhaulsOnPage)
		if len(stretch) == 0 {
			return "–"
		}
		return stretch[len(stretch)-1].Day().String() + " to " + stretch[0].Day().String()
	})
	p.Add(lead(page.Text{}.Int(len(all)).Say(" in the book, the newest first.")), pages,
		w.records(part(all, i, address.OverhaulsOnPage)), pages)
	return p
}
