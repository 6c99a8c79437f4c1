package trace

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/budget"
)

// The modes git writes in trees.
const (
	modeFile  = "100644"
	modeTree  = "40000"
	modeExec  = "100755"
	modeLink  = "120000"
	modeChild = "160000" // another repository
)

// emptyTree is the tree without entries, which git knows without storing it.
var emptyTree = plumbing.NewHash("4b825dc642cb6eb9a060e54bf8d69288fbee4904")

// maxEntries bounds one folder.
const maxEntries = 50_000

// entry is one line of a tree. A missing one has an empty mode.
type entry struct {
	name []byte
	mode string
	id   id
}

func (e entry) isTree() bool { return e.mode == modeTree }

// text is the id of a file's text; zero for a missing entry, and for another repository, whose commit is none of the
// book's objects.
func (e entry) text() id {
	if e.mode == modeChild {
		return id{}
	}
	return e.id
}

// treeReader goes through a tree's stored bytes entry by entry.
type treeReader struct {
	tree id
	rest []byte
	last entry
	seen int

	files [][]byte // names of files that are the beginning of the last name, the longest last
}

// Entry is one line of a tree, for those who write the next one.
type Entry struct {
	Name string
	Mode string // six or five octal digits, as git writes them
	ID   plumbing.Hash
}

// Entries returns a tree's lines in their order; none for the zero id.
func (s *Store) Entries(tree plumbing.Hash) ([]Entry, error) {
	r, err := s.tree(tree)
	if err != nil {
		return nil, err
	}
	return r.all()
}

// ParseTree returns the lines of a tree's stored bytes.
func ParseTree(raw []byte) ([]Entry, error) {
	return (&treeReader{rest: raw}).all()
}

func (t *treeReader) all() ([]Entry, error) {
	var list []Entry
	for {
		e, err := t.next()
		if err != nil || e.mode == "" {
			return list, err
		}
		list = append(list, Entry{Name: string(e.name), Mode: e.mode, ID: e.id})
	}
}

// Commit returns the tree and the parents of a commit.
func (s *Store) Commit(commit plumbing.Hash) (tree plumbing.Hash, parents []plumbing.Hash, err error) {
	c, err := s.commit(commit)
	if err != nil {
		return id{}, nil, err
	}
	return c.tree, c.parents, nil
}

func (s *Store) tree(h id) (treeReader, error) {
	if h.IsZero() || h == emptyTree {
		return treeReader{}, nil
	}
	if raw, ok := s.trees.get(h); ok {
		return treeReader{tree: h, rest: raw}, nil
	}
	raw, err := s.read(h, plumbing.TreeObject)
	if err == nil {
		s.trees.put(h, raw)
	}
	return treeReader{tree: h, rest: raw}, err
}

// treeCache keeps the trees read last, hashed already: each is asked for once with its commit and once
// with every child of it. It forgets in two steps, so that it needs no order.
type treeCache struct {
	young, old map[id][]byte
	size       int // bytes in young
}

// treeCacheSize is what each step holds: the trees of some hundred commits of a large book.
const treeCacheSize = 4 << 20

func (c *treeCache) get(h id) ([]byte, bool) {
	raw, ok := c.young[h]
	if !ok {
		if raw, ok = c.old[h]; ok {
			c.put(h, raw)
		}
	}
	return raw, ok
}

func (c *treeCache) put(h id, raw []byte) {
	if c.young == nil || c.size+len(raw) > treeCacheSize {
		c.young, c.old, c.size = map[id][]byte{}, c.young, 0
	}
	c.young[h] = raw
	c.size += len(raw)
}

// next returns the next entry, or one with an empty mode at the end.
func (t *treeReader) next() (entry, error) {
	if len(t.rest) == 0 {
		return entry{}, nil
	}
	mode, rest, ok := bytes.Cut(t.rest, []byte(" "))
	name, rest, found := bytes.Cut(rest, []byte{0})
	if !ok || len(mode) == 0 || !found || len(rest) < 20 || len(name) == 0 || bytes.IndexByte(name, '/') >= 0 {
		return entry{}, &BrokenError{ID: t.tree.String(), Why: "is no readable tree"}
	}
	if t.seen++; t.seen > maxEntries {
		return entry{}, &BrokenError{ID: t.tree.String(), Why: fmt.Sprintf("has more than %d entries", maxEntries)}
	}
	e := entry{name: name, mode: modeName(mode), id: id(rest[:20])}
	if t.last.mode != "" && compare(t.last, e) >= 0 {
		return entry{}, &BrokenError{ID: t.tree.String(), Why: "is a tree whose entries are not in order"}
	}
	// Files whose name a folder still to come may bear: between "a" and "a/" stand names such as "a-b".
	for n := len(t.files); n > 0 && !bytes.HasPrefix(e.name, t.files[n-1]); n-- {
		t.files = t.files[:n-1]
	}
	if n := len(t.files); e.isTree() && n > 0 && len(t.files[n-1]) == len(e.name) {
		return entry{}, &BrokenError{ID: t.tree.String(), Why: fmt.Sprintf("is no readable tree: %q is a file and a folder",
			clip(string(e.name)))}
	} else if !e.isTree() {
		t.files = append(t.files, e.name)
	}
	t.rest, t.last = rest[20:], e
	return e, nil
}

