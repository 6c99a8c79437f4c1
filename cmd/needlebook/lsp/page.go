package lsp

import (
	"encoding/csv"
	"slices"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/tree"
)

// page is one file as the editor shows it, with the book around it as of the last turn.
type page struct {
	s     *shelf
	name  string
	text  string
	lines []string
	tree  *tree.Tree       // of a record
	kind  logbook.FileKind // without fields where the file is of no kind
	book  *logbook.Book    // nil before the first turn
}

func (s *shelf) at(name string) *page {
	text := s.text(name)
	kind, _ := logbook.KindOf(name)
	p := &page{s: s, name: name, text: text, lines: textLines(text), kind: kind}
	if !kind.Table {
		p.tree = logbook.TreeOf([]byte(text))
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	p.book = s.book
	return p
}

func (p *page) line(n int) string {
	if n < 0 || n >= len(p.lines) {
		return ""
	}
	return p.lines[n]
}

// record is the overhaul on the page, from the text as it stands; nil where the page is none.
func (p *page) record() *logbook.Overhaul {
	if p.kind.Name != "overhaul" {
		return nil
	}
	o, _ := logbook.ReadOverhaul(p.name, []byte(p.text))
	return o
}

// sheet is what the book knows beside the blanks of the overhaul on the page; nil where it is none.
func (p *page) sheet() *draft.Sheet {
	if o := p.record(); o != nil && p.book != nil {
		return draft.Of(p.book, o)
	}
	return nil
}

// keyAt is the key at a position with those above it, and the text of its value; of a table the column's name and the
// cell.
func (p *page) keyAt(at position) (key, written string) {
	if p.kind.Table {
		return p.cellAt(at)
	}
	column := -1
	line := p.line(at.Line)
	for _, v := range logbook.Values([]byte(p.text)) {
		if v.Line-1 != at.Line || v.Path == "remarks" {
			continue
		}
		before, _ := tree.Passed([]byte(line), v.Column-1)
		if start := units(line[:before]); key == "" || start <= at.Character && start > column {
			key, written, column = v.Path, v.Written, start
		}
	}
	if key == "" { // a key whose value stands below it, or what is not YAML at the moment
		for _, n := range p.tree.On(at.Line + 1) {
			key = join(key, n.Key)
		}
	}
	if i := strings.LastIndex(key, "["); i >= 0 && strings.HasSuffix(key, "]") {
		key = key[:i]
	}
	return key, written
}

// cellAt is the cell of a table at a position: the name of its column, and its text.
func (p *page) cellAt(at position) (column, written string) {
	before := cells(upTo(p.line(at.Line), at.Character))
	head, row := cells(p.head()), cells(p.line(at.Line))
	n := max(len(before)-1, 0)
	if n < len(head) {
		column = strings.TrimSpace(head[n])
	}
	if n < len(row) {
		written = strings.TrimSpace(row[n])
	}
	return column, written
}

// head is the line of a table that names the columns: the first that is no remark.
func (p *page) head() string {
	for _, l := range p.lines {
		if l != "" && !strings.HasPrefix(l, "#") {
			return l
		}
	}
	return ""
}

// cells takes a line of a table apart. A quote that is still open belongs to the last cell.
func cells(line string) []string {
	r := csv.NewReader(strings.NewReader(line + "\n"))
	r.FieldsPerRecord, r.LazyQuotes = -1, true
	if row, err := r.Read(); err == nil {
		return row
	}
	return strings.Split(line, ",")
}

// blockAt is the key of the block in which a key would stand behind what is before it on a line.
func (p *page) blockAt(line int, before string) string {
	return strings.Join(p.tree.Under(line+1, utf8.RuneCountInString(tree.PlainIndent.Replace(before))+1), ".")
}

func join(above, key string) string {
	if above == "" || key == "" {
		return above + key
	}
	return above + "." + key
}

// outline lists the blocks of a file with their keys, and the rows of a table by their first cells.
func (p *page) outline() []symbol {
	symbols := []symbol{}
	whole := func(n int) span { return span{position{n, 0}, position{n, units(p.line(n))}} }
	if p.kind.Table {
		for i, l := range p.lines {
			if row := cells(l); l != "" && !strings.HasPrefix(l, "#") && l != p.head() {
				symbols = append(symbols, symbol{Name: row[0], Detail: strings.Join(row[1:], ", "), Kind: 20, Range: whole(i),
					Selected: whole(i)})
			}
		}
		return symbols
	}
	for _, top := range p.tree.Root.Below {
		f, _ := p.kind.Field(top.Key)
		at := whole(top.KeyLine + p.tree.Line - 1)
		block := symbol{Name: top.Key, Detail: f.Doc, Kind: 20, Range: at, Selected: at}
		p.below(&block, top, whole)
		symbols = append(symbols, block)
	}
	return symbols
}

// below adds the keys that stand on lines of their own below one.
func (p *page) below(block *symbol, n *tree.Node, whole func(line int) span) {
	if n.Style == tree.Brackets {
		return
	}
	for _, e := range n.Below {
		if e.Key != "" {
			line := e.KeyLine + p.tree.Line - 1
			block.Children = append(block.Children, symbol{Name: e.Key, Detail: tree.LineOf(p.line(line)).Rest, Kind: 20,
				Range: whole(line), Selected: whole(line)})
			block.Range.End = whole(line).End
		}
		p.below(block, e, whole)
	}
}

// names are the fields to choose from where a key or a column is being typed.
func names(fields []logbook.Field) []item {
	items := []item{}
	for _, f := range fields {
		items = append(items, item{f.Key, f.Doc})
	}
	return items
}

// offered adds items whose label is not there yet.
func offered(items []item, more ...item) []item {
	for _, m := range more {
		if !slices.ContainsFunc(items, func(i item) bool { return i.Label == m.Label }) {
			items = append(items, m)
		}
	}
	return items
}
