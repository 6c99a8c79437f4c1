package lsp

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/sourcegraph/jsonrpc2"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/fault"
)

// History reads the trail of the book in a folder; last is the trail as it was read before, nil the first time.
type History func(ctx context.Context, dir string, last *logbook.Trail) (*logbook.Trail, error)

// Server serves one editor.
type Server struct {
	History History
	Program func() string // which program this is, for whoever reports a fault of it
	Said    func(error)   // tells an error at the terminal
}

// ErrNoShutdown is the end of a connection without a shutdown before it.
var ErrNoShutdown = errors.New("the editor ended without a shutdown")

// Serve answers an editor over two streams until it ends.
func (s Server) Serve(ctx context.Context, in io.Reader, out io.Writer) error {
	a := &assistant{Server: s, shelves: map[string]*shelf{}}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	messages := framing{broken: make(chan error, 1)}
	conn := jsonrpc2.NewConn(ctx, jsonrpc2.NewBufferedStream(pipes{in, out}, messages),
		jsonrpc2.HandlerWithError(a.answer), quietly)
	<-conn.DisconnectNotify()
	select {
	case err := <-messages.broken:
		return fmt.Errorf("what came in is no message of the Language Server Protocol (%w): an editor starts this verb "+
			"and speaks to it; needlebook check says the same to a human", err)
	default:
	}
	if !a.shutDown {
		return ErrNoShutdown
	}
	return nil
}

// quietly keeps the library's own notes out of the terminal.
var quietly = jsonrpc2.SetLogger(log.New(io.Discard, "", 0))

// framing takes messages off the stream and remembers what was none: the library only hangs up on it.
type framing struct {
	jsonrpc2.VSCodeObjectCodec
	broken chan error
}

func (f framing) ReadObject(stream *bufio.Reader, v any) error {
	err := f.VSCodeObjectCodec.ReadObject(stream, v)
	if err != nil && err != io.EOF {
		f.broken <- err
	}
	return err
}

// kept are the members of a message that are not shown to a person: texts that go into a file, names of files, and what
// the editor calls its request.
var kept = map[string]bool{"newText": true, "uri": true, "id": true, "edit": true}

// WriteObject sends a message. An editor shows what it reads, so that every unseen character of a stranger's goes out
// as its code, as from the rest of the program.
func (f framing) WriteObject(stream io.Writer, message any) error {
	text, err := json.Marshal(message)
	if err != nil {
		return err
	}
	// JSON has its own code for some of them
	if bytes.ContainsFunc(text, logbook.Invisible) || bytes.Contains(text, []byte(`\u`)) {
		in := json.NewDecoder(bytes.NewReader(text))
		in.UseNumber()
		var all any
		if err := in.Decode(&all); err != nil {
			return err
		}
		message = shown(all)
	}
	return f.VSCodeObjectCodec.WriteObject(stream, message)
}

// shown is a part of a message with the texts that a person reads as they are shown.
func shown(part any) any {
	switch part := part.(type) {
	case string:
		return string(logbook.Visible([]byte(part)))
	case []any:
		for i := range part {
			part[i] = shown(part[i])
		}
	case map[string]any:
		for name := range part {
			if !kept[name] {
				part[name] = shown(part[name])
			}
		}
	}
	return part
}

// pipes are the standard streams as one.
type pipes struct {
	io.Reader
	io.Writer
}

func (pipes) Close() error { return nil }

// abilities are what an editor has said that it can do.
type abilities struct {
	renames bool // files
	reasons bool // show why an action cannot be chosen
}

// assistant answers one editor. Messages come one after the other; what takes time is worked out beside them, book by
// book.
type assistant struct {
	Server
	shelves  map[string]*shelf // by the folder of the book
	begun    bool              // the editor has said initialize
	can      abilities
	shutDown bool
	told     sync.Map // the texts of the faults that the editor was told of
}

// answer answers one message, and one that this program fails at with the fault: the next one is answered all the same.
func (a *assistant) answer(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request) (result any, err error) {
	err = fault.Catch("answer "+req.Method, func() (err error) {
		result, err = a.handle(ctx, conn, req)
		return err
	})
	var broken *fault.Fault
	if errors.As(err, &broken) {
		a.fault(ctx, conn, err)
		return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInternalError, Message: err.Error()}
	}
	return result, err
}

// fault tells of what this program could not do, each fault once: it may come again with every key.
func (a *assistant) fault(ctx context.Context, conn *jsonrpc2.Conn, err error) {
	if _, known := a.told.LoadOrStore(err.Error(), true); known {
		return
	}
	a.Said(err)
	_ = conn.Notify(ctx, "window/showMessage", map[string]any{"type": severities[checks.Stop],
		// where nobody listens, the terminal has it
		"message": "needlebook " + err.Error() + "; please report this, with: " + a.Program()})
}

// notInitialized is the protocol's own code for what comes before initialize.
const notInitialized = -32002

