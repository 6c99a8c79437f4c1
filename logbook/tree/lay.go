package tree

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Largest is the size of a record that is read, in bytes. A record is a few kilobytes; what is larger was not
// written by hand.
const Largest = 256 << 10

// Tree is the text of a record with the bytes of everything in it, for those who change it or put two of them
// together: whatever is not asked about can be carried over byte for byte.
type Tree struct {
	Src   []byte
	Lines Lines
	// Root holds the top-level keys in the order of the file; together they cover Front to Close.
	Root *Node
	// Line is that of the opening dashes, from 1: the lines of nodes count on from there.
	Line int
	// Front, Close and Body are the offsets of the first byte behind the opening dashes' line, of the closing
	// dashes' line and behind it.
	Front, Close, Body int
	// Fenced says that the front matter stands between two lines of dashes. Of a text without them all is taken for
	// front matter by its lines.
	Fenced bool
	// Doubt says in words why the keys and values cannot all be told; empty where they can.
	Doubt string
}

// Spans are the bytes of a node, as offsets in the file. In block style they are, in this order: the remarks above
// it, from From; the key or the dash, from KeyAt to KeyEnd, behind its colon; the value, from ValueAt to ValueEnd;
// and up to To the rest of the line and whatever stands below it before the next entry. Inside brackets a node is
// its key and value alone, and the commas stand between the nodes.
type Spans struct{ From, KeyAt, KeyEnd, ValueAt, ValueEnd, To int }

// Of takes a file apart, broken or not; tell is that of [Reader.ReadBroken].
func Of(src []byte, tell func(Trouble) (line int)) *Tree {
	t := &Tree{Src: src, Lines: LinesOf(src), Root: &Node{Kind: Group}, Close: len(src), Body: len(src)}
	if !utf8.Valid(src) || len(src) > Largest {
		t.Front, t.Close, t.Body = 0, 0, 0
		t.Doubt = "it is not UTF-8 with ordinary line ends"
		if len(src) > Largest {
			t.Doubt = "it has no front matter that can be read"
		}
		return t
	}
	s := &layer{Tree: t}
	t.Front = t.Lines.Start(1)
	text := PlainEnds(string(src[t.Front:]))
	parts, err := Split(text, func(front string) { s.read(front, tell) })
	switch {
	case err != nil:
		s.doubt("it has no front matter that can be read")
		if first := t.Lines.Text(1); strings.TrimSpace(first) == "---" {
			s.Line, t.Front = 1, t.Lines.Start(2)
		}
		s.lines = t.Lines.Count() - s.Line
		s.unread(anyLine)
	case parts.BodyLine-2 < parts.Line || s.word(parts.Line) != "---" || s.word(parts.BodyLine-1) != "---":
		s.doubt("the dashes around its front matter cannot be told")
		fallthrough
	default:
		t.Fenced, s.Line = true, parts.Line
		t.Front, t.Close, t.Body = t.Lines.Start(parts.Line+1), t.Lines.Start(parts.BodyLine-1), t.Lines.Start(parts.BodyLine)
		if t.Close < t.Front { // the closing dashes are said to be above the opening ones
			t.Close = t.Front
		}
		t.Body = max(t.Body, t.Close)
		s.lines = max(parts.BodyLine-2-parts.Line, 0)
		s.told()
	}
	slices.SortStableFunc(t.Root.Below, func(a, b *Node) int { return a.KeyLine - b.KeyLine })
	t.Root.Spans = Spans{t.Front, t.Front, t.Front, t.Front, t.Close, t.Close}
	if err := s.block(t.Root, t.Front, t.Close); err != nil {
		s.doubt("%v", err)
		t.Root.Below = nil
		s.unread(anyLine)
		if err := s.block(t.Root, t.Front, t.Close); err != nil {
			panic(err) // lines have their bytes
		}
	}
	return t
}

// layer finds the bytes of the nodes.
type layer struct {
	*Tree
	root  *Node        // as it was read
	left  map[int]bool // the lines of the front matter that could not be read
	lines int          // between the dashes

	lastLine, lastColumn, lastAt int // the place that was found last
}

func (s *layer) doubt(format string, a ...any) {
	if s.Doubt == "" {
		s.Doubt = fmt.Sprintf(format, a...)
	}
}

func (s *layer) word(line int) string { return strings.TrimSpace(s.Lines.Text(line)) }

