package logbook

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Outline is the front matter of a Markdown file taken apart with the bytes of every entry, for those who put two texts
// of one record together: whatever is not asked about can be carried over byte for byte.
type Outline struct {
	Entries  []Entry // the top-level keys, in the order of the file; together they cover From to To
	From, To int     // offsets of the first byte behind the opening dashes' line, and of the closing dashes' line
	Body     int     // offset of the first byte behind the closing dashes' line
}

// Entry is one key with its value, or one item of a list. In block style its bytes are, in this order: the remarks
// above it, from From; the key or the dash, from KeyAt; the value, from ValueAt; and from ValueEnd to To the rest of
// the line and whatever stands below it before the next entry. Inside brackets an entry is its key and value alone, and
// the commas stand between the entries.
type Entry struct {
	Key     string // empty for an item of a list
	Kind    EntryKind
	Flow    bool   // a group or list in brackets
	Column  int    // column of the keys or dashes of a group or list in block style, from 1
	Written string // of a single value, as the reader takes it
	Null    bool   // of a single value: nothing stands there

	From, KeyAt, ValueAt, ValueEnd, To int

	Entries []Entry // of a group or list
}

// EntryKind is what stands at a key.
type EntryKind uint8

// The kinds of entries.
const (
	EntryValue EntryKind = iota // a single value
	EntryGroup                  // a group of keys
	EntryList
)

// OutlineOf takes the front matter of a file apart. Nil, with the reason in words, means that it cannot be read as keys
// and values without doubt: then only its lines can be compared.
func OutlineOf(src []byte) (o *Outline, why string) {
	if !utf8.Valid(src) || bytes.ContainsRune(bytes.ReplaceAll(src, []byte("\r\n"), nil), '\r') {
		return nil, "it is not UTF-8 with ordinary line ends"
	}
	d, ok := open("", src)
	if !ok {
		return nil, "it has no front matter that can be read"
	}
	s := &outliner{src: src, starts: []int{0}}
	for i, b := range src {
		if b == '\n' {
			s.starts = append(s.starts, i+1)
		}
	}
	if d.line < 1 || d.bodyLine-2 < d.line || d.bodyLine-1 > len(s.starts) || s.word(d.line) != "---" ||
		s.word(d.bodyLine-1) != "---" {
		return nil, "the dashes around its front matter cannot be told"
	}
	o = &Outline{From: s.starts[d.line], To: s.starts[d.bodyLine-2], Body: len(src)}
	if d.bodyLine-1 < len(s.starts) {
		o.Body = s.starts[d.bodyLine-1]
	}
	s.line, s.end = d.line, o.To
	front := src[o.From:o.To]
	if bytes.ContainsAny(front, "\u0085\u2028\u2029\ufeff") {
		return nil, "its front matter holds unusual line ends"
	}
	var root yaml.Node
	if err := yaml.Load([]byte(d.front), &root); err != nil {
		return nil, "its front matter is not YAML"
	}
	if root.Kind == yaml.DocumentNode && len(root.Content) == 1 {
		root = *root.Content[0]
	}
	if root.Kind != yaml.MappingNode || root.Style&yaml.FlowStyle != 0 || len(root.Content) == 0 {
		return nil, "its front matter is not one key a line"
	}
	entries, err := s.block(&root, o.From, o.To)
	if err != nil {
		return nil, err.Error()
	}
	o.Entries = entries
	return o, ""
}

// outliner finds the bytes of the nodes that the YAML reader gives.
type outliner struct {
	src    []byte
	starts []int // of the lines
	line   int   // line of the opening dashes
	end    int   // of the front matter

	lastLine, lastColumn, lastAt int // the place that was found last
}

// word is a line of the file without spaces around it.
func (s *outliner) word(line int) string {
	end := len(s.src)
	if line < len(s.starts) {
		end = s.starts[line]
	}
	return strings.TrimSpace(strings.TrimPrefix(string(s.src[s.starts[line-1]:end]), "\ufeff"))
}

