package main

import (
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/sourcegraph/jsonrpc2"
)

// editor is a client of the protocol that keeps the diagnostics it was sent.
type editor struct {
	t    *testing.T
	conn *jsonrpc2.Conn
	said chan string
}

func newEditor(t *testing.T) *editor {
	t.Helper()
	toServer, fromEditor := io.Pipe()
	toEditor, fromServer := io.Pipe()
	ended := make(chan int, 1)
	go func() { ended <- run([]string{"assist"}, toServer, fromServer, io.Discard) }()
	e := &editor{t: t, said: make(chan string, 100)}
	e.conn = jsonrpc2.NewConn(context.Background(), jsonrpc2.NewBufferedStream(pipes{toEditor, fromEditor}, jsonrpc2.VSCodeObjectCodec{}),
		jsonrpc2.HandlerWithError(func(_ context.Context, _ *jsonrpc2.Conn, r *jsonrpc2.Request) (any, error) {
			if r.Method == "textDocument/publishDiagnostics" {
				e.said <- string(*r.Params)
			}
			return nil, nil
		}), quietly)
	t.Cleanup(func() {
		e.notify("exit", nil)
		fromEditor.Close()
		select {
		case status := <-ended:
			if status != exitClean {
				t.Errorf("exit status %d", status)
			}
		case <-time.After(10 * time.Second):
			t.Error("the server did not end")
		}
		toEditor.Close()
	})
	e.ask("initialize", map[string]any{})
	return e
}

func (e *editor) ask(method string, params any) string {
	e.t.Helper()
	var out json.RawMessage
	if err := e.conn.Call(context.Background(), method, params, &out); err != nil {
		e.t.Fatalf("%s: %v", method, err)
	}
	return string(out)
}

func (e *editor) notify(method string, params any) {
	e.t.Helper()
	if err := e.conn.Notify(context.Background(), method, params); err != nil {
		e.t.Errorf("%s: %v", method, err)
	}
}

// told is the next set of diagnostics.
func (e *editor) told() string {
	e.t.Helper()
	select {
	case s := <-e.said:
		return s
	case <-time.After(20 * time.Second):
		e.t.Fatal("no diagnostics came")
		return ""
	}
}

func TestAssist(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "Bücher")
	for name, text := range map[string]string{
		"book.md":             "---\nvessel: Try\nengines:\n  - {id: ME1, type: T, cylinders: [1], limits: t}\nopening:\n  date: 2024-01-01\n  fitted: [{engine: ME1, cylinder: 1, holder: \"H-1\", nozzle: \"N-1\", counter: 1000 h, since: 0 h, left: 320 bar}]\n  rack: [{holder: \"H-2\", nozzle: \"N-2\", left: 320 bar}]\n---\n",
		"limits/t.md":         "---\ntype: T\neditions:\n  - from: 2024-01-01\n    source: a manual\n    holder_wear: {max: 0.05 mm}\n---\n",
		"instruments/pg-1.md": "---\nid: PG-1\nkind: gauge\nmeasures: pressure\nrange: 0 .. 600 bar\ncalibrated_until: 2024-12-31\n---\n",
	} {
		full := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	uri := "file://" + strings.ReplaceAll(filepath.ToSlash(dir), "ü", "%C3%BC") + "/overhauls/me1/c1/2024-05-02-h-1.md"
	doc := func(text string) map[string]any { return map[string]any{"uri": uri, "text": text} }
	text := "---\nholder: \"H-1\"\nremoved: {engine: ME1, cylinder: 1, date: 2024-05-02}\nas_found:\n  gauge: \n  oil: \"𝛼 21,5 °C\"\nmeasured:\n  holder_wear: \"0,03 mm\"\n  no\nnozzle: {left: }\n---\n"
	e := newEditor(t)
	e.notify("textDocument/didOpen", map[string]any{"textDocument": doc(text)})
	if got := e.told(); !strings.Contains(got, "yaml-form") || !strings.Contains(got, `"character":7,"line":5`) {
		t.Errorf("diagnostics on opening: %s", got)
	}
	changed := strings.Replace(strings.Replace(text, "𝛼 21,5", "21,5", 1), "  no\n", "", 1)
	e.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": uri}, "contentChanges": []any{map[string]any{"text": changed}}})
	if got := e.told(); !strings.Contains(got, "decimal-comma") || !strings.Contains(got, `type 0.03 mm`) {
		t.Errorf("diagnostics while typing: %s", got)
	}
	at := func(line, character int) map[string]any {
		return map[string]any{"textDocument": map[string]any{"uri": uri}, "position": map[string]any{"line": line, "character": character}}
	}
	for _, c := range []struct {
		name, method string
		params       any
		want         string
	}{
		{"hover", "textDocument/hover", at(7, 20), "limit: at most 0.05 mm (a manual, in force from 2024-01-01)"},
		{"instruments in date", "textDocument/completion", at(4, 9), "PG-1"},
		{"keys of the block", "textDocument/completion", at(4, 2), "opening_pressure"},
		{"keys in a group", "textDocument/completion", at(2, 10), "engine"},
		{"words in a group", "textDocument/completion", at(2, 22), "reason"},
		{"cylinders", "textDocument/completion", at(2, 32), "cylinder of ME1"},
		{"serials on the rack", "textDocument/completion", at(8, 15), `\"N-2\"`},
		{"correction", "textDocument/codeAction", map[string]any{"textDocument": map[string]any{"uri": uri}, "range": map[string]any{"start": map[string]any{"line": 7}, "end": map[string]any{"line": 7}}}, `holder_wear: \"0.03 mm\"`},
		{"outline", "textDocument/documentSymbol", map[string]any{"textDocument": map[string]any{"uri": uri}}, `"name":"as_found"`},
	} {
		if got := e.ask(c.method, c.params); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s in it", c.name, got, c.want)
		}
	}
	if err := e.conn.Call(context.Background(), "textDocument/rename", at(1, 1), nil); err == nil {
		t.Error("a request that is not served gave no error")
	}
}
