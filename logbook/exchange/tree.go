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

// objects is where trees are read from and new objects go: a repository, or the memory of a bulk
// build.
type objects interface {
	Entries(tree plumbing.Hash) ([]trace.Entry, error)
	put(kind plumbing.ObjectType, raw []byte) (plumbing.Hash, error)
}

const (
	modeFile = "100644"
	modeTree = "40000"
)

// edit is what becomes of one path: a blob to stand there, or nothing.
type edit struct {
	path string
	blob plumbing.Hash
}

// apply makes a draft's changes to a tree and returns the new one. Only the trees on the changed
// paths are read and written.
func apply(o objects, tree plumbing.Hash, changes []Change) (plumbing.Hash, []edit, error) {
	var edits []edit
	for _, c := range changes {
		e := edit{path: c.Path}
		var err error
		switch {
		case c.Text != nil:
			e.blob, err = o.put(plumbing.BlobObject, c.Text)
		case c.From != "":
			e.blob, err = find(o, tree, c.From)
		default:
			_, err = find(o, tree, c.Path)
		}
		if err == nil && c.From != "" {
			if c.Text != nil {
				_, err = find(o, tree, c.From)
			}
			edits = append(edits, edit{path: c.From})
		}
		if err != nil {
			return tree, nil, err
		}
		edits = append(edits, e)
	}
	slices.SortFunc(edits, func(a, b edit) int { return cmp.Compare(a.path, b.path) })
	next, _, err := rewrite(o, tree, "", edits)
	return next, edits, err
}

// find returns the blob at a path of a tree.
func find(o objects, tree plumbing.Hash, path string) (plumbing.Hash, error) {
	rest := path
	for {
		name, below, deeper := strings.Cut(rest, "/")
		entries, err := o.Entries(tree)
		if err != nil {
			return plumbing.ZeroHash, err
		}
		i := slices.IndexFunc(entries, func(e trace.Entry) bool { return e.Name == name })
		switch {
		case i < 0 || deeper != (entries[i].Mode == modeTree):
			return plumbing.ZeroHash, fmt.Errorf("file %q is not in the book", path)
		case !deeper:
			return entries[i].ID, nil
		}
		tree, rest = entries[i].ID, below
	}
}

// rewrite applies the edits below prefix, sorted by path, to one tree; empty says that nothing is left.
func rewrite(o objects, tree plumbing.Hash, prefix string, edits []edit) (next plumbing.Hash, empty bool, err error) {
	entries, err := o.Entries(tree)
	if err != nil {
		return tree, false, err
	}
	for len(edits) > 0 {
		name, _, deeper := strings.Cut(edits[0].path[len(prefix):], "/")
		n := 1
		i := slices.IndexFunc(entries, func(e trace.Entry) bool { return e.Name == name })
		e := trace.Entry{Name: name, Mode: modeFile, ID: edits[0].blob}
		gone := e.ID.IsZero()
		if deeper {
			below := prefix + name + "/"
			for n < len(edits) && strings.HasPrefix(edits[n].path, below) {
				n++
			}
			e = trace.Entry{Name: name, Mode: modeTree}
			if i >= 0 {
				if entries[i].Mode != modeTree {
					return tree, false, fmt.Errorf("%q is a file, it cannot hold %q", prefix+name, edits[0].path)
				}
				e.ID = entries[i].ID
			}
			if e.ID, gone, err = rewrite(o, e.ID, below, edits[:n]); err != nil {
				return tree, false, err
			}
		} else if i >= 0 && entries[i].Mode == modeTree {
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
	next, err = o.put(plumbing.TreeObject, raw.Bytes())
	return next, false, err
}

// sortName is a name as git sorts it in a tree.
func sortName(e trace.Entry) string {
	if e.Mode == modeTree {
		return e.Name + "/"
	}
	return e.Name
}
