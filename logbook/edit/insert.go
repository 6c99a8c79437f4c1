package edit

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

var (
	// ErrNoFrontMatter says that a text has no front matter to add keys to.
	ErrNoFrontMatter = errors.New("no front matter between two lines of ---")
	// ErrThere says that a key stands in the front matter already; nothing of it is overwritten.
	ErrThere = errors.New("stands there already")
)

// Keys are the top-level keys of the front matter in the order of the file.
func Keys(src []byte) ([]string, error) {
	entries, _, err := entries(src)
	var keys []string
	for _, e := range entries {
		keys = append(keys, e.key)
	}
	return keys, err
}

// entry is a top-level key and the line on which it begins, with the remarks above it.
type entry struct {
	key   string
	line  int
	above int // first line of the remarks that stand directly above the key
}

// entries finds the top-level keys by their lines alone, so that a block that cannot be read elsewhere does not hide
// them.
func entries(src []byte) (all []entry, end int, err error) {
	starts := lineStarts(src)
	open, remarks := false, 0
	for i := range starts {
		text := line(src, i+1)
		switch {
		case strings.TrimRight(text, " \t") == "---":
			if open {
				return all, i + 1, nil
			}
			open = true
		case !open && strings.TrimSpace(text) != "":
			return nil, 0, ErrNoFrontMatter
		case strings.HasPrefix(text, "#"):
			if remarks == 0 {
				remarks = i + 1
			}
			continue
		case text != "" && !strings.ContainsRune(" \t-}]", rune(text[0])):
			if key, _, ok := strings.Cut(text, ":"); ok && open {
				e := entry{strings.Trim(key, `"'`), i + 1, i + 1}
				if remarks > 0 {
					e.above = remarks
				}
				all = append(all, e)
			}
		}
		remarks = 0
	}
	return nil, 0, ErrNoFrontMatter
}

// Insert puts a block of lines for one top-level key into the front matter, before the first key that comes after it in
// the given order, else at the end. Every other byte stays; the block takes on the line ends of the file. It returns
// ErrThere where the key stands in the front matter already.
func Insert(src []byte, key, block string, order []string) ([]byte, error) {
	all, end, err := entries(src)
	if err != nil {
		return nil, err
	}
	rank := map[string]int{}
	for i, k := range order {
		rank[k] = i + 1
	}
	at := end
	for i := len(all) - 1; i >= 0; i-- {
		e := all[i]
		if e.key == key {
			return nil, fmt.Errorf("%s %w, on line %d", key, ErrThere, e.line)
		}
		if rank[e.key] > rank[key] {
			at = e.above
		}
	}
	eol := lineEnd(src)
	text := strings.ReplaceAll(strings.TrimRight(block, "\n")+"\n", "\n", eol)
	from := lineStarts(src)[at-1]
	out := splice(src, from, from, text)
	if !bytes.Equal(out[:from], src[:from]) || !bytes.Equal(out[from+len(text):], src[from:]) {
		panic("edit: bytes outside the block changed")
	}
	return out, nil
}