// at is the offset of a node.
func (s *outliner) at(n *yaml.Node) (int, error) {
	line := n.Line + s.line
	if n.Line < 1 || line > len(s.starts) {
		return 0, fmt.Errorf("a place in its front matter cannot be told")
	}
	if line != s.lastLine || n.Column < s.lastColumn { // else on from the last one: a line may be as long as a file
		s.lastLine, s.lastColumn, s.lastAt = line, 1, s.starts[line-1]
	}
	at := s.lastAt
	for c := s.lastColumn; c < n.Column; c++ {
		if at >= s.end || s.src[at] == '\n' {
			return 0, fmt.Errorf("a place in line %d cannot be told", line)
		}
		_, size := utf8.DecodeRune(s.src[at:])
		at += size
	}
	s.lastColumn, s.lastAt = max(n.Column, 1), at
	return at, nil
}

func (s *outliner) lineStart(at int) int { return bytes.LastIndexByte(s.src[:at], '\n') + 1 }

// lineEnd is the offset behind the line that holds an offset.
func (s *outliner) lineEnd(at int) int {
	if i := bytes.IndexByte(s.src[at:s.end], '\n'); i >= 0 {
		return at + i + 1
	}
	return s.end
}

// plain says that a node is one that a record may hold.
func plain(n *yaml.Node) bool {
	return n.Kind != yaml.AliasNode && n.Anchor == "" && n.Style&yaml.TaggedStyle == 0 && n.Tag != "!!merge"
}

// block finds the entries of a group or list in block style that covers from..to.
func (s *outliner) block(n *yaml.Node, from, to int) ([]Entry, error) {
	step := 1
	if n.Kind == yaml.MappingNode {
		step = 2
	}
	entries := make([]Entry, len(n.Content)/step)
	values := make([]*yaml.Node, len(entries))
	seen := map[string]bool{}
	for i := range entries {
		p := &entries[i]
		values[i] = n.Content[i*step+step-1]
		if !plain(values[i]) {
			return nil, fmt.Errorf("line %d of it holds an anchor or a tag", values[i].Line+s.line)
		}
		if n.Kind == yaml.SequenceNode {
			continue
		}
		key := n.Content[i*step]
		if key.Kind != yaml.ScalarNode || !plain(key) || key.Value == "" || seen[key.Value] {
			return nil, fmt.Errorf("line %d of it repeats a key, or holds a key that is none", key.Line+s.line)
		}
		seen[key.Value] = true
		p.Key = key.Value
		var err error
		if p.KeyAt, err = s.at(key); err != nil {
			return nil, err
		}
		if i > 0 || p.KeyAt != from {
			if len(bytes.TrimSpace(s.src[s.lineStart(p.KeyAt):p.KeyAt])) > 0 || p.KeyAt < from || p.KeyAt >= to {
				return nil, fmt.Errorf("line %d of it does not begin with its key", key.Line+s.line)
			}
		}
	}
	if n.Kind == yaml.SequenceNode {
		if err := s.dashes(n, entries, from, to); err != nil {
			return nil, err
		}
	}
	for i := range entries {
		p := &entries[i]
		p.From, p.To = from, to
		if i > 0 {
			p.From = s.above(p.KeyAt, entries[i-1].KeyAt)
			entries[i-1].To = p.From
		}
	}
	for i := range entries {
		if err := s.fill(&entries[i], values[i], n.Kind == yaml.SequenceNode); err != nil {
			return nil, err
		}
	}
	return entries, nil
}

// dashes finds the dash of each item: the one that opens its line, in the column of the list.
func (s *outliner) dashes(n *yaml.Node, entries []Entry, from, to int) error {
	column := strings.Repeat(" ", n.Column-1)
	at, i := from, 0
	for at < to {
		line := s.src[s.lineStart(at):s.lineEnd(at)]
		first := at == from && at > s.lineStart(at) && s.src[at] == '-' // a list that begins behind a dash
		if first || bytes.HasPrefix(line, []byte(column+"-")) && len(line) > len(column)+1 &&
			strings.IndexByte(" \r\n", line[len(column)+1]) >= 0 {
			if i == len(entries) {
				return fmt.Errorf("the items of a list in it cannot be told apart")
			}
			entries[i].KeyAt = s.lineStart(at) + len(column)
			if first {
				entries[i].KeyAt = at
			}
			i++
		}
		at = s.lineEnd(at)
	}
	if i != len(entries) {
		return fmt.Errorf("the items of a list in it cannot be told apart")
	}
	return nil
}

