package edit

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

var (
	// ErrNoFrontMatter says that a text has no front matter to add keys to.
	ErrNoFrontMatter = errors.New("no front matter between two lines of ---")
	// ErrThere says that a key stands in the front matter already; nothing of it is overwritten.
	ErrThere = errors.New("stands there already")
)

// Keys are the top-level keys of the front matter in the order of the file, those of blocks that cannot be read among
// them.
func Keys(src []byte) ([]string, error) {
	t := logbook.TreeOf(src)
	if !t.Fenced {
		return nil, ErrNoFrontMatter
	}
	var keys []string
	for _, n := range t.Root.Below {
		keys = append(keys, n.Key)
	}
	return keys, nil
}

// Insert puts a block of lines for one top-level key into the front matter, before the first key that comes after it in
// the given order, else at the end. Every other byte stays; the block takes on the line ends of the file. It returns
// ErrThere where the key stands in the front matter already.
func Insert(src []byte, key, block string, order []string) ([]byte, error) {
	t := logbook.TreeOf(src)
	if !t.Fenced {
		return nil, ErrNoFrontMatter
	}
	rank := map[string]int{}
	for i, k := range order {
		rank[k] = i + 1
	}
	at := t.Close
	for _, n := range slices.Backward(t.Root.Below) {
		if n.Key == key {
			return nil, fmt.Errorf("%s %w, on line %d", key, ErrThere, t.Lines.Of(n.KeyAt))
		}
		if rank[n.Key] > rank[key] {
			at = t.Above(n)
		}
	}
	text := strings.ReplaceAll(strings.TrimRight(block, "\n")+"\n", "\n", tree.LineEnd(src))
	return splice(src, at, at, text), nil
}
