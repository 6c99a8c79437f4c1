package logbook

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
)

// ValueAt is one value of a Markdown file: its key with those above it, the text as written, and where it stands.
type ValueAt struct {
	// "as_found.leak_down.time", "as_found.opening_pressure[0]"; "remarks" for the text below the front matter
	Path         string
	Written      string
	Line, Column int
}

// Values flattens the front matter of a Markdown file, known keys and unknown ones, in the order of the file, and ends
// with the remarks. It serves the comparison of two texts; what cannot be read at all yields nothing.
func Values(src []byte) []ValueAt {
	d, ok := open("", src)
	if !ok {
		return nil
	}
	var all []ValueAt
	if root := (decoder{d}).parse(); root != nil {
		all = flatten(all, root, "", d.line)
	}
	if body := strings.TrimSpace(d.body); body != "" {
		all = append(all, ValueAt{"remarks", body, d.bodyLine, 1})
	}
	return all
}

func flatten(all []ValueAt, n *yaml.Node, path string, offset int) []ValueAt {
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			key := n.Content[i].Value
			if path != "" {
				key = path + "." + key
			}
			value := n.Content[i+1]
			if cut := cutNumber(n, i); cut != nil {
				value, i = cut, i+2
			}
			all = flatten(all, value, key, offset)
		}
	case yaml.SequenceNode:
		for i, item := range itemsOf(n) {
			all = flatten(all, item, fmt.Sprintf("%s[%d]", path, i), offset)
		}
	case yaml.ScalarNode:
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