// above is where an entry begins whose key stands at an offset: with the remarks directly above it, which stand no
// deeper than it.
func (s *outliner) above(key, before int) int {
	start := s.lineStart(key)
	depth := key - start
	for start > before {
		prev := s.lineStart(start - 1)
		line := s.src[prev:start]
		hash := len(line) - len(bytes.TrimLeft(line, " "))
		if prev <= before || hash >= len(line) || line[hash] != '#' || hash > depth {
			break
		}
		start = prev
	}
	return start
}

// fill finds the value of an entry in block style.
func (s *outliner) fill(p *Entry, n *yaml.Node, dash bool) error {
	headEnd := p.KeyAt + 1 // behind the dash
	if !dash {
		var err error
		if headEnd, err = s.colon(p.KeyAt, p.Key); err != nil {
			return err
		}
	}
	return s.value(p, n, headEnd)
}

// colon is the offset behind the colon of a key.
func (s *outliner) colon(at int, key string) (int, error) {
	end := at + len(key)
	switch {
	case s.src[at] == '"' || s.src[at] == '\'':
		end = s.quoted(at)
	case !bytes.HasPrefix(s.src[at:], []byte(key)):
		return 0, fmt.Errorf("the key %q in it is written in an unusual way", key)
	}
	for end < s.end && s.src[end] == ' ' {
		end++
	}
	if end >= s.end || s.src[end] != ':' {
		return 0, fmt.Errorf("the key %q in it is written in an unusual way", key)
	}
	return end + 1, nil
}

// quoted is the offset behind a quoted text.
func (s *outliner) quoted(at int) int {
	q := s.src[at]
	for i := at + 1; i < s.end; i++ {
		switch {
		case q == '"' && s.src[i] == '\\':
			i++
		case s.src[i] == q && q == '\'' && i+1 < s.end && s.src[i+1] == q:
			i++
		case s.src[i] == q:
			return i + 1
		}
	}
	return s.end
}

// value fills in the value of an entry whose key or dash ends at headEnd.
func (s *outliner) value(p *Entry, n *yaml.Node, headEnd int) (err error) {
	p.ValueAt, p.ValueEnd = headEnd, headEnd
	if n.Kind == yaml.ScalarNode {
		p.Written, p.Null = n.Value, n.Tag == "!!null"
		if p.Null && n.Value == "" {
			return nil
		}
		if p.ValueAt, err = s.at(n); err == nil {
			p.ValueEnd = s.scalarEnd(p, n)
		}
		if err == nil && (p.ValueAt < headEnd || p.ValueEnd > p.To || p.ValueEnd < p.ValueAt) {
			err = fmt.Errorf("the value in line %d of it cannot be told", n.Line+s.line)
		}
		return err
	}
	p.Kind = EntryGroup
	if n.Kind == yaml.SequenceNode {
		p.Kind = EntryList
	}
	if n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0 {
		p.Flow = true
		if p.ValueAt, err = s.at(n); err != nil {
			return err
		}
		return s.flow(p, n)
	}
	p.Column = n.Column
	first, err := s.at(n)
	if err != nil {
		return err
	}
	p.ValueEnd = p.To
	p.ValueAt = s.lineEnd(headEnd)
	if s.lineStart(first) == s.lineStart(p.KeyAt) {
		p.ValueAt = first
	}
	if p.ValueAt > p.To {
		return fmt.Errorf("the block in line %d of it cannot be told", n.Line+s.line)
	}
	p.Entries, err = s.block(n, p.ValueAt, p.To)
	return err
}

