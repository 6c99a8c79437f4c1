package trace

import (
	"fmt"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/budget"
)

// An extent is how far a folder reaches, with every folder below it counted as often as it lies there.
type extent struct {
	paths, bytes int64
	folders      int // upon one another
	longest      int // path below it, in bytes
}

// maxPath bounds a path, in bytes.
const maxPath = 1000

// Extents works out how far folders reach, each of them once: what lies in a thousand places is stored in one.
type Extents struct {
	list  Lister
	known map[id]extent
}

// A Lister calls entry for each line of a folder and returns how many bytes list them.
type Lister func(tree plumbing.Hash, entry func(name int, mode string, id plumbing.Hash) error) (bytes int64, err error)

// NewExtents works with the folders that a lister gives.
func NewExtents(list Lister) *Extents { return &Extents{list: list, known: map[id]extent{}} }

// Check returns a *BrokenError about a folder that goes beyond what a book's may be. Every folder below it is listed
// once.
func (x *Extents) Check(tree plumbing.Hash) error {
	_, err := x.of(tree, 0)
	return err
}

func (x *Extents) of(tree id, depth int) (extent, error) {
	e, ok := x.known[tree]
	if !ok {
		if depth > budget.Depth { // a chain of folders goes on no further; the one above says so
			return extent{folders: 1}, nil
		}
		var err error
		if e, err = x.look(tree, depth); err != nil {
			return e, err
		}
		x.known[tree] = e
	}
	return e, e.inBounds(tree, depth)
}

func (x *Extents) look(tree id, depth int) (e extent, err error) {
	bytes, err := x.list(tree, func(name int, mode string, h id) error {
		e.paths++
		if mode == modeTree {
			below, err := x.of(h, depth+1)
			if err != nil {
				return err
			}
			e.paths, e.bytes = e.paths+below.paths, e.bytes+below.bytes
			e.folders = max(e.folders, below.folders+1)
			name += 1 + below.longest
		}
		e.longest = max(e.longest, name)
		return e.inBounds(tree, depth)
	})
	e.bytes += bytes
	return e, err
}

// inBounds says of a folder that lies so deep whether it is what a book's may be.
func (e extent) inBounds(tree id, depth int) error {
	why := ""
	switch {
	case depth+e.folders > budget.Depth:
		why = fmt.Sprintf("has folders more than %d deep", budget.Depth)
	case e.longest > maxPath:
		why = fmt.Sprintf("has a path of more than %d bytes", maxPath)
	case e.paths > budget.Paths:
		why = fmt.Sprintf("has more than %d files and folders", budget.Paths)
	case e.bytes > budget.Bytes:
		why = fmt.Sprintf("lists its files in more than %d MiB", budget.Bytes>>20)
	default:
		return nil
	}
	return beyond(tree, &budget.ExceededError{Why: why})
}

// looksAhead is how many paths a walk goes through before it works out how many there are in all.
const looksAhead = 20_000

// inBounds returns a *BrokenError about a folder that goes beyond what a book's may be.
func (s *Store) inBounds(trees ...id) error {
	x := NewExtents(s.lister)
	for _, tree := range trees {
		if err := x.Check(tree); err != nil {
			return err
		}
	}
	return nil
}

// lister lists the folders of a store.
func (s *Store) lister(tree id, line func(int, string, id) error) (bytes int64, err error) {
	if err := s.Stopped(); err != nil {
		return 0, err
	}
	r, err := s.tree(tree)
	bytes = int64(len(r.rest))
	for err == nil {
		var e entry
		if e, err = r.next(); err != nil || e.mode == "" {
			break
		}
		err = line(len(e.name), e.mode, e.id)
	}
	return bytes, err
}
