package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/memory"
	"needlebook/logbook/trace"
)

// remembered is what the reader's memory says of a history; the stable form of it in verify --format json.
type remembered struct {
	FirstLook bool   `json:"first_look"`
	Since     string `json:"since,omitempty"` // when the book was verified last
	Tip       string `json:"tip,omitempty"`   // its tip then
	// Copies are other folders of this account in which the same book was verified, when this one is seen for the first
	// time.
	Copies []copyOf `json:"copies,omitempty"`
	// Rewritten says what was verified once and is not in the history any more, Doubts what is wrong with the memory,
	// Notes what else a reader wants to know since his last look.
	Rewritten []string `json:"rewritten,omitempty"`
	Doubts    []string `json:"doubts,omitempty"`
	Notes     []string `json:"notes,omitempty"`

	signers string // the digest of the register at the tip, once it was asked for
}

// copyOf is how the book is to a copy of it that was verified: same, ahead, behind, aside, rewritten or unknown.
type copyOf struct {
	Folder   string `json:"folder"`
	Tip      string `json:"tip"`
	Since    string `json:"since"`
	Relation string `json:"relation"`
}

func (r *remembered) rewritten(format string, a ...any) {
	r.Rewritten = append(r.Rewritten, fmt.Sprintf(format, a...))
}

// gone says of a tip that was verified that no history leads to it any more.
func (r *remembered) gone(dir string, m *memory.Memory, t *logbook.Trail, where, from string) {
	r.rewritten("commit %.12s, verified %s, is not in the history%s any more; %s", m.Tip, where, from,
		trace.LostWords(dir, m.Tip, t))
}

func (r *remembered) doubt(format string, a ...any) {
	r.Doubts = append(r.Doubts, fmt.Sprintf(format, a...))
}

func (r *remembered) note(format string, a ...any) {
	r.Notes = append(r.Notes, fmt.Sprintf(format, a...))
}

// remember holds a history against what was verified before, sets the exit status where it does not go on from there,
// and else remembers it in turn.
func (p *program) remember(dir string, t *logbook.Trail, w *trace.Received, forget bool) (*remembered, error) {
	r := &remembered{}
	at, err := memory.Dir()
	if err != nil {
		r.note("nothing can be remembered: %v; name a folder with NEEDLEBOOK_MEMORY", err)
		return r, nil
	}
	book := strings.Repeat("0", 40) // of a history without a founding commit: whatever lay in this folder before
	if c := t.At(t.Founding); c != nil {
		book = c.ID
	}
	if forget {
		if err := memory.Forget(at, book, copyFolder(dir)); err != nil {
			return nil, fmt.Errorf("could not forget: %w", err)
		}
	}
	known, err := memory.Recall(at, book, copyFolder(dir))
	m := known.Own
	var damaged *memory.DamagedError
	switch {
	case errors.As(err, &damaged):
		r.doubt("%v; whether the book was rewritten since it was verified last, nobody can tell here. "+
			"verify --forget begins anew", err)
	case err != nil:
		r.doubt("what is remembered of the book could not be read: %v", err)
	case m == nil && len(known.Copies) > 0:
		r.FirstLook = true
		if err := r.beside(dir, known.Copies, t); err != nil {
			return nil, err
		}
	case m == nil:
		r.FirstLook = true
		r.note("first look: nothing is remembered of this book here, so what was changed before cannot be told")
	default:
		r.Since, r.Tip = m.Time.Format(time.RFC3339), m.Tip
		r.compare(dir, m, t, w)
		r.otherwise(m)
	}
	if len(r.Rewritten) > 0 {
		p.status = exitRewound
		r.note("what is remembered stays as it was; if the change was meant, and you know why, verify --forget begins anew")
		return r, nil
	}
	if len(r.Doubts) > 0 {
		p.status = max(p.status, exitFindings)
		return r, nil
	}
	if p.status > exitFindings || t.Founding < 0 {
		return r, nil // nothing to build on
	}
	if err := r.keep(at, dir, m, t, w); err != nil {
		r.note("this look is not remembered: %v", err)
	}
	return r, nil
}

// copyFolder tells a copy of a book from another: its folder with links followed.
func copyFolder(dir string) string {
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	return dir
}

// relations are how a copy may be related to another one that was verified, and what is noted of it.
var relations = map[trace.Relation]struct{ word, note string }{
	trace.Same:   {"same", "same as %q, verified %s"},
	trace.Ahead:  {"ahead", "ahead of %q, verified %s"},
	trace.Behind: {"behind", "behind %q, verified %s"},
	trace.Aside:  {"aside", "aside of %q, verified %s, each has commits of its own"},
}

// beside holds a copy that is seen for the first time against those that were verified: a backup or a second clone is
// behind, ahead or aside, and none of that is a rewriting.
func (r *remembered) beside(dir string, copies []*memory.Memory, t *logbook.Trail) error {
	for _, m := range copies {
		rel, err := trace.Relate(dir, t.Head, m.Folder, m.Tip)
		if err != nil {
			return err
		}
		when := m.Time.Format("2006-01-02 15:04Z")
		word := ""
		switch rel {
		case trace.Same, trace.Ahead, trace.Behind, trace.Aside:
			at := relations[rel]
			word = at.word
			r.note("first look at this copy: "+at.note, m.Folder, when)
		case trace.Rewritten:
			word = "rewritten"
			r.gone(dir, m, t, fmt.Sprintf("in %q on %s", m.Folder, when), " of this copy")
		default:
			word = "unknown"
			r.doubt("commit %.12s, verified in %q on %s, is in neither folder: verify it there, or --forget", m.Tip, m.Folder,
				when)
		}
		r.Copies = append(r.Copies, copyOf{m.Folder, m.Tip, m.Time.Format(time.RFC3339), word})
	}
	return nil
}