// lookup finds a path below a tree; an entry with an empty mode when it is not there.
func (s *Store) lookup(tree id, names ...string) (entry, error) {
	r, err := s.tree(tree)
	if err != nil {
		return entry{}, err
	}
	for {
		e, err := r.next()
		if err != nil || e.mode == "" {
			return entry{}, err
		}
		if string(e.name) != names[0] {
			continue
		}
		if len(names) == 1 {
			return e, nil
		}
		if e.isTree() {
			return s.lookup(e.id, names[1:]...)
		}
	}
}

// modeName avoids an allocation for the modes that occur.
func modeName(mode []byte) string {
	for _, m := range []string{modeFile, modeTree, modeExec, modeLink, modeChild} {
		if string(mode) == m {
			return m
		}
	}
	return string(mode)
}

// change is one path in which two trees differ; was and is are empty where it is missing.
type change struct {
	path    string
	was, is entry
}

// differ calls f for every file in which the tree now differs from the tree before, in the order of
// git's trees. Equal ids are skipped without reading, so the cost follows the change and not the book. A
// tree beyond the bounds is broken.
func (s *Store) differ(before, now id, prefix string, f func(change) error) error {
	w := &difference{store: s, roots: []id{before, now}, left: budget.New(s.ctx), f: f}
	return beyond(now, w.trees(before, now, prefix, strings.Count(prefix, "/")))
}

// beyond turns a tree's going beyond the bounds into what it is: a verdict on the book.
func beyond(tree id, err error) error {
	var exceeded *budget.ExceededError
	if errors.As(err, &exceeded) {
		var broken *BrokenError
		if errors.As(err, &broken) {
			return err // said of a folder below
		}
		return &BrokenError{ID: tree.String(), Why: exceeded.Why, beyond: exceeded}
	}
	return err
}

// difference is one walk through two trees at once.
type difference struct {
	store *Store
	roots []id
	left  *budget.Budget
	paths int
	f     func(change) error
}

func (w *difference) trees(before, now id, prefix string, depth int) error {
	if before == now {
		return nil
	}
	a, err := w.store.tree(before)
	if err != nil {
		return err
	}
	b, err := w.store.tree(now)
	if err != nil {
		return err
	}
	if err := w.left.Add(0, int64(len(a.rest)+len(b.rest))); err != nil {
		return err
	}
	was, err := a.next()
	if err != nil {
		return err
	}
	is, err := b.next()
	for err == nil && (was.mode != "" || is.mode != "") {
		switch order := compare(was, is); {
		case order < 0:
			if err = w.entries(was, entry{}, prefix, depth); err == nil {
				was, err = a.next()
			}
		case order > 0:
			if err = w.entries(entry{}, is, prefix, depth); err == nil {
				is, err = b.next()
			}
		default:
			if was.id != is.id || was.mode != is.mode {
				err = w.entries(was, is, prefix, depth)
			}
			if err == nil {
				was, err = a.next()
			}
			if err == nil {
				is, err = b.next()
			}
		}
	}
	return err
}

// entries reports the difference of two entries of one name, going into folders.
func (w *difference) entries(was, is entry, prefix string, depth int) error {
	if err := w.left.Path(depth); err != nil {
		return err
	}
	if w.paths++; w.paths == looksAhead {
		if err := w.store.inBounds(w.roots...); err != nil {
			return err
		}
	}
	name := string(was.name)
	if was.mode == "" {
		name = string(is.name)
	}
	if was.isTree() || is.isTree() {
		var before, now id
		if was.isTree() {
			before, was = was.id, entry{}
		}
		if is.isTree() {
			now, is = is.id, entry{}
		}
		if err := w.trees(before, now, prefix+name+"/", depth+1); err != nil {
			return err
		}
	}
	if was.mode == "" && is.mode == "" {
		return nil
	}
	return w.f(change{path: prefix + name, was: was, is: is})
}

// compare orders entries as git does, a folder as if its name ended in a slash; a missing entry comes
// last.
func compare(a, b entry) int {
	switch {
	case a.mode == "":
		return 1
	case b.mode == "":
		return -1
	}
	n := min(len(a.name), len(b.name))
	if c := bytes.Compare(a.name[:n], b.name[:n]); c != 0 {
		return c
	}
	return int(a.after(n)) - int(b.after(n))
}

// after is the byte that stands behind the first n of the name for sorting.
func (e entry) after(n int) byte {
	switch {
	case n < len(e.name):
		return e.name[n]
	case e.isTree():
		return '/'
	}
	return 0
}
