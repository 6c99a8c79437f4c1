package edit

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// ErrOneValue says that a value stands where a group of keys would have to.
var ErrOneValue = errors.New("is written as one value")

// Fill puts a value, typed as a record writes it, where nothing stands yet: behind a key that is blank, or with its key
// into the group above it, which is made where there is none. Every other byte stays, and every other value says what
// it said before. It returns ErrThere where something stands at the key. name is the file's path in the book; order is
// that of the top-level keys.
func Fill(name string, src []byte, key, value string, order []string) ([]byte, error) {
	t := logbook.TreeOf(src)
	if t.Doubt != "" {
		return nil, fmt.Errorf("cannot write %s: %s", key, t.Doubt)
	}
	out, err := fill(t, src, strings.Split(key, "."), value, order)
	if err != nil {
		return nil, fmt.Errorf("%s %w", key, err)
	}
	before, had := logbook.Meanings(name, src)
	after, has := logbook.Meanings(name, out)
	says := map[string]string{}
	for _, m := range after {
		says[m.Key] = m.Says
	}
	for _, m := range before {
		if says[m.Key] != m.Says {
			return nil, fmt.Errorf("%s cannot be written: %s would read otherwise", key, m.Key)
		}
	}
	if brings(has, had) {
		return nil, fmt.Errorf("%s cannot be written as %s", key, value)
	}
	return out, nil
}

func fill(t *tree.Tree, src []byte, path []string, value string, order []string) ([]byte, error) {
	at := t.Root
	for i, key := range path {
		next := below(at, key)
		if next == nil {
			if at == t.Root {
				return Insert(src, key, nested(path, value), order)
			}
			return join(src, at, nestedInBraces(path[i:], value)), nil
		}
		if next.Kind == tree.Value && next.Null && next.Value == "" { // a key with nothing behind it
			text := value
			if i+1 < len(path) {
				text = "{" + nestedInBraces(path[i+1:], value) + "}"
			}
			return behind(src, next, text), nil
		}
		if next.Kind != tree.Group && i+1 < len(path) {
			return nil, ErrOneValue
		}
		at = next
	}
	return nil, ErrThere
}

func below(n *tree.Node, key string) *tree.Node {
	for _, e := range n.Below {
		if e.Key == key {
			return e
		}
	}
	return nil
}

// behind puts a text behind a blank key.
func behind(src []byte, n *tree.Node, text string) []byte {
	at, space := n.KeyEnd, " "
	if at < len(src) && src[at] == ' ' {
		at, space = at+1, ""
	}
	return splice(src, at, at, space+text+between(src, at))
}

// between is the blank that keeps a remark apart from a text put in directly before it.
func between(src []byte, at int) string {
	if at < len(src) && src[at] == '#' {
		return " "
	}
	return ""
}

// join puts a key with its value at the end of a group.
func join(src []byte, group *tree.Node, text string) []byte {
	if group.Style == tree.Brackets {
		if len(group.Below) > 0 {
			text = ", " + text
		}
		return splice(src, group.ValueEnd-1, group.ValueEnd-1, text)
	}
	last := group.Below[len(group.Below)-1]
	at := last.From + len(bytes.TrimRight(src[last.From:last.To], " \r\n"))
	eol := tree.LineEnd(src)
	if i := bytes.IndexByte(src[at:], '\n'); i >= 0 {
		at += i + 1
	} else {
		text = eol + text
	}
	return splice(src, at, at, strings.Repeat(" ", group.Below[0].KeyColumn-1)+text+eol)
}

// nested is a value below its keys, a line each.
func nested(path []string, value string) string {
	var b strings.Builder
	for i, key := range path {
		if i > 0 {
			b.WriteString("\n" + strings.Repeat("  ", i))
		}
		b.WriteString(key + ":")
	}
	return b.String() + " " + value + "\n"
}

// nestedInBraces is a value below its keys on one line.
func nestedInBraces(path []string, value string) string {
	return strings.Join(path, ": {") + ": " + value + strings.Repeat("}", len(path)-1)
}

// Remark adds words behind a # to the end of the line on which a key stands; of a key that stands nowhere, or of a text
// that cannot be told apart, the text is handed back as it is.
func Remark(src []byte, key, words string) []byte {
	t := logbook.TreeOf(src)
	if t.Doubt != "" {
		return src
	}
	n := t.Root
	for part := range strings.SplitSeq(key, ".") {
		if next := below(n, part); next != nil {
			n = next
			continue
		}
		return src
	}
	line := t.Lines.Text(n.KeyLine + t.Line)
	end := t.Lines.Start(n.KeyLine+t.Line) + len(strings.TrimRight(line, " \t\r"))
	mark := "  # "
	if strings.Contains(line, " # ") {
		mark = "; "
	}
	return splice(src, end, end, mark+strings.Map(onOneLine, words))
}

// onOneLine keeps what was typed elsewhere from ending a remark.
func onOneLine(r rune) rune {
	if r < ' ' || logbook.Invisible(r) {
		return ' '
	}
	return r
}