// unprove takes the word proved from a history that does not go on from what is known of it: whoever signed what stands
// there now, it is not what was seen.
func (r *remembered) unprove(t *logbook.Trail, w *trace.Received) {
	why := ""
	switch {
	case len(r.Rewritten) > 0 || w != nil && len(w.Rewritten) > 0:
		why = "rewritten"
	case w != nil && len(w.Doubts) > 0:
		why = "the receipts are in doubt"
	case len(r.Doubts) > 0:
		why = "what is remembered of it is in doubt"
	case w != nil && w.Last == nil:
		why = "not yet received ashore"
	}
	if t.Proved && why != "" {
		t.Proved, t.Headline = false, "not proved, "+why+"; in itself "+strings.TrimPrefix(t.Headline, "proved: ")
	}
}

// compare holds the history against what was seen before.
func (r *remembered) compare(dir string, m *memory.Memory, t *logbook.Trail, w *trace.Received) {
	when := m.Time.Format("2006-01-02 15:04Z")
	if c := t.At(t.Founding); c == nil || c.ID != m.Book {
		r.rewritten("this folder held the book founded by commit %.12s when it was verified on %s; it holds another one now",
			m.Book, when)
		return
	}
	tip := slices.IndexFunc(t.Commits, func(c logbook.Commit) bool { return c.ID == m.Tip })
	if tip < 0 {
		r.gone(dir, m, t, fmt.Sprintf("here on %s with %s", when, logbook.Counted(m.Commits, "commit")), "")
		return
	}
	if w != nil && m.Receipt != "" && !slices.Contains(w.Sums, m.Receipt) {
		r.doubt("the receipt %.12s, known on %s, is not among these receipts", m.Receipt, when)
	}
	if r.register(dir, m, t) == m.Register {
		return
	}
	var by []string
	for i := range t.Commits {
		c := &t.Commits[i]
		if slices.ContainsFunc(c.Changes, func(ch logbook.PathChange) bool { return ch.Path == "signers/allowed_signers" }) &&
			!inPast(t, tip, i) {
			by = append(by, fmt.Sprintf("%.10s by %s", c.ID, dash(c.Person)))
		}
	}
	r.note("the signers who may sign have changed since %s: commit %s", when, dash(strings.Join(by, ", ")))
}

// checkVersions are the versions of the checks, by their permanent ids.
func checkVersions() map[string]int {
	all := map[string]int{}
	for _, k := range checks.All() {
		all[k.ID()] = k.Version
	}
	return all
}

// mostOtherwise is how many checks a line names.
const mostOtherwise = 5

// otherwise says which checks judge the same facts otherwise than those of the program that looked last.
func (r *remembered) otherwise(m *memory.Memory) {
	if m.Program == "" {
		return
	}
	var names []string
	for _, k := range checks.All() {
		if before, known := m.Checks[k.ID()]; !known || before != k.Version {
			names = append(names, k.Name)
		}
	}
	if len(names) == 0 {
		return
	}
	more := ""
	if n := len(names); n > mostOtherwise {
		names, more = names[:mostOtherwise], fmt.Sprintf(" and %d more", n-mostOtherwise)
	}
	r.note("judged otherwise than by %s on %s: %s%s", m.Program, m.Time.Format(time.DateOnly), strings.Join(names, ", "),
		more)
}

// inPast reports whether a commit is another one or lies in its past.
func inPast(t *logbook.Trail, of, commit int) bool {
	seen := map[int]bool{of: true}
	for i := of; i > commit; i-- {
		if seen[i] {
			for _, p := range t.Commits[i].Parents {
				seen[p] = true
			}
		}
	}
	return seen[commit]
}

// register is the SHA-256 of the register at a commit; empty when it cannot be read.
func (r *remembered) register(dir string, m *memory.Memory, t *logbook.Trail) string {
	switch {
	case m != nil && m.Tip == t.Head: // one commit holds one register
		r.signers = m.Register
	case r.signers == "":
		r.signers = registerAt(dir, t.Head)
	}
	return r.signers
}

func registerAt(dir, commit string) string {
	tree, err := trace.FS(dir, commit)
	if err != nil {
		return ""
	}
	defer tree.Close()
	text, err := tree.ReadFile("signers/allowed_signers")
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%x", sha256.Sum256(text))
}

// keep remembers what was just verified.
func (r *remembered) keep(at, dir string, before *memory.Memory, t *logbook.Trail, w *trace.Received) error {
	m := &memory.Memory{Book: t.At(t.Founding).ID, Tip: t.Head, Commits: len(t.Commits),
		Register: r.register(dir, before, t),
		Time:     time.Now().UTC().Truncate(time.Second), Folder: copyFolder(dir), Program: programName(),
		Checks: checkVersions()}
	if before != nil {
		m.Receipt = before.Receipt
	}
	if w != nil && w.Last != nil {
		m.Receipt = w.Last.Sum()
	}
	if m.Register == "" {
		return errors.New("the tip holds no signers/allowed_signers that can be read")
	}
	if err := m.Keep(at); err != nil {
		return fmt.Errorf("%w; name a folder with NEEDLEBOOK_MEMORY", err)
	}
	return nil
}