// read reads the front matter.
func (s *layer) read(front string, tell func(Trouble) int) {
	var ok bool
	r := new(Reader)
	if s.root, ok = r.Read(front); ok {
		return
	}
	s.root = r.ReadBroken(front, func(t Trouble) int {
		s.doubt("its front matter is not YAML")
		return tell(t)
	})
	s.left = r.left
}

// told takes over what was read of the front matter, and by its lines what was not.
func (s *layer) told() {
	switch {
	case strings.ContainsAny(string(s.Src[s.Front:s.Close]), "\u0085\u2028\u2029\ufeff"):
		s.doubt("its front matter holds unusual line ends")
	case s.root == nil || s.root.Kind != Group || s.root.Style == Brackets || len(s.root.Below) == 0 || s.root.Odd != nil:
		s.doubt("its front matter is not one key a line")
	default:
		s.Root = s.root
		s.unread(func(line int) bool { return s.left[line] })
		return
	}
	s.unread(anyLine)
}

func anyLine(int) bool { return true }

// unread adds nodes for lines of the front matter that could not be read, as far as they can be told by the lines
// alone: a key further in than one above stands below it.
func (s *layer) unread(is func(line int) bool) {
	above := []*Node{s.Root}
	for line := 1; line <= s.lines; line++ {
		text := s.Lines.Text(line + s.Line)
		if !is(line) {
			if strings.TrimSpace(text) != "" { // it was read: what comes behind it does not stand below what came before
				above = above[:1]
			}
			continue
		}
		l := LineOf(text)
		lead := PlainIndent.Replace(l.Lead)
		if l.Key == "" || !l.Colon && lead != "" {
			continue
		}
		n := &Node{Key: l.Key, Kind: Unread, Value: l.Rest, KeyLine: line, KeyColumn: utf8.RuneCountInString(lead) + 1}
		n.Line, n.Column = line, n.KeyColumn+utf8.RuneCountInString(text[len(l.Lead):len(text)-len(l.Rest)])
		for above[len(above)-1].KeyColumn >= n.KeyColumn { // the root's is 0
			above = above[:len(above)-1]
		}
		n.KeyAt = s.Lines.Start(line+s.Line) + len(l.Lead)
		n.ValueEnd = n.KeyAt - len(l.Lead) + len(strings.TrimRight(text, " \t"))
		n.ValueAt = n.ValueEnd - len(l.Rest)
		n.KeyEnd = n.ValueAt - len(l.Gap)
		parent := above[len(above)-1]
		parent.Below = append(parent.Below, n)
		above = append(above, n)
	}
}

// at is the offset of a place in the front matter.
func (s *layer) at(line, column int) (int, error) {
	line += s.Line
	if line <= s.Line || !s.Lines.Has(line) {
		return 0, fmt.Errorf("a place in its front matter cannot be told")
	}
	from, passed := s.Lines.Start(line), 1
	if line == s.lastLine && column >= s.lastColumn { // on from the last one: a line may be as long as a file
		from, passed = s.lastAt, s.lastColumn
	}
	to := min(s.Lines.Start(line+1), s.Close)
	if from > to {
		return 0, fmt.Errorf("a place behind its front matter cannot be told")
	}
	at, ok := Passed(s.Src[from:to], column-passed)
	if !ok {
		return 0, fmt.Errorf("a place in line %d cannot be told", line)
	}
	s.lastLine, s.lastColumn, s.lastAt = line, max(column, 1), from+at
	return from + at, nil
}

// lineStart and lineEnd are the offsets at and behind the line of the front matter that holds an offset.
func (s *layer) lineStart(at int) int { return s.Lines.Start(s.Lines.Of(at)) }
func (s *layer) lineEnd(at int) int   { return min(s.Lines.Start(s.Lines.Of(at)+1), s.Close) }

