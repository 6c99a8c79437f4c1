package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
)

// Whatever leaves the program, for a person, a printer or another program, holds no character that is not seen: here serials turn the
// line round, and a remark holds an escape sequence.
func TestNothingUnseenLeaves(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	if err := os.CopyFS(dir, os.DirFS("../../checks/testdata/base")); err != nil {
		t.Fatal(err)
	}
	record := "---\nholder: \"H-\\u202e911\\u009b\"\nnozzle: {found: \"N-1\", left: \"N-1\\u200b\"}\n" +
		"removed: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 1500 h, reason: planned}\n" +
		"as_found: not tested (out of order)\nas_left: {date: 2020-07-02, opening_pressure: [320 bar]}\n" +
		"fitted: {engine: ME1, cylinder: 1, date: 2020-07-03, counter: 1501 h}\n" +
		"by: \"\\u2066eng\"\n---\n\nSeen \u202eno\x1b[2J.\n"
	name := filepath.Join(dir, "overhauls/me1/c1/2020-07-01-h-1.md")
	os.MkdirAll(filepath.Dir(name), 0o777)
	if err := os.WriteFile(name, []byte(record), 0o666); err != nil {
		t.Fatal(err)
	}
	top := t.TempDir()
	pages, table, side := filepath.Join(top, "pages"), filepath.Join(top, "t.csv"), filepath.Join(top, "c.html")
	said := false
	look := func(what string, text []byte) {
		t.Helper()
		text = bytes.ReplaceAll(bytes.TrimPrefix(text, []byte("\ufeff")), []byte("\r\n"), []byte("\n"))
		if at := bytes.IndexFunc(text, logbook.Invisible); at >= 0 {
			t.Errorf("%s holds %q", what, text[max(0, at-40):min(len(text), at+10)])
		}
		said = said || bytes.Contains(text, []byte(`\u202e`))
	}
	for _, args := range []string{"check", "check --format json", "check --format sarif", "check --format junit", "export overhauls",
		"export findings --format jsonl", "export measurements -o " + table, "card ME1/1", "card ME1/1 -o " + side, "due --format json",
		"due --format csv", "handover", "show 2020-07-01-h-1", "show ME1/1", "judge ME1/1 --leak-down 7.4s --oil 31°C", "pages -o " + pages} {
		var out, errs bytes.Buffer
		if status := run(append(strings.Fields(args), "--book", dir), strings.NewReader(""), &out, &errs); status == exitUse {
			t.Errorf("%s: %s", args, errs.String())
		}
		look(args, out.Bytes())
		look(args, errs.Bytes())
	}
	files, _ := filepath.Glob(filepath.Join(pages, "*"))
	if len(files) == 0 {
		t.Error("no pages")
	}
	for _, f := range append(files, table, side) {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Error(err)
		}
		look(f, text)
	}
	if !said {
		t.Error("nowhere stands the code of a character: the record was not read")
	}
}
