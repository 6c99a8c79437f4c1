package edit

import (
	"bytes"
	"slices"
	"strings"
)

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
