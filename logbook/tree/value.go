package tree

import "strings"

// maxDepth is how deep brackets may stand in one another.
const maxDepth = 8

// value reads one value of a line, inside brackets or not, and gives the offset behind it.
func (r *Reader) value(n *Node, at int, inside bool, depth int) (end int) {
	if at >= r.line.end || depth > maxDepth {
		return r.unusual()
	}
	switch c := r.text[at]; {
	case c == '{':
		return r.group(n, at, depth)
	case c == '[':
		return r.list(n, at, depth)
	case c == '\'', c == '"':
		return r.quoted(n, at, c)
	case !begins(c) && !(c == '-' && at+1 < r.line.end && r.text[at+1] >= '0' && r.text[at+1] <= '9'):
		return r.unusual()
	}
	end = r.plainEnd(at, inside)
	r.stands(n, Value, Plain, at)
	n.Value = r.text[at:end]
	n.Null = isNull(n.Value)
	return end
}

// isNull says that the library reads a word as nothing; as a key it is left to the library.
func isNull(word string) bool { return word == "null" || word == "Null" || word == "NULL" }

// unusual gives up: what stands there is for the library.
func (r *Reader) unusual() (end int) {
	r.plain = false
	return r.line.end
}

// begins says that a plain value may begin with a byte.
func begins(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '+' || c == '.' || c == '(' ||
		c == '/' || c >= 0x80
}

// plainEnd is the offset behind a plain value.
func (r *Reader) plainEnd(at int, inside bool) int {
	end := at
scan:
	for ; end < r.line.end; end++ {
		switch c := r.text[end]; c {
		case '#':
			if r.text[end-1] == ' ' && !inside {
				break scan
			}
			r.plain = r.plain && !inside
		case ':':
			if inside || end+1 == r.line.end || r.text[end+1] == ' ' {
				r.plain = false
			}
		case '?':
			r.plain = r.plain && !inside
		case ',', ']', '}':
			if inside {
				break scan
			}
		case '[', '{':
			r.plain = r.plain && !inside
		}
	}
	for end > at && r.text[end-1] == ' ' {
		end--
	}
	return end
}

// quoted reads a text in quotes, in which nothing but a doubled single quote is written otherwise than it is meant.
func (r *Reader) quoted(n *Node, at int, quote byte) (behind int) {
	doubled, end := false, at+1
	for ; end < r.line.end; end++ {
		if r.text[end] == quote {
			if quote == '"' || end+1 == r.line.end || r.text[end+1] != quote {
				break
			}
			doubled, end = true, end+1
		}
	}
	if end >= r.line.end {
		return r.unusual()
	}
	value, style := r.text[at+1:end], Single
	if quote == '"' {
		style = Double
		if strings.IndexByte(value, '\\') >= 0 {
			return r.unusual()
		}
	}
	if doubled {
		value = strings.ReplaceAll(value, "''", "'")
	}
	r.stands(n, Value, style, at)
	n.Value = value
	return end + 1
}

// group reads keys and values in braces.
func (r *Reader) group(n *Node, at, depth int) (behind int) {
	r.stands(n, Group, Brackets, at)
	at = r.inside(at + 1)
	if at < r.line.end && r.text[at] == '}' {
		return at + 1
	}
	for closed := false; !closed && r.plain; {
		end := r.key(at)
		if end < 0 {
			return r.unusual()
		}
		end = r.value(r.keyed(n, at, end), r.skip(end+1), true, depth+1)
		at, closed = r.separator(end, '}')
	}
	return at
}

// list reads values in brackets.
func (r *Reader) list(n *Node, at, depth int) (behind int) {
	r.stands(n, List, Brackets, at)
	at = r.inside(at + 1)
	if at < r.line.end && r.text[at] == ']' {
		return at + 1
	}
	for closed := false; !closed && r.plain; {
		end := r.value(r.below(n), at, true, depth+1)
		at, closed = r.separator(end, ']')
	}
	joinNumbers(n) // in braces a key that begins with a digit is the library's
	return at
}

// separator is where the next value begins behind a comma, or the end behind the closing bracket.
func (r *Reader) separator(at int, closing byte) (next int, closed bool) {
	at = r.skip(at)
	switch {
	case at >= r.line.end:
	case r.text[at] == closing:
		return at + 1, true
	case r.text[at] == ',':
		return r.inside(at + 1), false
	}
	r.plain = false
	return r.line.end, false
}

// inside is where the next thing in brackets stands, on the line or on the next.
func (r *Reader) inside(at int) int {
	if at = r.skip(at); at < r.line.end {
		return at
	}
	r.advance()
	if !r.deeper(r.block) {
		r.plain = false
	}
	return r.line.at
}
