package lsp

import (
	"context"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"github.com/sourcegraph/jsonrpc2"

	"needlebook/checks"
	"needlebook/cmd/needlebook/watch"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// shelf is one book that an editor has files of open.
//
// After each keystroke the book is put together with the text as it stands, at the price of one file, and what the
// checks say of the open records alone is told at once. Then, when nobody has typed for as long as it takes, all checks
// go through the whole book, and what changed by that is told too.
type shelf struct {
	dir   string
	conn  *jsonrpc2.Conn
	fault func(error) // tells what this program could not do

	history History

	mu      sync.Mutex // guards what follows
	open    map[string]document
	book    *logbook.Book     // with the open texts, as of the last turn
	kept    map[string]string // texts of files that are not open, as they were last read
	onDisk  bool              // something may have changed on the disk
	waiting chan struct{}     // a turn is wanted
	// what the checks propose, as it was last told, by path
	offers map[string][]*logbook.Proposal

	// What only the worker touches.
	reader *logbook.Reader
	trail  *logbook.Trail
	whole  []checks.Finding  // of the last run over everything
	seen   map[string]string // the open texts of that run
	told   map[string]string // diagnostics as they were last sent, by path
	took   time.Duration     // by the last run
}

// document is a file as the editor shows it.
type document struct {
	uri     string
	version *int
	text    string
}

func newShelf(ctx context.Context, conn *jsonrpc2.Conn, dir string, read History, tell func(error)) *shelf {
	s := &shelf{dir: dir, conn: conn, history: read, fault: tell, open: map[string]document{}, kept: map[string]string{},
		waiting: make(chan struct{}, 1), told: map[string]string{}}
	fault.Go("attend to the folder", func() error { s.attend(ctx); return nil }, tell)
	fault.Go("attend to the editor", func() error { s.work(ctx); return nil }, tell)
	return s
}

// attend asks for a turn when a file of the book is saved by anybody: another editor, git, a shipmate on the same
// share.
func (s *shelf) attend(ctx context.Context) {
	folder := watch.Begin(ctx, s.dir)
	for _, more := folder.Next(ctx); more; _, more = folder.Next(ctx) {
		s.changed(true, nil)
	}
}

// changed notes a change and asks for a turn.
func (s *shelf) changed(onDisk bool, how func()) {
	s.mu.Lock()
	if how != nil {
		how()
	}
	s.onDisk = s.onDisk || onDisk
	s.mu.Unlock()
	select {
	case s.waiting <- struct{}{}:
	default:
	}
}

// work takes turns until the connection ends.
func (s *shelf) work(ctx context.Context) {
	root, err := os.OpenRoot(s.dir)
	if err != nil {
		return
	}
	defer root.Close()
	s.reader = logbook.NewReader(budget.In(root))
	s.reader.Context = ctx
	run := make(chan []checks.Finding, 1) // one run over everything at a time
	var running *logbook.Book
	var ran map[string]string
	var book *logbook.Book
	var pause <-chan time.Time
	began := time.Now()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.waiting:
			var texts map[string]string
			var ok bool
			err := fault.Catch("look at the text", func() error { texts, ok = s.turn(ctx, &book); return nil })
			if err != nil {
				s.fault(err)
			}
			if !ok {
				continue
			}
			ran, pause = texts, time.After(min(s.took, time.Second))
		case <-pause:
			if running != nil { // the text has changed since it began: it begins again when it has ended
				pause = time.After(20 * time.Millisecond)
				continue
			}
			pause, running, began = nil, book, time.Now()
			s.seen = ran
			b, trail, before := book, s.trail, s.whole
			fault.Go("check the book", func() error {
				run <- checks.Run(b, checks.Options{Trail: trail}).Findings
				return nil
			}, func(err error) { s.fault(err); run <- before })
		case s.whole = <-run:
			s.took, running = time.Since(began), nil
			if pause == nil { // still the newest text
				if err := fault.Catch("tell the findings", func() error { s.tell(ctx, s.whole); return nil }); err != nil {
					s.fault(err)
				}
			}
		}
	}
}

// turn puts the book together anew and tells what can be told at once; ok is false where there is no book at the
// moment.
func (s *shelf) turn(ctx context.Context, book **logbook.Book) (texts map[string]string, ok bool) {
	s.mu.Lock()
	onDisk := s.onDisk
	s.onDisk = false
	texts = map[string]string{}
	for name, d := range s.open {
		texts[name] = d.text
	}
	s.mu.Unlock()
	if onDisk {
		if _, err := s.reader.Read(); err != nil {
			return nil, false
		}
		trail, err := s.history(ctx, s.dir, s.trail)
		if err != nil {
			return nil, false
		}
		s.trail = trail
	}
	over := map[string][]byte{}
	for name, text := range texts {
		over[name] = []byte(text)
	}
	b, err := s.reader.With(over)
	if err != nil {
		return nil, false
	}
	*book = b
	s.mu.Lock()
	s.book = b
	if onDisk {
		clear(s.kept)
	}
	s.mu.Unlock()
	var records []*logbook.Overhaul
	for _, o := range b.Overhauls {
		if _, shown := texts[o.Path]; shown {
			records = append(records, o)
		}
	}
	now := checks.Look(b, checks.Options{Trail: s.trail, Last: s.whole}, records...)
	for _, f := range s.whole { // what was said before still stands, on the line it has moved to, until the next run
		_, shown := texts[f.Place.Path]
		if k := checks.Named(f.Check); k == nil || len(k.Slips) > 0 || shown && k.Alone() {
			continue
		}
		if text, shown := texts[f.Place.Path]; shown {
			f.Place.Line = moved(textLines(s.seen[f.Place.Path]), textLines(text), f.Place.Line)
		}
		now = append(now, f)
	}
	s.tell(ctx, now)
	return texts, true
}

