package main

import (
	"bytes"
	"encoding/json"
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

// What an editor is told holds none either, once it has read the JSON; what it writes into a file is as the file has it.
func TestNothingUnseenReachesAnEditor(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../checks/testdata/base")); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "overhauls/me1/c1/2020-07-01-h-1.md")
	text := "---\nholder: \"H-\u202e9\\u202e11\"\nnozzle: {found: \"N-\u009b1\", left: \"N-1\\u200b\"}\n" +
		"removed: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 15\u200b00 h, reason: planned}\n" +
		"as_left: {date: 2020-07-02, opening_pressure: [320 bar]}\nby: \"\\u2066eng\"\n---\n\nSeen \u202eno\x1b[2J.\n"
	write(t, name, text)
	uri := uriOf(name)
	place := map[string]any{"textDocument": map[string]any{"uri": uri}, "position": map[string]any{"line": 1, "character": 12}}
	place["range"] = map[string]any{"start": map[string]any{"line": 0, "character": 0}, "end": map[string]any{"line": 9, "character": 0}}
	said := false
	e := newEditor(t)
	e.open(uri, text)
	answers := []string{e.told(uri, `"version":1`)}
	for _, method := range []string{"hover", "completion", "codeAction", "documentSymbol"} {
		answers = append(answers, e.ask("textDocument/"+method, place))
	}
	var unseen func(part any, at string)
	unseen = func(part any, at string) {
		switch part := part.(type) {
		case string:
			said = said || strings.Contains(part, `\u202e`)
			if i := strings.IndexFunc(part, logbook.Invisible); i >= 0 {
				t.Errorf("%s holds %q", at, part)
			}
		case []any:
			for _, p := range part {
				unseen(p, at)
			}
		case map[string]any:
			for name, p := range part {
				if !kept[name] {
					unseen(p, at+" "+name)
				}
			}
		}
	}
	for i, answer := range answers {
		var part any
		if err := json.Unmarshal([]byte(answer), &part); err != nil {
			t.Fatal(err)
		}
		unseen(part, []string{"diagnostics", "hover", "completion", "codeAction", "documentSymbol"}[i])
	}
	if !said {
		t.Errorf("nowhere stands the code of a character: %s", answers)
	}
}