// block finds the entries of a group or list in block style that covers from..to.
func (s *layer) block(n *Node, from, to int) error {
	seen := map[string]bool{}
	for i, p := range n.Below {
		if n.Kind == List || p.Kind == Unread {
			continue
		}
		if p.OddKey != nil || p.Key == "" {
			return fmt.Errorf("line %d of it repeats a key, or holds a key that is none", p.KeyLine+s.Line)
		}
		if seen[p.Key] {
			s.doubt("line %d of it repeats a key, or holds a key that is none", p.KeyLine+s.Line)
		}
		seen[p.Key] = true
		var err error
		if p.KeyAt, err = s.at(p.KeyLine, p.KeyColumn); err != nil {
			return err
		}
		if (i > 0 || p.KeyAt != from) && (len(bytes.TrimSpace(s.Src[s.lineStart(p.KeyAt):p.KeyAt])) > 0 ||
			p.KeyAt < from || p.KeyAt >= to) {
			return fmt.Errorf("line %d of it does not begin with its key", p.KeyLine+s.Line)
		}
	}
	if n.Kind == List {
		if err := s.dashes(n, from, to); err != nil {
			return err
		}
	}
	for i, p := range n.Below {
		p.From, p.To = from, to
		if i > 0 {
			p.From = s.Above(p)
			n.Below[i-1].To = p.From
		}
	}
	for _, p := range n.Below {
		if err := s.fill(p, n.Kind == List); err != nil {
			return err
		}
	}
	return nil
}

// dashes finds the dash of each item: the one that opens its line, in the column of the list.
func (s *layer) dashes(n *Node, from, to int) error {
	column := strings.Repeat(" ", n.Column-1)
	at, i := from, 0
	for at < to {
		start := s.lineStart(at)
		line := s.Src[start:s.lineEnd(at)]
		first := at == from && at > start && s.Src[at] == '-' // a list that begins behind a dash
		if first || bytes.HasPrefix(line, []byte(column+"-")) && len(line) > len(column)+1 &&
			strings.IndexByte(" \r\n", line[len(column)+1]) >= 0 {
			if i == len(n.Below) {
				return fmt.Errorf("the items of a list in it cannot be told apart")
			}
			n.Below[i].KeyAt = start + len(column)
			if first {
				n.Below[i].KeyAt = at
			}
			i++
		}
		at = s.lineEnd(at)
	}
	if i != len(n.Below) {
		return fmt.Errorf("the items of a list in it cannot be told apart")
	}
	return nil
}

// Above is where the remarks directly above an entry in block style begin, which stand no deeper than it; its line
// where it has none.
func (t *Tree) Above(n *Node) int {
	line := t.Lines.Of(n.KeyAt)
	depth := n.KeyAt - t.Lines.Start(line)
	for t.Lines.Start(line) > t.Front {
		remark := t.Lines.Text(line - 1)
		hash := len(remark) - len(strings.TrimLeft(remark, " "))
		if hash == len(remark) || remark[hash] != '#' || hash > depth {
			break
		}
		line--
	}
	return t.Lines.Start(line)
}

// fill finds the value of an entry in block style. What cannot be told below a key is vague.
func (s *layer) fill(p *Node, dash bool) error {
	if p.Kind == Unread {
		return s.block(p, p.ValueEnd, p.To)
	}
	p.KeyEnd = p.KeyAt + 1 // behind the dash
	if !dash {
		var err error
		if p.KeyEnd, err = s.colon(p.KeyAt, p.Key); err != nil {
			return err
		}
	}
	if err := s.value(p); err != nil {
		s.doubt("%v", err)
		p.Vague, p.ValueAt, p.ValueEnd = true, p.KeyEnd, max(p.To, p.KeyEnd)
	}
	return nil
}

// colon is the offset behind the colon of a key.
func (s *layer) colon(at int, key string) (int, error) {
	end := at + len(key)
	switch {
	case s.Src[at] == '"' || s.Src[at] == '\'':
		end = s.quoted(at)
	case !bytes.HasPrefix(s.Src[at:], []byte(key)):
		return 0, fmt.Errorf("the key %q in it is written in an unusual way", key)
	}
	for end < s.Close && s.Src[end] == ' ' {
		end++
	}
	if end >= s.Close || s.Src[end] != ':' {
		return 0, fmt.Errorf("the key %q in it is written in an unusual way", key)
	}
	return end + 1, nil
}

// quoted is the offset behind a quoted text.
func (s *layer) quoted(at int) int {
	q := s.Src[at]
	for i := at + 1; i < s.Close; i++ {
		switch {
		case q == '"' && s.Src[i] == '\\':
			i++
		case s.Src[i] == q && q == '\'' && i+1 < s.Close && s.Src[i+1] == q:
			i++
		case s.Src[i] == q:
			return i + 1
		}
	}
	return s.Close
}

