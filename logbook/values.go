package logbook

import (
	"fmt"
	"strings"

	"needlebook/logbook/tree"
)

// ValueAt is one value of a Markdown file: its key with those above it, the text as written, and where it stands.
type ValueAt struct {
	// "as_found.leak_down.time", "as_found.opening_pressure[0]"; "remarks" for the text below the front matter
	Path         string
	Written      string
	Line, Column int
}

// TreeOf takes a record apart with the bytes of everything in it.
func TreeOf(src []byte) *tree.Tree { return tree.Of(src, new(document).trouble) }

// Values flattens the front matter of a Markdown file, known keys and unknown ones, in the order of the file, and ends
// with the remarks. It serves the comparison of two texts; what cannot be read at all yields nothing.
func Values(src []byte) []ValueAt {
	d, ok := open("", src)
	if !ok {
		return nil
	}
	defer d.release()
	var all []ValueAt
	if root := d.nodes(); root != nil {
		all = flatten(all, root, "", d.line)
	}
	if body := strings.TrimSpace(d.body); body != "" {
		all = append(all, ValueAt{"remarks", body, d.bodyLine, 1})
	}
	return all
}

func flatten(all []ValueAt, n *tree.Node, path string, offset int) []ValueAt {
	switch n.Kind {
	case tree.Group:
		for _, entry := range n.Below {
			key := entry.Key
			if path != "" {
				key = path + "." + key
			}
			all = flatten(all, entry, key, offset)
		}
	case tree.List:
		for i, item := range n.Below {
			all = flatten(all, item, fmt.Sprintf("%s[%d]", path, i), offset)
		}
	default:
		if n.Odd != nil && n.Odd.Kind == tree.Alias {
			return all
		}
		all = append(all, ValueAt{path, n.Value, n.Line + offset, n.Column})
	}
	return all
}

// Problems reads one file of a book by its path and gives what is amiss in its own writing; what only the whole book
// shows, such as a record's name, is not among it.
func Problems(name string, src []byte) []Problem {
	_, problems := Meanings(name, src)
	return problems
}
