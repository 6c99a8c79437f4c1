package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
)

// A page that this program cannot make says so in its place, all the others are made, and the build names it.
func TestPageThatFails(t *testing.T) {
	for _, broken := range []struct {
		page  string
		spoil func(*site)
	}{
		{"due.html", func(s *site) { s.facts.Due = nil }},
		{"stores.html", func(s *site) { s.facts.Stores = nil }},
	} {
		dir := os.DirFS("../example-vessel")
		book, err := logbook.Read(dir)
		if err != nil {
			t.Fatal(err)
		}
		out := t.TempDir()
		folder, err := openFolder(out)
		if err != nil {
			t.Fatal(err)
		}
		s := newSite(Input{Book: book, Report: checks.Run(book, checks.Options{}), Files: dir}, folder)
		whole := len(s.jobs())
		broken.spoil(s)
		failed, err := s.write()
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := folder.finish(); err != nil {
			t.Fatal(err)
		}
		folder.close()
		named := false
		for _, f := range failed {
			named = named || strings.HasPrefix(f.Error(), "could not make the page "+broken.page+": ")
		}
		if !named {
			t.Errorf("%s is not among what failed: %v", broken.page, failed)
		}
		text, err := os.ReadFile(filepath.Join(out, broken.page))
		if err != nil || !strings.Contains(string(text), "This page could not be made") {
			t.Errorf("%s: %v, %.300s", broken.page, err, text)
		}
		all, _ := filepath.Glob(filepath.Join(out, "*.html"))
		if len(all) < whole/2 {
			t.Errorf("%d pages of about %d", len(all), whole)
		}
	}
}
