package events

import (
	"bytes"
	"encoding/csv"
	"strings"

	"needlebook/logbook"
)

// cells stands between the cells of a row's text.
const cells = "\x1f"

// Cells are the cells of a row.
func (it *Item) Cells() []string { return strings.Split(it.Text, cells) }

// Table takes a table apart, each item with its bytes, so that they make up the text again, and gives what stands
// between its cells: a comma, or a semicolon where the first row has more of those.
func Table(text []byte) (all []Item, comma rune) {
	comma = ','
	var keys []int
	line, head := 1, false
	for rest := string(text); rest != ""; {
		raw := physical(rest)
		bare := strings.TrimSpace(raw)
		it := Item{Kind: Row, Line: line}
		switch {
		case bare == "" || bare == "\ufeff":
			it.Kind, it.Text = Blank, ""
		case bare[0] == '#':
			it.Kind, it.Text = Remark, bare
		default:
			if !head && strings.Count(raw, ";") > strings.Count(raw, ",") {
				comma = ';'
			}
			row, long := split(rest, comma)
			raw, it.Text = long, strings.Join(row, cells)
			if head {
				it.Key = logbook.RowKey(row, keys)
			} else {
				it.Kind, head = Head, true
				keys = logbook.KeyColumns(row)
			}
		}
		it.Raw, rest = raw, rest[len(raw):]
		line += strings.Count(raw, "\n")
		all = append(all, it)
	}
	return all, comma
}

// physical is the first line of a text, with its end.
func physical(text string) string {
	if i := strings.IndexByte(text, '\n'); i >= 0 {
		return text[:i+1]
	}
	return text
}

// split reads the first row of a text, which goes on over a line end inside of quotes; a quote that nobody closes
// ends with its line.
func split(text string, comma rune) (row []string, raw string) {
	raw = physical(text)
	quotes := strings.Count(raw, `"`)
	if quotes == 0 { // as the reader below has it, which takes 4 kB a row
		row = strings.Split(strings.TrimRight(strings.TrimPrefix(raw, "\ufeff"), "\r\n"), string(comma))
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		return row, raw
	}
	if quotes%2 != 0 {
		if long := quoted(text); long != "" {
			raw = long
		}
	}
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(raw, "\ufeff")))
	r.Comma, r.LazyQuotes, r.FieldsPerRecord, r.TrimLeadingSpace = comma, true, -1, true
	row, err := r.Read()
	if err != nil || r.InputOffset() < int64(len(strings.TrimRight(strings.TrimPrefix(raw, "\ufeff"), "\r\n"))) {
		raw = physical(text)
		row = strings.Split(strings.TrimRight(raw, "\r\n"), string(comma))
	}
	for i := range row {
		row[i] = strings.TrimSpace(strings.ReplaceAll(row[i], "\r\n", "\n"))
	}
	return row, raw
}

// longest bounds how far a cell in quotes may go on.
const longest = 1 << 14

// quoted is the lines of a text up to the one in which its quotes are closed; empty where that is not near.
func quoted(text string) string {
	odd := false
	for i := 0; i < min(len(text), longest); i++ {
		switch {
		case text[i] == '"':
			odd = !odd
		case text[i] == '\n' && !odd:
			return text[:i+1]
		}
	}
	if !odd && len(text) <= longest {
		return text
	}
	return ""
}

// Respelled is a row as a table with another separator writes it.
func (it *Item) Respelled(comma rune) string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = comma
	if err := w.Write(it.Cells()); err != nil {
		return it.Raw
	}
	w.Flush()
	return b.String()
}
