package tree

import (
	"bytes"
	"sort"
	"strings"
	"unicode/utf8"
)

// Mark is the byte-order mark that some programs put before a text.
var Mark = []byte("\xef\xbb\xbf")

// Lines are the lines of a text, whatever their line ends: where each begins, and where a place in it lies. They
// count from 1, as the columns do.
type Lines struct {
	src    []byte
	starts []int // the first is behind a byte-order mark
}

// LinesOf finds the lines of a text.
func LinesOf(src []byte) Lines {
	l := Lines{src, []int{0}}
	if bytes.HasPrefix(src, Mark) {
		l.starts[0] = len(Mark)
	}
	for i := l.starts[0]; i < len(src); i++ {
		if src[i] == '\n' || src[i] == '\r' && (i+1 == len(src) || src[i+1] != '\n') {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// Count is how many lines there are; what stands behind the last line end is a line as well.
func (l Lines) Count() int { return len(l.starts) }

// Start is the offset at which a line begins; behind the last line the end of the text.
func (l Lines) Start(line int) int {
	if line > len(l.starts) {
		return len(l.src)
	}
	return l.starts[line-1]
}

// Has says that there is such a line.
func (l Lines) Has(line int) bool { return line >= 1 && line <= len(l.starts) }

// Text is a line without its line end; empty where there is none.
func (l Lines) Text(line int) string {
	if !l.Has(line) {
		return ""
	}
	return strings.TrimRight(string(l.src[l.starts[line-1]:l.Start(line+1)]), "\r\n")
}

// Of is the line that holds an offset.
func (l Lines) Of(at int) int {
	return max(sort.Search(len(l.starts), func(i int) bool { return l.starts[i] > at }), 1)
}

// Offset is where a place lies in the text; -1 where the text has no such place.
func (l Lines) Offset(line, column int) int {
	if !l.Has(line) {
		return -1
	}
	at, passed := Passed(l.src[l.starts[line-1]:l.Start(line+1)], column-1)
	if !passed {
		return -1
	}
	return l.starts[line-1] + at
}

// Passed is how many bytes of a line stand before what has a number of columns before it; ok is false where the line
// is shorter. A tab that indents counts for two columns, as the reader counts it.
func Passed(line []byte, columns int) (at int, ok bool) {
	for indent := true; columns > 0; columns-- {
		if at >= len(line) || line[at] == '\n' || line[at] == '\r' {
			return at, false
		}
		r, n := utf8.DecodeRune(line[at:])
		if indent = indent && (r == ' ' || r == '\t'); indent && r == '\t' {
			columns--
		}
		at += n
	}
	return at, true
}

// LineEnd is the line end that a text uses: the first one in it, or a bare line feed.
func LineEnd(src []byte) string {
	i := bytes.IndexAny(src, "\r\n")
	if i < 0 || src[i] == '\n' {
		return "\n"
	}
	if i+1 < len(src) && src[i+1] == '\n' {
		return "\r\n"
	}
	return "\r"
}

// PlainEnds gives every line of a text the line end \n.
func PlainEnds(text string) string {
	if strings.IndexByte(text, '\r') < 0 {
		return text
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
}

// A Line is a line taken apart by itself, for texts that are no YAML at the moment.
type Line struct {
	Lead  string // the blanks before it, and the dash of an item with the blanks behind
	Key   string // without its quotes; empty where the line holds none
	Colon bool
	Gap   string // the blanks behind the key or its colon
	Rest  string // what stands behind, without the blanks at the end
}

// LineOf takes a line apart. What stands before its first colon is its key, without a colon its first word.
func LineOf(text string) (l Line) {
	text = strings.TrimRight(text, " \t")
	rest := strings.TrimLeft(text, " \t\u00a0")
	if after, ok := strings.CutPrefix(rest, "- "); ok {
		rest = strings.TrimLeft(after, " ")
	}
	l.Lead = text[:len(text)-len(rest)]
	if rest == "" || strings.ContainsRune("#-{}[],%|>", rune(rest[0])) {
		l.Rest = rest
		return l
	}
	key, behind, colon := strings.Cut(rest, ":")
	if l.Colon = colon; !colon {
		key, _, _ = strings.Cut(rest, " ")
		behind = rest[len(key):]
	}
	l.Key = strings.Trim(strings.TrimSpace(key), `"'`)
	l.Rest = strings.TrimLeft(behind, " ")
	l.Gap = behind[:len(behind)-len(l.Rest)]
	return l
}
