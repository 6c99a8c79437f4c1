package edit

import (
	"bytes"
	"slices"
	"strings"
	"unicode/utf8"
)

var mark = []byte("\xef\xbb\xbf")

// lineStarts are the offsets at which the lines of a text begin, whatever their line ends; the first is behind a
// byte-order mark.
func lineStarts(src []byte) []int {
	starts := []int{0}
	if bytes.HasPrefix(src, mark) {
		starts[0] = len(mark)
	}
	for i := 0; i < len(src); i++ {
		switch {
		case src[i] == '\n', src[i] == '\r' && (i+1 == len(src) || src[i+1] != '\n'):
			starts = append(starts, i+1)
		}
	}
	return starts
}

// line is one line of a text without its line end; lines count from 1.
func line(src []byte, number int) string {
	starts := lineStarts(src)
	if number < 1 || number > len(starts) {
		return ""
	}
	rest := src[starts[number-1]:]
	if i := bytes.IndexAny(rest, "\r\n"); i >= 0 {
		rest = rest[:i]
	}
	return string(rest)
}

// offset is where a place lies in the bytes; -1 where the text has no such place.
func offset(src []byte, number, column int) int {
	starts := lineStarts(src)
	if number < 1 || number > len(starts) {
		return -1
	}
	return offsetFrom(src, starts[number-1], column)
}

// offsetFrom is where a column of the line that begins at an offset lies; -1 where the line is shorter. A tab before a
// key counts for two columns, as the reader counts it.
func offsetFrom(src []byte, start, column int) int {
	at, indent := start, true
	for c := 1; c < column; {
		if at >= len(src) || src[at] == '\n' || src[at] == '\r' {
			return -1
		}
		r, n := utf8.DecodeRune(src[at:])
		indent = indent && (r == ' ' || r == '\t')
		if c++; indent && r == '\t' {
			c++
		}
		at += n
	}
	return at
}

// lineEnd is the line end a file uses: the first one in it, or a bare line feed.
func lineEnd(src []byte) string {
	i := bytes.IndexAny(src, "\r\n")
	if i < 0 || src[i] == '\n' {
		return "\n"
	}
	if i+1 < len(src) && src[i+1] == '\n' {
		return "\r\n"
	}
	return "\r"
}

// withCommas is a table with commas between its cells instead of another mark; a cell with a comma in it gets quotes.
func withCommas(src []byte, mark byte) []byte {
	var out []byte
	for line := range bytes.Lines(src) {
		if bytes.HasPrefix(line, []byte("#")) {
			out = append(out, line...)
			continue
		}
		text := bytes.TrimRight(line, "\r\n")
		quoted, start := false, 0
		for i := 0; i <= len(text); i++ {
			if i < len(text) && (quoted || text[i] != mark) {
				quoted = quoted != (text[i] == '"')
				continue
			}
			cell := text[start:i]
			if bytes.ContainsRune(cell, ',') && !bytes.ContainsRune(cell, '"') {
				cell = slices.Concat([]byte(`"`), cell, []byte(`"`))
			}
			out = append(out, cell...)
			if start = i + 1; i < len(text) {
				out = append(out, ',')
			}
		}
		out = append(out, line[len(text):]...)
	}
	return out
}

// splice replaces src[from:to].
func splice(src []byte, from, to int, text string) []byte {
	out := make([]byte, 0, len(src)+len(text))
	out = append(out, src[:from]...)
	out = append(out, text...)
	return append(out, src[to:]...)
}

// token is the extent of the value that begins at an offset, and its text without quotes; ok is false where the text
// there is not the one that was read.
func token(src []byte, at int, written string) (from, to int, ok bool) {
	if at < 0 || at >= len(src) {
		return 0, 0, false
	}
	if q := src[at]; q == '"' || q == '\'' {
		at++
		if !bytes.HasPrefix(src[at:], []byte(written)) || at+len(written) >= len(src) || src[at+len(written)] != q {
			return 0, 0, false // escapes inside: not touched
		}
		return at, at + len(written), true
	}
	if written == "" || !bytes.HasPrefix(src[at:], []byte(written)) || strings.ContainsAny(written, "\r\n") {
		return 0, 0, false
	}
	return at, at + len(written), true
}
