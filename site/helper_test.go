package site

import (
	"bytes"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
	"needlebook/logbook/hypertext"
	"needlebook/site/look"
	"needlebook/site/page"
)

// bookOf reads a folder of files as a book and judges it.
func bookOf(t testing.TB, files fs.FS, trail *logbook.Trail) Input {
	t.Helper()
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return Input{Book: b, Report: checks.Run(b, checks.Options{Trail: trail}), Trail: trail, Files: files}
}

// baseFiles is the small book that the checks are tried on, with the files given laid over it.
func baseFiles(t testing.TB, over map[string]string) fstest.MapFS {
	t.Helper()
	all, err := invent.Laid(over, "../checks/testdata/base", "testdata/ordinary")
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestPreview writes the example vessel, or the small book where there is none, to a folder to look at.
func TestPreview(t *testing.T) {
	out := os.Getenv("NEEDLEBOOK_PREVIEW")
	if out == "" {
		t.Skip("NEEDLEBOOK_PREVIEW names no folder")
	}
	var files fs.FS = baseFiles(t, nil)
	if dir := os.Getenv("NEEDLEBOOK_PREVIEW_BOOK"); dir != "" {
		files = os.DirFS(dir)
	}
	r, err := Build(bookOf(t, files, nil), out)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v", r)
}

// remarksOf is how remarks of a file of the book are shown.
func remarksOf(t testing.TB, s *site, from, body string) string {
	t.Helper()
	var out bytes.Buffer
	must(t, look.New(s.frame(), s).Write(&out, &page.Page{Blocks: []page.Block{page.Remarks{From: from, Body: body}}}))
	_, text, _ := strings.Cut(out.String(), "<h1></h1>")
	text, _, _ = strings.Cut(text, "</main>")
	return strings.TrimSuffix(text, "\n")
}

// unseen says that a reader cannot see a character as it is.
func unseen(r rune) bool { return hypertext.Visible(string(r)) != string(r) }