// value finds the value behind the key or dash of an entry.
func (s *layer) value(p *Node) (err error) {
	p.ValueAt, p.ValueEnd = p.KeyEnd, p.KeyEnd
	if p.Odd != nil {
		return fmt.Errorf("line %d of it holds an anchor or a tag", p.Line+s.Line)
	}
	if p.Kind == Value {
		if p.Null && p.Value == "" {
			return nil
		}
		if p.ValueAt, err = s.at(p.Line, p.Column); err != nil {
			return err
		}
		if p.ValueEnd = s.scalarEnd(p); p.ValueAt < p.KeyEnd || p.ValueEnd > p.To || p.ValueEnd < p.ValueAt {
			return fmt.Errorf("the value in line %d of it cannot be told", p.Line+s.Line)
		}
		return nil
	}
	first, err := s.at(p.Line, p.Column)
	if err != nil {
		return err
	}
	if p.Style == Brackets {
		p.ValueAt = first
		return s.flow(p)
	}
	p.ValueEnd = p.To
	p.ValueAt = s.lineEnd(p.KeyEnd)
	if s.lineStart(first) == s.lineStart(p.KeyAt) {
		p.ValueAt = first
	}
	if p.ValueAt > p.To {
		return fmt.Errorf("the block in line %d of it cannot be told", p.Line+s.Line)
	}
	return s.block(p, p.ValueAt, p.To)
}

// scalarEnd is the offset behind a single value.
func (s *layer) scalarEnd(p *Node) int {
	switch {
	case p.Style == Single || p.Style == Double:
		return s.quoted(p.ValueAt)
	case p.Style == Literal:
		return p.To
	case bytes.HasPrefix(s.Src[p.ValueAt:], []byte(p.Value)) && !strings.Contains(p.Value, "\n"):
		return p.ValueAt + len(p.Value)
	}
	// Over several lines: to the last one that is not a remark.
	end := p.ValueAt
	for at := p.ValueAt; at < p.To; at = s.lineEnd(at) {
		line := bytes.TrimSpace(s.Src[at:s.lineEnd(at)])
		if at > p.ValueAt && bytes.HasPrefix(line, []byte("#")) {
			break
		}
		if len(line) > 0 {
			end = at + len(bytes.TrimRight(s.Src[at:s.lineEnd(at)], " \r\n"))
		}
	}
	return end
}

// flow finds the entries of a group or list in brackets.
func (s *layer) flow(p *Node) error {
	trouble := fmt.Errorf("the brackets in line %d of it cannot be told", p.Line+s.Line)
	spans, end := s.commas(p.ValueAt)
	for _, one := range p.Below {
		halves := 1
		if one.cut {
			halves = 2
		}
		if len(spans) < halves {
			return trouble
		}
		at := spans[0][0]
		one.Spans = Spans{From: at, KeyAt: at, KeyEnd: at, To: spans[halves-1][1]}
		spans = spans[halves:]
	}
	if p.ValueEnd = end; end > p.To || len(spans) > 0 {
		return trouble
	}
	seen := map[string]bool{}
	for _, one := range p.Below {
		if p.Kind == Group {
			at, err := s.at(one.KeyLine, one.KeyColumn)
			if err != nil || at != one.From || one.OddKey != nil || one.Key == "" {
				return trouble
			}
			if seen[one.Key] {
				s.doubt("%v", trouble)
			}
			seen[one.Key] = true
			if one.KeyEnd, err = s.colon(at, one.Key); err != nil {
				if !one.Null || one.Value != "" {
					return err
				}
				one.KeyEnd = one.To // a key alone
			}
		}
		if err := s.value(one); err != nil {
			return err
		}
		if one.Kind == Value && one.ValueEnd != one.To {
			if !one.Null || one.Value != "" {
				return trouble
			}
			one.ValueAt, one.ValueEnd = one.To, one.To
		}
	}
	return nil
}

// commas splits what stands in brackets at its commas, and gives the offset behind the closing one. Each span is free
// of spaces around it; an empty one behind the last comma is none.
func (s *layer) commas(open int) (spans [][2]int, end int) {
	depth, start, last, token, quoted := 0, -1, -1, true, -1
	for i := open; i < s.Close; i++ {
		c := s.Src[i]
		space := c == ' ' || c == '\n' || c == '\r'
		if c == '#' && (s.Src[i-1] == ' ' || s.Src[i-1] == '\n') {
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
			token = c == ':' && i+1 < s.Close && (s.Src[i+1] == ' ' || s.Src[i+1] == '\n' || i == quoted)
			if depth == 1 && start < 0 {
				start = i
			}
		}
		last = i + 1
	}
	return spans, s.Close + 1
}