// scalarEnd is the offset behind a single value.
func (s *outliner) scalarEnd(p *Entry, n *yaml.Node) int {
	switch {
	case n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		return s.quoted(p.ValueAt)
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return p.To
	case bytes.HasPrefix(s.src[p.ValueAt:], []byte(n.Value)) && !strings.Contains(n.Value, "\n"):
		return p.ValueAt + len(n.Value)
	}
	// Over several lines: to the last one that is not a remark.
	end := p.ValueAt
	for at := p.ValueAt; at < p.To; at = s.lineEnd(at) {
		line := bytes.TrimSpace(s.src[at:s.lineEnd(at)])
		if at > p.ValueAt && bytes.HasPrefix(line, []byte("#")) {
			break
		}
		if len(line) > 0 {
			end = at + len(bytes.TrimRight(s.src[at:s.lineEnd(at)], " \r\n"))
		}
	}
	return end
}

// flow finds the entries of a group or list in brackets.
func (s *outliner) flow(p *Entry, n *yaml.Node) error {
	trouble := fmt.Errorf("the brackets in line %d of it cannot be told", n.Line+s.line)
	spans, end := s.commas(p.ValueAt)
	if p.ValueEnd = end; end > p.To {
		return trouble
	}
	step := 1
	if n.Kind == yaml.MappingNode {
		step = 2
	}
	if len(spans) != len(n.Content)/step {
		return trouble
	}
	seen := map[string]bool{}
	for i, span := range spans {
		one := Entry{From: span[0], KeyAt: span[0], To: span[1]}
		v := n.Content[i*step+step-1]
		if !plain(v) {
			return fmt.Errorf("line %d of it holds an anchor or a tag", v.Line+s.line)
		}
		headEnd := span[0]
		if step == 2 {
			key := n.Content[i*step]
			at, err := s.at(key)
			if err != nil || at != span[0] || key.Kind != yaml.ScalarNode || !plain(key) || key.Value == "" || seen[key.Value] {
				return trouble
			}
			seen[key.Value] = true
			one.Key = key.Value
			if headEnd, err = s.colon(at, key.Value); err != nil {
				if v.Tag != "!!null" || v.Value != "" {
					return err
				}
				headEnd = span[1] // a key alone
			}
		}
		if err := s.value(&one, v, headEnd); err != nil {
			return err
		}
		if one.Kind == EntryValue && one.ValueEnd != one.To {
			if one.Null && one.Written == "" {
				one.ValueAt, one.ValueEnd = one.To, one.To
			} else {
				return trouble
			}
		}
		p.Entries = append(p.Entries, one)
	}
	return nil
}

// commas splits what stands in brackets at its commas, and gives the offset behind the closing one. Each span is free
// of spaces around it; an empty one behind the last comma is none.
func (s *outliner) commas(open int) (spans [][2]int, end int) {
	depth, start, last, token, quoted := 0, -1, -1, true, -1
	for i := open; i < s.end; i++ {
		c := s.src[i]
		space := c == ' ' || c == '\n' || c == '\r'
		if c == '#' && (s.src[i-1] == ' ' || s.src[i-1] == '\n') {
			i = s.lineEnd(i) - 1
			continue
		}
		if depth == 1 && (c == ',' || c == '}' || c == ']') {
			if start >= 0 {
				spans = append(spans, [2]int{start, last})
			}
			start = -1
		}
		switch {
		case (c == '"' || c == '\'') && token:
			if depth == 1 && start < 0 {
				start = i
			}
			i = s.quoted(i) - 1
			last, token, quoted = i+1, false, i+1
			continue
		case c == '{' || c == '[':
			if depth == 1 && start < 0 {
				start = i
			}
			depth++
			token = true
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				return spans, i + 1
			}
			token = false
		case c == ',':
			token = true
			continue
		case space:
			continue
		default:
			token = c == ':' && i+1 < s.end && (s.src[i+1] == ' ' || s.src[i+1] == '\n' || i == quoted)
			if depth == 1 && start < 0 {
				start = i
			}
		}
		last = i + 1
	}
	return spans, s.end + 1
}
