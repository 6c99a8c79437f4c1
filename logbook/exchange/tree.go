package exchange

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/trace"
)

// Objects is where trees are read from and new objects go: a repository, or the memory of a bulk
// build.
type Objects interface {
	Entries(tree plumbing.Hash) ([]trace.Entry, error)
	Put(kind plumbing.ObjectType, raw []byte) (plumbing.Hash, error)
}

const (
	ModeFile = "100644"
	ModeTree = "40000"
)

// Edit is what becomes of one path: a blob to stand there, or nothing.
type Edit struct {
	Path string
	Blob plumbing.Hash
}

// apply makes a draft's changes to a tree and returns the new one. Only the trees on the changed
// paths are read and written.
func apply(o Objects, tree plumbing.Hash, changes []Change) (plumbing.Hash, []Edit, error) {
	var edits []Edit
	for _, c := range changes {
		e := Edit{Path: c.Path}
		var err error
		switch {
		case c.Text != nil:
			e.Blob, err = o.Put(plumbing.BlobObject, c.Text)
		case c.From != "":
			e.Blob, err = Find(o, tree, c.From)
		default:
			_, err = Find(o, tree, c.Path)
		}
		if err == nil && c.From != "" {
			if c.Text != nil {
				_, err = Find(o, tree, c.From)
			}
			edits = append(edits, Edit{Path: c.From})
		}
		if err != nil {
			return tree, nil, err
		}
		edits = append(edits, e)
	}
	slices.SortFunc(edits, func(a, b Edit) int { return cmp.Compare(a.Path, b.Path) })
	next, _, err := Rewrite(o, tree, "", edits)
	return next, edits, err
}

// Find returns the blob at a path of a tree.
func Find(o Objects, tree plumbing.Hash, path string) (plumbing.Hash, error) {
	rest := path
	for {
		name, below, deeper := strings.Cut(rest, "/")
		entries, err := o.Entries(tree)
		if err != nil {
			return plumbing.ZeroHash, err
		}
		i := slices.IndexFunc(entries, func(e trace.Entry) bool { return e.Name == name })
		switch {
		case i < 0 || deeper != (entries[i].Mode == ModeTree):
			return plumbing.ZeroHash, fmt.Errorf("file %q is not in the book", path)
		case !deeper:
			return entries[i].ID, nil
		}
		tree, rest = entries[i].ID, below
	}
}

// Rewrite applies the edits below prefix, sorted by path, to one tree; empty says that nothing is left.
func Rewrite(o Objects, tree plumbing.Hash, prefix string, edits []Edit) (next plumbing.Hash, empty bool, err error) {
	entries, err := o.Entries(tree)
	if err != nil {
		return tree, false, err
	}
	for len(edits) > 0 {
		name, _, deeper := strings.Cut(edits[0].Path[len(prefix):], "/")
		n := 1
		i := slices.IndexFunc(entries, func(e trace.Entry) bool { return e.Name == name })
		e := trace.Entry{Name: name, Mode: ModeFile, ID: edits[0].Blob}
		gone := e.ID.IsZero()
		if deeper {
			below := prefix + name + "/"
			for n < len(edits) && strings.HasPrefix(edits[n].Path, below) {
				n++
			}
			e = trace.Entry{Name: name, Mode: ModeTree}
			if i >= 0 {
				if entries[i].Mode != ModeTree {
					return tree, false, fmt.Errorf("%q is a file, it cannot hold %q", prefix+name, edits[0].Path)
				}
				e.ID = entries[i].ID
			}
			if e.ID, gone, err = Rewrite(o, e.ID, below, edits[:n]); err != nil {
				return tree, false, err
			}
		} else if i >= 0 && entries[i].Mode == ModeTree {
			return tree, false, fmt.Errorf("%q is a folder, not a file", prefix+name)
		}
		switch {
		case gone && i >= 0:
			entries = slices.Delete(entries, i, i+1)
		case gone:
		case i >= 0:
			entries[i] = e
		default:
			entries = append(entries, e)
		}
		edits = edits[n:]
	}
	if len(entries) == 0 && prefix != "" {
		return plumbing.ZeroHash, true, nil
	}
	slices.SortFunc(entries, func(a, b trace.Entry) int { return cmp.Compare(sortName(a), sortName(b)) })
	var raw bytes.Buffer
	for _, e := range entries {
		fmt.Fprintf(&raw, "%s %s\x00", e.Mode, e.Name)
		raw.Write(e.ID[:])
	}
	next, err = o.Put(plumbing.TreeObject, raw.Bytes())
	return next, false, err
}

// sortName is a name as git sorts it in a tree.
func sortName(e trace.Entry) string {
	if e.Mode == ModeTree {
		return e.Name + "/"
	}
	return e.Name
}
