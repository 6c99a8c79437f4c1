package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/site/manual"
)

// The manual is one page whose links lead somewhere, with every chapter and its printouts; written again it is the same.
func TestManualPage(t *testing.T) {
	out := filepath.Join(t.TempDir(), "html")
	if r, err := Manual(out); err != nil || r.Written < 3 {
		t.Fatalf("%+v, %v", r, err)
	}
	links(t, out)
	text, err := os.ReadFile(filepath.Join(out, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range manual.Chapters() {
		if !strings.Contains(string(text), `<section id="`+chapterID(c.File)+`"`) ||
			!strings.Contains(string(text), `<a href="#`+chapterID(c.File)+`">`+c.Title+`</a>`) {
			t.Errorf("the chapter %s is not on the page, or not in its contents", c.Title)
		}
	}
	for _, want := range []string{"$ needlebook demo\n", "<h3", "high-pressure injection of oil", "<table"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the page does not have %q", want)
		}
	}
	for _, not := range []string{"Shown as written", "[picture", "[own-book.md]"} {
		if strings.Contains(string(text), not) {
			t.Errorf("the page has %q", not)
		}
	}
	if r, err := Manual(out); err != nil || r.Written != 0 {
		t.Errorf("written again: %+v, %v", r, err)
	}
	if err := os.WriteFile(filepath.Join(out, "style.css"), []byte("of somebody else"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(out, manifestFile)); err != nil {
		t.Fatal(err)
	}
	if _, err := Manual(out); err == nil {
		t.Error("a file of somebody else was written over")
	}
}
