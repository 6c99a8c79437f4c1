package site

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"needlebook/checks/paper"
	"needlebook/example-vessel/invent"
)

// TestPageSizes holds the pages of the example vessel to a size that opens at once over a poor line: at most 60 kB, pictures apart. The
// pages of records, cylinders and holders, which show most, hold at least 10 kB where they have anything to show.
func TestPageSizes(t *testing.T) {
	if _, err := os.Stat("../example-vessel/book.md"); err != nil {
		t.Skip("no example vessel here")
	}
	dir := filepath.Join(t.TempDir(), "out")
	in := bookOf(t, os.DirFS("../example-vessel"), nil)
	in.Trail = trailOf(in.Book)
	must(t, build(in, dir))
	for _, name := range pagesIn(t, dir) {
		info, err := os.Stat(filepath.Join(dir, name))
		must(t, err)
		if info.Size() > 60_000 {
			t.Errorf("%s has %d bytes, want at most 60 kB", name, info.Size())
		}
		if strings.HasPrefix(name, "overhaul-") && info.Size() < 10_000 {
			t.Errorf("%s has %d bytes: has it lost its text?", name, info.Size())
		}
	}
}

// TestLargeBookInSmallPages holds the pages of a vee engine of sixteen with hundreds of overhauls to a size that opens over a poor line, and
// follows their links: lists, papers and drawings go on over further pages.
func TestLargeBookInSmallPages(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	must(t, build(bookOf(t, invent.Vessel(1, invent.Options{Overhauls: 180}).FS(), nil), dir))
	links(t, dir)
	for _, name := range pagesIn(t, dir) {
		info, err := os.Stat(filepath.Join(dir, name))
		must(t, err)
		if info.Size() > 65_000 {
			t.Errorf("%s has %d bytes", name, info.Size())
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "parts-2.html")); err != nil {
		t.Errorf("the book is not large enough for the test: %v", err)
	}
}

// TestPartedPaper keeps every row of a paper, in order, and no page with more than it may hold; a table that fits stays whole. No outside
// source.
func TestPartedPaper(t *testing.T) {
	table := func(name string, rows int) paper.Table {
		one := paper.Table{Name: name, Columns: []string{"n"}, Empty: "none"}
		for i := range rows {
			one.Add(paper.Text(name + strconv.Itoa(i)))
		}
		return one
	}
	in := paper.Paper{Tables: []paper.Table{table("a", 3), table("b", 0), table("c", 300), table("d", 5)}}
	var want, got []string
	for _, x := range in.Tables {
		for _, r := range x.Rows {
			want = append(want, r[0].Text)
		}
	}
	names := ""
	for _, page := range partedPaper(in) {
		n := 0
		for _, x := range page {
			names += x.Name
			for _, r := range x.Rows {
				got = append(got, r[0].Text)
				n++
			}
		}
		names += "|"
		if n > rowsOnPage {
			t.Errorf("%d rows on one page", n)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("%d rows of %d, or in another order", len(got), len(want))
	}
	if names != "abc|c|cd|" {
		t.Errorf("the tables stand as %s", names)
	}
}

// TestManyStays spreads the valves of one cylinder over pages: every valve stands on one of them, and the pages lead to one another.
func TestManyStays(t *testing.T) {
	in := bookOf(t, os.DirFS("../example-vessel"), nil)
	out := filepath.Join(t.TempDir(), "out")
	must(t, build(in, out))
	links(t, out)
	s := newSite(in, &folder{now: map[string]bool{}})
	spread := 0
	for _, p := range s.pages.positions {
		if len(s.pages.cylinders[p]) > 1 {
			spread++
		}
		var text strings.Builder
		for _, page := range s.pages.cylinders[p] {
			b, err := os.ReadFile(filepath.Join(out, string(page)))
			must(t, err)
			text.Write(b)
		}
		for _, stay := range s.lives.InPosition(p) {
			if !strings.Contains(text.String(), "<td>"+stay.From.String()+"</td>") {
				t.Errorf("%s: the valve fitted on %s stands on none of its pages", p, stay.From)
			}
		}
	}
	if spread == 0 {
		t.Error("no cylinder has more than one page: the test looks at nothing")
	}
}
