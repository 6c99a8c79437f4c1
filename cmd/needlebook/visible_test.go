package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
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
	tried := map[string]bool{}
	ask := func(dir, args string, mayRefuse bool) {
		t.Helper()
		tried[strings.Fields(args)[0]] = true
		var out, errs bytes.Buffer
		if status := run(append(strings.Fields(args), "--book", dir), strings.NewReader(""), &out, &errs); status == exitUse && !mayRefuse {
			t.Errorf("%s: %s", args, errs.String())
		}
		look(args, out.Bytes())
		look(args, errs.Bytes())
	}
	for _, args := range []string{"check", "check --format json", "check --format sarif", "check --format junit", "export overhauls",
		"export findings --format jsonl", "export measurements -o " + table, "card ME1/1", "card ME1/1 -o " + side, "due --format json",
		"due --format csv", "handover", "show 2020-07-01-h-1", "show ME1/1", "report 2020-07-01-h-1", "judge ME1/1 --leak-down 7.4s --oil 31°C", "pages -o " + pages,
		"check --all", "round ME1", "round ME1 --format json", "stores", "stores --format json", "recurring", "recurring --format json", "interval", "survey", "nox", "fix"} {
		ask(dir, args, false)
	}
	from := surroundings(t)
	own := filepath.Join(from, "book")
	strange := stepOf(t, from, "eng", 7, exchange.Change{Path: "overhauls/me1/c1/2020-07-01-h-1.md", Text: []byte(record)})
	strange.Author.Name, strange.Message = "eng\u202e", "seen \u202e\u009b[2J\n\nno \u2066more"
	if _, err := exchange.Write(own, strange.Draft); err != nil {
		t.Fatal(err)
	}
	key := filepath.Join(from, "chief")
	for _, args := range []string{"verify", "verify --format json", "show 2020-07-01-h-1", "check", "handover", "mailbag pack --dry-run", "sync --dry-run " + own,
		"countersign", "review", "repair", "receipt --out " + top + " --key " + filepath.Join(from, "office"), "answer 2020-07-01-h-1 as-found-missing --why \u202e --key " + key,
		"sign --all --key " + key, "adopt HEAD --reason \u202eseen --key " + key, "pages -o " + pages} {
		ask(own, args, true) // what is refused is told too
	}
	unseen := map[string]string{"demo": "the example", "key": "no book", "commission": "no book", "join": "as sync", "claim": "a zip, and a text that is made visible", "enrol": "as adopt", "enter": "asks a person", "import": "as check",
		"log": "as judge", "photo": "as enter", "spray": "as judge", "view": "the pages", "withdraw": "as adopt", "resolve": "as sync", "schema": "no book", "lsp": "its own test", "manual": "no book", "changes": "no book", "licences": "no book"}
	for _, g := range (&program{}).verbs() {
		for _, c := range g.verbs {
			if name := c.Name(); tried[name] == (unseen[name] != "") {
				t.Errorf("%s: tried %v, and the reason why not is %q", name, tried[name], unseen[name])
			}
		}
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