// moved is where a line stands after a change in one place: those above it stay, those below go with the end of the
// text.
func moved(was, is []string, line int) int {
	same := 0
	for same < min(len(was), len(is)) && was[same] == is[same] {
		same++
	}
	if line <= same {
		return line
	}
	return max(line+len(is)-len(was), min(same+1, len(is)))
}

// tell sends the findings of each file whose list has changed, and of those that have none left.
func (s *shelf) tell(ctx context.Context, findings []checks.Finding) {
	lists, offers := map[string][]checks.Finding{}, map[string][]*logbook.Proposal{}
	for _, f := range findings {
		lists[f.Place.Path] = append(lists[f.Place.Path], f)
		if p := f.Proposal; p != nil && f.State == checks.Open {
			now := *p
			now.Place = f.Place // where the finding has moved to
			offers[f.Place.Path] = append(offers[f.Place.Path], &now)
		}
	}
	s.mu.Lock()
	s.offers = offers
	shown := maps.Clone(s.open)
	s.mu.Unlock()
	for name := range s.told {
		lists[name] = append(lists[name], []checks.Finding{}...)
	}
	for name := range shown {
		lists[name] = append(lists[name], []checks.Finding{}...)
	}
	for _, name := range slices.Sorted(maps.Keys(lists)) {
		d, ok := shown[name]
		if !ok {
			d.uri = s.uri(name)
		}
		out := diagnostics{d.uri, d.version, []diagnostic{}}
		for _, f := range lists[name] {
			out.Diagnostics = append(out.Diagnostics, s.diagnostic(f))
		}
		text, err := json.Marshal(out)
		if err != nil || s.told[name] == string(text) {
			continue
		}
		if s.told[name] = string(text); len(out.Diagnostics) == 0 && !ok {
			delete(s.told, name)
		}
		if s.conn.Notify(ctx, "textDocument/publishDiagnostics", json.RawMessage(text)) != nil {
			return
		}
	}
}

// proposed is what the checks propose for a file.
func (s *shelf) proposed(name string) []*logbook.Proposal {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.offers[name]
}

// severities are the protocol's for our grades: what stops or asks for an answer is an error. What is not open is a
// hint, with what ended it.
var severities = map[checks.Grade]int{checks.Stop: 1, checks.Action: 1, checks.Advice: 2, checks.Note: 3}

const hint = 4

func (s *shelf) diagnostic(f checks.Finding) diagnostic {
	d := diagnostic{Range: wordAt(s.lines(f.Place.Path), f.Place), Severity: severities[f.Grade], Code: f.Check,
		Source: "needlebook", Message: f.Grade.String() + ": " + f.Message}
	for _, line := range f.Evidence {
		d.Message += "\n" + line
	}
	switch {
	case f.State != checks.Open:
		d.Severity, d.Message = hint, d.Message+"\n"+f.Standing()
	case f.Next != "":
		d.Message += "\n" + f.Next
	}
	related := func(p logbook.Place, words string) {
		if p.Path != "" {
			d.Related = append(d.Related, mention{s.location(p), words})
		}
	}
	if f.Limit != nil {
		related(f.Limit.Place, "limit "+f.Limit.Text+", "+f.Limit.Source)
	}
	for _, r := range f.Related {
		related(r.Place, r.Words)
	}
	return d
}

func (s *shelf) location(p logbook.Place) location {
	return location{s.uri(p.Path), wordAt(s.lines(p.Path), p)}
}

// uri is the URI of a file of the book, as the editor spells it where it has the file open.
func (s *shelf) uri(name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if d, ok := s.open[name]; ok {
		return d.uri
	}
	return uriOf(filepath.Join(s.dir, filepath.FromSlash(name)))
}

// lines are the lines of a file: as the editor shows it, else as it stands on the disk.
func (s *shelf) lines(name string) []string { return textLines(s.text(name)) }

func (s *shelf) text(name string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if d, ok := s.open[name]; ok {
		return d.text
	}
	text, ok := s.kept[name]
	if !ok {
		src, err := budget.Read(filepath.Join(s.dir, filepath.FromSlash(name)), budget.MaxFile)
		if err != nil {
			return ""
		}
		text = string(src)
		s.kept[name] = text
	}
	return text
}
