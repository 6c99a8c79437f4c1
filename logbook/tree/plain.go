package tree

import (
	"strings"
	"unicode/utf8"
)

// Reader reads one text after another and uses its nodes again. The zero Reader is ready; one goroutine may use it
// at a time.
type Reader struct {
	nodes []*Node
	used  int
	text  string
	line  line
	block int          // indent of the block that holds the value being read
	plain bool         // false once something outside the subset was met
	left  map[int]bool // lines that could not be read

	counted, columns int // an offset of the line, and its column
}

// line is the line being read: the next one that holds more than a comment.
type line struct {
	number int // from 1; 0 behind the last line
	begin  int // offset of its first character
	at     int // offset of its first character that is no space, or of what a dash leads to
	end    int // offset behind its last character that is no space
}

// Read reads a text of the plain subset. The nodes hold until the next call; strings in them are parts of the text.
// ok is false where the text holds anything outside the subset, or nothing at all: then the library has to read it.
func (r *Reader) Read(text string) (root *Node, ok bool) {
	if !common(text) {
		return nil, false
	}
	r.used, r.text, r.plain = 0, text, true
	r.counted, r.columns = 0, 1
	r.line = line{}
	r.advance()
	if r.line.number == 0 {
		return nil, false
	}
	root = r.node()
	r.mapping(root, r.indent())
	if !r.plain || r.line.number != 0 {
		return nil, false
	}
	return root, true
}

// common says that a text holds only characters that mean the same to every reader: no control character, no rare
// line end, no mark.
func common(text string) bool {
	wide := false
	for i := range len(text) {
		c := text[i]
		if c < ' ' && c != '\n' || c == 0x7f {
			return false
		}
		wide = wide || c >= utf8.RuneSelf
	}
	if !wide {
		return true
	}
	for _, r := range text {
		if r >= 0x80 && r < 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xfeff || r >= 0xfff0 && r <= 0xffff {
			return false
		}
	}
	return true
}

// advance goes on to the next line that is neither empty nor a comment.
func (r *Reader) advance() {
	begin := 0
	if r.line.number > 0 {
		begin = r.next(r.line.begin)
	}
	for number := r.line.number + 1; begin < len(r.text); number++ {
		end := r.next(begin)
		at, last := begin, end
		for at < end && r.text[at] == ' ' {
			at++
		}
		for last > at && (r.text[last-1] == '\n' || r.text[last-1] == ' ') {
			last--
		}
		if at < last && r.text[at] != '#' {
			r.line = line{number, begin, at, last}
			return
		}
		begin = end
	}
	r.line = line{begin: len(r.text), at: len(r.text), end: len(r.text)}
}

// next is the offset behind the line that holds an offset.
func (r *Reader) next(at int) int {
	if i := strings.IndexByte(r.text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(r.text)
}

// indent is how many spaces, or what a dash and spaces, stand before the line's text.
func (r *Reader) indent() int { return r.line.at - r.line.begin }

// deeper says that a further line stands, further in than an indent.
func (r *Reader) deeper(indent int) bool { return r.line.number != 0 && r.indent() > indent }

// node takes a node that holds nothing yet.
func (r *Reader) node() *Node {
	if r.used == len(r.nodes) {
		r.nodes = append(r.nodes, new(Node))
	}
	n := r.nodes[r.used]
	r.used++
	*n = Node{Below: n.Below[:0]}
	return n
}

// below takes a node for an entry of a group or list.
func (r *Reader) below(n *Node) *Node {
	entry := r.node()
	n.Below = append(n.Below, entry)
	return entry
}

// keyed takes a node for an entry of a group whose key stands on the line.
func (r *Reader) keyed(n *Node, at, end int) *Node {
	entry := r.below(n)
	entry.Key, entry.KeyLine, entry.KeyColumn = r.text[at:end], r.line.number, r.column(at)
	return entry
}

// stands fills in what stands at an offset of the line.
func (r *Reader) stands(n *Node, kind Kind, style Style, at int) {
	n.Kind, n.Style, n.Line, n.Column = kind, style, r.line.number, r.column(at)
}

// column counts the characters of the line up to an offset, on from the last one that was asked for: a line may be as
// long as a file.
func (r *Reader) column(at int) int {
	if r.counted < r.line.begin || r.counted > at {
		r.counted, r.columns = r.line.begin, 1
	}
	r.columns += utf8.RuneCountInString(r.text[r.counted:at])
	r.counted = at
	return r.columns
}

// mapping reads keys at an indent.
func (r *Reader) mapping(n *Node, indent int) {
	r.stands(n, Group, Plain, r.line.at)
	for r.plain && r.line.number != 0 && r.indent() == indent {
		end := r.key(r.line.at)
		if end < 0 {
			break
		}
		r.behind(r.keyed(n, r.line.at, end), end+1, indent)
	}
	if len(n.Below) == 0 || r.deeper(indent) {
		r.plain = false
	}
}

// key is the end of the key that begins at an offset; -1 where none does.
func (r *Reader) key(at int) int {
	end := at
	for end < r.line.end && keyByte(r.text[end], end == at) {
		end++
	}
	if end == at || end-at > 100 || end == r.line.end || r.text[end] != ':' || end+1 < r.line.end && r.text[end+1] != ' ' {
		return -1
	}
	if isNull(r.text[at:end]) {
		r.plain = false
	}
	return end
}

func keyByte(c byte, first bool) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' || !first && (c >= '0' && c <= '9' || c == '-')
}

// behind reads what stands behind a key and its colon, on the line or below it.
func (r *Reader) behind(n *Node, at, indent int) {
	start := r.skip(at)
	if start < r.line.end && r.text[start] != '#' {
		r.whole(n, start, indent)
		return
	}
	r.stands(n, Value, Plain, at)
	n.Null = true
	r.advance()
	switch {
	case r.dash() && r.line.number != 0 && r.indent() >= indent:
		n.Null = false
		r.sequence(n, r.indent())
	case r.deeper(indent):
		n.Null = false
		r.mapping(n, r.indent())
	}
}

// whole reads a value behind which nothing but a comment may stand on its last line.
func (r *Reader) whole(n *Node, at, indent int) {
	r.block = indent
	end := r.value(n, at, false, 0)
	if rest := r.skip(end); rest < r.line.end && (r.text[rest] != '#' || rest == end) {
		r.plain = false
	}
	r.advance()
	if r.deeper(indent) { // the value may go on there
		r.plain = false
	}
}

// dash says that the line is an item of a list.
func (r *Reader) dash() bool {
	return r.line.at+1 < r.line.end && r.text[r.line.at] == '-' && r.text[r.line.at+1] == ' '
}

// sequence reads the items of a list whose dashes stand at an indent.
func (r *Reader) sequence(n *Node, indent int) {
	r.stands(n, List, Plain, r.line.at)
	for r.plain && r.line.number != 0 && r.indent() == indent && r.dash() {
		r.line.at = r.skip(r.line.at + 1)
		switch {
		case r.text[r.line.at] == '#':
			r.plain = false
		case r.key(r.line.at) >= 0:
			r.mapping(r.below(n), r.indent())
		default:
			r.whole(r.below(n), r.line.at, indent)
		}
	}
	if r.deeper(indent) {
		r.plain = false
	}
}

func (r *Reader) skip(at int) int {
	for at < r.line.end && r.text[at] == ' ' {
		at++
	}
	return at
}
