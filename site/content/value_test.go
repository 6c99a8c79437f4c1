package content

import (
	"io/fs"
	"os"
	"sync"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// writerOf reads a folder as a book, judges it, and gives the writer of its pages.
func writerOf(t testing.TB, files fs.FS) *Writer {
	t.Helper()
	book, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	k := facts.Of(facts.Input{Book: book, Report: checks.Run(book, checks.Options{}), Files: files})
	return New(k, address.Of(k))
}

var example struct {
	once sync.Once
	w    *Writer
}

// exampleVessel is the writer of the example vessel's pages. It is only read.
func exampleVessel(t testing.TB) *Writer {
	t.Helper()
	example.once.Do(func() { example.w = writerOf(t, os.DirFS("../../example-vessel")) })
	return example.w
}

// eachBlock walks over blocks and what is within them, in the order of the page.
func eachBlock(blocks []page.Block, do func(page.Block)) {
	for _, b := range blocks {
		do(b)
		switch b := b.(type) {
		case *page.Section:
			eachBlock(b.Blocks, do)
		case *page.Box:
			eachBlock(b.Blocks, do)
		case page.Fold:
			eachBlock(b.Blocks, do)
		case page.Article:
			eachBlock(b.Blocks, do)
		case *page.Charted:
			if b.Chart != nil {
				eachBlock([]page.Block{b.Chart}, do)
			}
			eachBlock(b.Blocks, do)
		case page.List:
			for _, i := range b.Items {
				eachBlock(i.Blocks, do)
			}
		case *page.Table:
			for _, r := range b.Rows {
				for _, c := range r.Cells {
					eachBlock(c.Blocks, do)
				}
			}
		}
	}
}

// blocksOf are the blocks of one type on a page.
func blocksOf[T page.Block](p *page.Page) []T {
	var all []T
	eachBlock(p.Blocks, func(b page.Block) {
		if one, ok := b.(T); ok {
			all = append(all, one)
		}
	})
	return all
}

// plotTitled is the plot of a page with a title; the test fails where there is none.
func plotTitled(t *testing.T, p *page.Page, title string) *page.Plot {
	t.Helper()
	for _, c := range blocksOf[*page.Plot](p) {
		if c.Title == title {
			return c
		}
	}
	t.Fatalf("%s has no plot %q", p.Name, title)
	return nil
}