// handle answers one message of the protocol.
func (a *assistant) handle(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request) (any, error) {
	var in params
	if req.Params != nil {
		if err := json.Unmarshal(*req.Params, &in); err != nil {
			return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidParams, Message: err.Error()}
		}
	}
	if a.shutDown && req.Method != "exit" {
		return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeInvalidRequest, Message: "shut down already"}
	}
	if !a.begun && req.Method != "initialize" && req.Method != "exit" {
		return nil, &jsonrpc2.Error{Code: notInitialized, Message: "initialize comes first"}
	}
	switch req.Method {
	case "initialize":
		a.begun = true
		a.can = abilities{slices.Contains(in.Capabilities.Workspace.WorkspaceEdit.ResourceOperations, "rename"),
			in.Capabilities.TextDocument.CodeAction.DisabledSupport}
		return map[string]any{"serverInfo": map[string]any{"name": "needlebook"}, "capabilities": map[string]any{
			"positionEncoding": "utf-16", "textDocumentSync": map[string]any{"openClose": true, "change": 1, "save": true},
			"hoverProvider": true, "definitionProvider": true, "referencesProvider": true, "documentSymbolProvider": true,
			"workspaceSymbolProvider": true, "documentLinkProvider": map[string]any{},
			"completionProvider": map[string]any{"triggerCharacters": []string{" ", ":", "\"", "{", ","}},
			"codeActionProvider": map[string]any{"codeActionKinds": []string{"quickfix"}}}}, nil
	case "shutdown":
		a.shutDown = true
		return nil, nil
	case "exit":
		return nil, conn.Close()
	case "workspace/symbol":
		return a.symbols(in.Query), nil
	case "workspace/didChangeWatchedFiles":
		for _, s := range a.shelves {
			s.changed(true, nil)
		}
		return nil, nil
	}
	s, name := a.shelfOf(ctx, conn, in.TextDocument.URI)
	if s == nil {
		return nothingFor(req)
	}
	switch req.Method {
	case "textDocument/didOpen":
		s.changed(true, func() {
			s.open[name] = document{in.TextDocument.URI, in.TextDocument.Version,
				in.TextDocument.Text}
		})
	case "textDocument/didChange":
		s.changed(false, func() {
			for _, c := range in.ContentChanges { // whole texts: the last one stands
				s.open[name] = document{in.TextDocument.URI, in.TextDocument.Version, c.Text}
			}
		})
	case "textDocument/didSave":
		s.changed(true, nil)
	case "textDocument/didClose":
		s.changed(true, func() { delete(s.open, name) })
	case "textDocument/hover":
		return s.at(name).hover(in.Position), nil
	case "textDocument/completion":
		return s.at(name).completion(in.Position), nil
	case "textDocument/codeAction":
		return s.at(name).actions(in.Range, a.can), nil
	case "textDocument/documentSymbol":
		return s.at(name).outline(), nil
	case "textDocument/documentLink":
		return s.at(name).links(), nil
	case "textDocument/definition":
		return s.at(name).definition(in.Position), nil
	case "textDocument/references":
		return s.at(name).references(in.Position), nil
	default:
		return nothingFor(req)
	}
	return nil, nil
}

// nothingFor answers what is not served: requests of methods that are not known are refused, the rest has no answer.
func nothingFor(req *jsonrpc2.Request) (any, error) {
	known := strings.HasPrefix(req.Method, "textDocument/") &&
		strings.Contains("hover completion codeAction documentSymbol documentLink definition references",
			strings.TrimPrefix(req.Method, "textDocument/"))
	if req.Notif || known || req.Method == "initialized" {
		return nil, nil
	}
	return nil, &jsonrpc2.Error{Code: jsonrpc2.CodeMethodNotFound, Message: req.Method}
}

// shelfOf finds the book around a document, and the document's path in it; nil where it lies in no book.
func (a *assistant) shelfOf(ctx context.Context, conn *jsonrpc2.Conn, uri string) (*shelf, string) {
	file := fileOf(uri)
	if file == "" {
		return nil, ""
	}
	dir := filepath.Dir(file)
	for a.shelves[dir] == nil {
		if info, err := os.Stat(filepath.Join(dir, "book.md")); err == nil && !info.IsDir() {
			a.shelves[dir] = newShelf(ctx, conn, dir, a.History, func(err error) { a.fault(ctx, conn, err) })
			break
		}
		if dir == filepath.Dir(dir) {
			return nil, ""
		}
		dir = filepath.Dir(dir)
	}
	rel, err := filepath.Rel(dir, file)
	if err != nil {
		return nil, ""
	}
	return a.shelves[dir], filepath.ToSlash(rel)
}

// fileOf is the path of a file on this computer; empty for another kind of URI.
func fileOf(uri string) string {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" {
		return ""
	}
	return filePath(u.Path, runtime.GOOS)
}

// filePath is the path of a file URI as a system writes it: file:///c:/book is C:\book where drives have letters.
func filePath(path, system string) string {
	if system != "windows" {
		return path
	}
	if len(path) > 2 && path[0] == '/' && path[2] == ':' {
		path = path[1:]
	}
	return strings.ReplaceAll(path, "/", `\`)
}

// uriOf is the URI of a file on this computer, as this program writes it; editors may spell it otherwise.
func uriOf(file string) string { return (&url.URL{Scheme: "file", Path: uriPathOf(file)}).String() }

// uriPathOf is the path of a file as it stands in a URI: with forward slashes, before a drive letter too.
func uriPathOf(file string) string {
	path := strings.ReplaceAll(filepath.ToSlash(file), `\`, "/")
	if len(path) > 1 && path[1] == ':' {
		path = "/" + path
	}
	return path
}
