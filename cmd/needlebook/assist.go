package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"unicode/utf16"

	"github.com/sourcegraph/jsonrpc2"
	"github.com/spf13/cobra"

	"needlebook/logbook"
)

func (p *program) assist() *cobra.Command {
	return &cobra.Command{
		Use:   "assist",
		Short: "Serve an editor: slips while one types, limits and last values beside the cursor",
		Long: `Speaks the Language Server Protocol over standard input and output, for editors
that know it: slips of typing from the unsaved text, the findings of the checks
when a file is opened and when it is saved, the limit and the last value of the
key under the cursor, words and names to complete, corrections that leave no
choice, and an outline. It writes no file. The editor starts it; its settings
need the command line needlebook assist for Markdown and CSV files of a book.`,
		Example: `  needlebook assist`,
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			s := &assistant{texts: map[string]string{}}
			conn := jsonrpc2.NewConn(cmd.Context(), jsonrpc2.NewBufferedStream(pipes{p.in, p.out}, jsonrpc2.VSCodeObjectCodec{}), jsonrpc2.HandlerWithError(s.handle), quietly)
			<-conn.DisconnectNotify()
			return nil
		},
	}
}

// quietly keeps the library's own notes out of the terminal.
var quietly = jsonrpc2.SetLogger(log.New(io.Discard, "", 0))

// pipes are the standard streams as one.
type pipes struct {
	io.Reader
	io.Writer
}

func (pipes) Close() error { return nil }

// assistant answers one editor. Messages come one after the other.
type assistant struct {
	texts map[string]string // by uri, as the editor shows them
}

// The shapes of the protocol that are used here: Language Server Protocol 3.17.
type (
	lspPosition struct {
		Line      int `json:"line"`
		Character int `json:"character"` // in units of UTF-16
	}
	lspRange struct {
		Start lspPosition `json:"start"`
		End   lspPosition `json:"end"`
	}
	lspDocument struct {
		URI  string `json:"uri"`
		Text string `json:"text"`
	}
	lspParams struct {
		TextDocument   lspDocument             `json:"textDocument"`
		Position       lspPosition             `json:"position"`
		Range          lspRange                `json:"range"`
		ContentChanges []struct{ Text string } `json:"contentChanges"`
	}
	lspDiagnostic struct {
		Range    lspRange `json:"range"`
		Severity int      `json:"severity"` // 1 error, 2 warning, 3 information, 4 hint
		Code     string   `json:"code"`
		Source   string   `json:"source"`
		Message  string   `json:"message"`
	}
	lspEdit struct {
		Range   lspRange `json:"range"`
		NewText string   `json:"newText"`
	}
	lspItem struct {
		Label  string `json:"label"`
		Detail string `json:"detail,omitempty"`
	}
	lspSymbol struct {
		Name           string   `json:"name"`
		Kind           int      `json:"kind"` // 20: a key
		Range          lspRange `json:"range"`
		SelectionRange lspRange `json:"selectionRange"`
	}
)

func (s *assistant) handle(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request) (any, error) {
	var in lspParams
	if req.Params != nil {
		if err := json.Unmarshal(*req.Params, &in); err != nil {
			return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidParams, Message: err.Error()}
		}
	}
	uri := in.TextDocument.URI
	switch req.Method {
	case "initialize":
		return map[string]any{"serverInfo": map[string]any{"name": "needlebook"}, "capabilities": map[string]any{
			"positionEncoding": "utf-16", "textDocumentSync": map[string]any{"openClose": true, "change": 1, "save": true},
			"hoverProvider": true, "completionProvider": map[string]any{"triggerCharacters": []string{" ", ":"}},
			"codeActionProvider": true, "documentSymbolProvider": true}}, nil
	case "textDocument/didOpen":
		s.texts[uri] = in.TextDocument.Text
		return nil, s.publish(ctx, conn, uri, true)
	case "textDocument/didChange":
		for _, c := range in.ContentChanges { // whole texts: the last one stands
			s.texts[uri] = c.Text
		}
		return nil, s.publish(ctx, conn, uri, false)
	case "textDocument/didSave":
		return nil, s.publish(ctx, conn, uri, true)
	case "textDocument/didClose":
		delete(s.texts, uri)
		return nil, nil
	case "textDocument/hover":
		return s.hover(uri, in.Position), nil
	case "textDocument/completion":
		return s.completion(uri, in.Position), nil
	case "textDocument/codeAction":
		return s.actions(uri, in.Range), nil
	case "textDocument/documentSymbol":
		return s.outline(uri), nil
	case "exit":
		return nil, conn.Close()
	case "initialized", "shutdown":
		return nil, nil
	}
	if req.Notif {
		return nil, nil
	}
	return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeMethodNotFound, Message: req.Method}
}

