package edit

import (
	"bytes"
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// AddItem adds an item, written in braces, to the list at a top-level key of the front matter; a list that is not there
// is made, before the first key that comes after it in the given order. Every other byte stays.
func AddItem(src []byte, key, item string, order []string) ([]byte, error) {
	t := logbook.TreeOf(src)
	if t.Doubt != "" {
		return nil, fmt.Errorf("cannot add to %s: %s", key, t.Doubt)
	}
	eol := tree.LineEnd(src)
	for _, e := range t.Root.Below {
		switch {
		case e.Key != key:
			continue
		case e.Kind == tree.Value && e.Null && e.ValueAt == e.ValueEnd:
			return splice(src, e.ValueAt, e.ValueEnd, eol+"  - "+item), nil
		case e.Kind != tree.List:
			return nil, fmt.Errorf("cannot add to %s: it is no list", key)
		case e.Style == tree.Brackets && len(e.Below) == 0:
			return splice(src, e.ValueAt+1, e.ValueEnd-1, item), nil
		case e.Style == tree.Brackets:
			end := e.Below[len(e.Below)-1].To
			return splice(src, end, end, ", "+item), nil
		}
		last := e.Below[len(e.Below)-1]
		at := last.From + len(bytes.TrimRight(src[last.From:last.To], " \r\n"))
		if i := bytes.IndexByte(src[at:], '\n'); i >= 0 {
			at += i + 1
		}
		return splice(src, at, at, strings.Repeat(" ", e.Column-1)+"- "+item+eol), nil
	}
	return Insert(src, key, key+":\n  - "+item+"\n", order)
}
