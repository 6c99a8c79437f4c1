package edit

import (
	"bytes"
	"fmt"
	"slices"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// Names says that a text names a file, wherever in it.
func Names(src []byte, file string) bool { return len(mentions(src, file)) > 0 }

// mentions are where a text names a file: not where a longer name only begins alike.
func mentions(src []byte, file string) (all []int) {
	for at := 0; ; {
		i := bytes.Index(src[at:], []byte(file))
		if i < 0 {
			return all
		}
		at += i + len(file)
		if rest := bytes.TrimLeft(src[at:], "."); len(rest) == 0 || !nameGoesOn(rest[0]) {
			all = append(all, at-len(file))
		}
	}
}

func nameGoesOn(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '/'
}

// Renamed is a file of the book in which another has a new name: in the values that are its name, and in the remarks.
// The new one is of letters, digits, points, dashes and strokes. Every other byte stays.
func Renamed(src []byte, was, is string) ([]byte, error) {
	t := logbook.TreeOf(src)
	if t.Doubt != "" {
		return nil, fmt.Errorf("cannot name %s: %s", is, t.Doubt)
	}
	text := bytes.Clone(src)
	for _, at := range slices.Backward(mentions(src[t.Body:], was)) {
		text = splice(text, t.Body+at, t.Body+at+len(was), is)
	}
	var walk func(n *tree.Node)
	walk = func(n *tree.Node) {
		for _, below := range slices.Backward(n.Below) { // from behind, so that what is before keeps its place
			walk(below)
		}
		if n.Kind == tree.Value && n.Value == was && n.ValueAt < n.ValueEnd {
			text = splice(text, n.ValueAt, n.ValueEnd, is)
		}
	}
	walk(t.Root)
	return text, nil
}