// fileOf is the path of a file on this computer.
func fileOf(uri string) string {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" {
		return ""
	}
	name := u.Path
	if runtime.GOOS == "windows" {
		name = strings.TrimPrefix(name, "/")
	}
	return filepath.FromSlash(name)
}

// within finds the book around a file, and the file's path in it.
func (s *assistant) within(uri string) (dir, name string, ok bool) {
	file := fileOf(uri)
	if file == "" {
		return "", "", false
	}
	dir = filepath.Dir(file)
	for {
		if info, err := os.Stat(filepath.Join(dir, "book.md")); err == nil && !info.IsDir() {
			break
		}
		if dir == filepath.Dir(dir) {
			return "", "", false
		}
		dir = filepath.Dir(dir)
	}
	rel, err := filepath.Rel(dir, file)
	if err != nil || strings.HasPrefix(rel, "..") {
		return "", "", false
	}
	return dir, filepath.ToSlash(rel), true
}

// publish sends what is amiss in a file: slips of the text as it stands, and with whole what the checks find in the saved book.
func (s *assistant) publish(ctx context.Context, conn *jsonrpc2.Conn, uri string, whole bool) error {
	dir, name, ok := s.within(uri)
	if !ok {
		return nil
	}
	text, list, said := s.texts[uri], []lspDiagnostic{}, map[int]bool{}
	if whole {
		if o, err := openFolder(dir, "", "", ""); err == nil {
			for _, f := range o.report.Findings {
				if f.Place.Path != name {
					continue
				}
				said[f.Place.Line] = true
				message := f.Message
				if f.Next != "" {
					message += "\n" + f.Next
				}
				list = append(list, lspDiagnostic{wordAt(text, f.Place), 4 - int(f.Grade), f.Check, "needlebook", message})
			}
			o.close()
		}
	}
	for _, p := range logbook.Problems(name, []byte(text)) {
		if said[p.Place.Line] {
			continue
		}
		message := fmt.Sprintf("%q: expected %s", p.Found, p.Expected)
		if p.Type != "" {
			message += "\ntype " + p.Type
		}
		severity := 1
		if p.Read {
			severity = 2
		}
		list = append(list, lspDiagnostic{wordAt(text, p.Place), severity, p.Slip, "needlebook", message})
	}
	return conn.Notify(ctx, "textDocument/publishDiagnostics", map[string]any{"uri": uri, "diagnostics": list})
}

// wordAt is the range from a place to the end of what stands there, in the protocol's units.
func wordAt(text string, p logbook.Place) lspRange {
	line := lineOf(text, max(p.Line-1, 0))
	runes := []rune(line)
	from := min(max(p.Column-1, 0), len(runes))
	to := from
	for to < len(runes) && !strings.ContainsRune(",]}#", runes[to]) {
		to++
	}
	if to == from {
		to = len(runes)
	}
	at := func(n int) lspPosition {
		return lspPosition{max(p.Line-1, 0), len(utf16.Encode(runes[:n]))}
	}
	return lspRange{at(from), at(to)}
}

// lineOf is a line, counted from 0, without its end.
func lineOf(text string, n int) string {
	lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
	if n >= len(lines) {
		return ""
	}
	return strings.TrimSuffix(lines[n], "\r")
}
