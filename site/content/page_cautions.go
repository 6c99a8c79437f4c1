package content

import (
	"needlebook/site/address"
	"needlebook/site/manual"
	"needlebook/site/page"
)

// What every printed page says of its own standing, and what is said before work on a valve.

const yieldShort = "This logbook is a record and a helper, not an instruction. The makers' current manuals, the " +
	"company's safety management system, class, flag and the conventions come before it; " +
	"limits are the owner's copies and may be wrong or outdated: check the source named beside them. Certificated " +
	"engineers on board decide, and may overrule any verdict."

// cautionList are the cautions one under another.
func cautionList(style page.Style) page.Block {
	l := page.List{Style: style, Ordered: true}
	for _, c := range manual.Cautions() {
		l.Items = append(l.Items, page.Item{Text: page.Words(c)})
	}
	return l
}

// cautionsPage are the cautions and the standing of the book, in full.
func (w *Writer) cautionsPage() *page.Page {
	p := &page.Page{Name: address.Cautions, Title: "cautions", Kind: "plain", Way: here("cautions"),
		Head: "Before work on a fuel valve"}
	p.Add(lead(page.Words("Cautions of the trade, in the order of the work. The maker's manual and the permit to work "+
		"come first.")),
		cautionList(page.Cautions), page.Title{Text: page.Words("What this book is, and is not")}, said(manual.Before()))
	return p
}
