package edit

import (
	"bytes"
	"fmt"
	"strings"

	"needlebook/logbook"
)

// AddItem adds an item, written in braces, to the list at a top-level key of the front matter; a list that is not there
// is made, before the first key that comes after it in the given order. Every other byte stays.
func AddItem(src []byte, key, item string, order []string) ([]byte, error) {
	o, why := logbook.OutlineOf(src)
	if o == nil {
		return nil, fmt.Errorf("cannot add to %s: %s", key, why)
	}
	eol := lineEnd(src)
	for _, e := range o.Entries {
		switch {
		case e.Key != key:
			continue
		case e.Kind == logbook.EntryValue && e.Null && e.ValueAt == e.ValueEnd:
			return splice(src, e.ValueAt, e.ValueEnd, eol+"  - "+item), nil
		case e.Kind != logbook.EntryList:
			return nil, fmt.Errorf("cannot add to %s: it is no list", key)
		case e.Flow && len(e.Entries) == 0:
			return splice(src, e.ValueAt+1, e.ValueEnd-1, item), nil
		case e.Flow:
			end := e.Entries[len(e.Entries)-1].To
			return splice(src, end, end, ", "+item), nil
		}
		last := e.Entries[len(e.Entries)-1]
		at := last.From + len(bytes.TrimRight(src[last.From:last.To], " \r\n"))
		if i := bytes.IndexByte(src[at:], '\n'); i >= 0 {
			at += i + 1
		}
		return splice(src, at, at, strings.Repeat(" ", e.Column-1)+"- "+item+eol), nil
	}
	return Insert(src, key, key+":\n  - "+item+"\n", order)
}
