package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
)

// What an editor is told holds no character that is not seen, once it has read the JSON; what it writes into a file is as the file has it.
func TestNothingUnseenReachesAnEditor(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../../checks/testdata/base")); err != nil {
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
