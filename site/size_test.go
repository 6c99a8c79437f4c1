package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/example-vessel/invent"
)

// TestPageSizes holds the pages of the example vessel to a size that opens at once over a poor line: at most 60 × 1024 bytes, pictures apart. The
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
		if info.Size() > 60<<10 {
			t.Errorf("%s has %d bytes, want at most 60 × 1024", name, info.Size())
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

// TestManyStays spreads the valves of one cylinder over pages: every valve stands on one of them, and the pages lead to one another.
func TestManyStays(t *testing.T) {
	in := bookOf(t, os.DirFS("../example-vessel"), nil)
	out := filepath.Join(t.TempDir(), "out")
	must(t, build(in, out))
	links(t, out)
	s := newSite(in, &folder{now: map[string]bool{}})
	spread := 0
	for _, p := range s.facts.Positions {
		if len(s.at.Cylinders[p]) > 1 {
			spread++
		}
		var text strings.Builder
		for _, page := range s.at.Cylinders[p] {
			b, err := os.ReadFile(filepath.Join(out, string(page)))
			must(t, err)
			text.Write(b)
		}
		for _, period := range s.facts.Lives.InPosition(p) {
			if !strings.Contains(text.String(), ">"+period.From.String()+"</td>") {
				t.Errorf("%s: the valve fitted on %s stands on none of its pages", p, period.From)
			}
		}
	}
	if spread == 0 {
		t.Error("no cylinder has more than one page: the test looks at nothing")
	}
}
