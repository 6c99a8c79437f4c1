package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"needlebook/logbook"
)

// The bounds of a table: far above what paper held, and the same on every machine.
const (
	MaxBytes   = 64 << 20
	maxColumns = 2000
	maxLines   = 200_000
	maxCells   = 4 << 20
)

// Grid is one worksheet, or a text table as a whole.
type Grid struct {
	Name   string // of the worksheet; empty for a text table
	rows   []row
	merged []area // cells that the worksheet shows as one
}

type row struct {
	number int // as a spreadsheet counts them, from 1
	cells  []cell
	more   int // cells in a text table, where they are not as many as in its header
}

// cell is what a cell holds. One that the spreadsheet stores as a day or a number is that day or number, however it is
// shown; a text was typed.
type cell struct {
	text   string
	stored bool
	day    bool
	said   bool // an answer
	struck bool // shown struck through
}

type area struct{ top, left, bottom, right int } // rows as numbered, columns from 0; both ends within

// at is the cell of a column; an empty one where there is none.
func (r row) at(column int) cell {
	if column >= 0 && column < len(r.cells) {
		return r.cells[column]
	}
	return cell{}
}

// filled are the columns of a row that hold something.
func (r row) filled() (columns []int) {
	for i, c := range r.cells {
		if c.text != "" {
			columns = append(columns, i)
		}
	}
	return columns
}

// Read reads a table: a workbook as spreadsheets save it today (xlsx), or a text parted by commas, semicolons or tabs.
// notes say what was read otherwise than the file says it is.
func Read(src []byte) (grids []Grid, notes []string, err error) {
	if len(src) > MaxBytes {
		return nil, nil, fmt.Errorf("the table has %d bytes, at most %d are read: cut it into several", len(src), MaxBytes)
	}
	switch {
	case len(bytes.TrimSpace(src)) == 0:
		err = errors.New("it is empty")
	case bytes.HasPrefix(src, []byte("PK\x03\x04")):
		grids, err = readWorkbook(src)
	case bytes.HasPrefix(src, []byte("\xd0\xcf\x11\xe0")):
		err = errors.New("it is a workbook in an old format or locked by a password: save it as .xlsx or .csv")
	default:
		text, windows, ok := logbook.PlainText(src, MaxBytes)
		if !ok {
			return nil, nil, errors.New("it is no text and no workbook: save it as .xlsx or .csv")
		}
		if windows {
			notes = append(notes, "not in UTF-8, read as Windows-1252")
		}
		var g Grid
		g, err = readText(text)
		grids = []Grid{g}
	}
	if err == nil {
		for _, g := range grids {
			g.spread()
		}
	}
	return grids, notes, err
}

// separator is what parts the cells of a text: what most lines of its beginning have most alike.
func separator(text string) rune {
	best, most := ',', 0
	for _, sep := range []rune{',', ';', '\t'} {
		counts := map[int]int{}
		n := 0
		for line := range strings.Lines(text) {
			if c := strings.Count(line, string(sep)); c > 0 {
				counts[c]++
			}
			if n++; n > 50 {
				break
			}
		}
		alike := 0
		for c, lines := range counts {
			alike = max(alike, lines*lines*c)
		}
		if alike > most {
			best, most = sep, alike
		}
	}
	return best
}

func readText(text string) (g Grid, err error) {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord, r.Comma = -1, separator(text)
	r.TrimLeadingSpace = r.Comma != '\t'
	read, line, number, cells := int64(0), 1, 0, 0 // line is the one after the last row
	for {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			return g, nil
		}
		if err != nil {
			return g, err
		}
		at, _ := r.FieldPos(0)
		number += 1 + at - line // blank lines are rows of a spreadsheet too
		end := r.InputOffset()
		line, read = line+strings.Count(text[read:end], "\n"), end
		if len(fields) > maxColumns {
			return g, fmt.Errorf("the table has %d columns, at most %d are read", len(fields), maxColumns)
		}
		if len(g.rows) > maxLines {
			return g, fmt.Errorf("the table has more than %d lines: cut it into several", maxLines)
		}
		if cells += len(fields); cells > maxCells {
			return g, fmt.Errorf("the table has more than %d cells: cut it into several", maxCells)
		}
		made := row{number: number, more: len(fields)}
		for _, f := range fields {
			made.cells = append(made.cells, cell{text: strings.TrimSpace(f)})
		}
		g.rows = append(g.rows, made)
	}
}

// spread writes what cells that are shown as one say into each row of theirs.
func (g *Grid) spread() {
	at := map[int]*row{}
	for i := range g.rows {
		at[g.rows[i].number] = &g.rows[i]
	}
	for _, m := range g.merged {
		first := at[m.top]
		if first == nil || first.at(m.left).text == "" {
			continue
		}
		for n := m.top + 1; n <= m.bottom && n-m.top <= maxLines; n++ {
			if r := at[n]; r != nil {
				for len(r.cells) <= m.left {
					r.cells = append(r.cells, cell{})
				}
				r.cells[m.left] = first.at(m.left)
			}
		}
	}
}

// letters name a column as a spreadsheet does: A, B … Z, AA.
func letters(column int) string {
	name := ""
	for column++; column > 0; column = (column - 1) / 26 {
		name = string(rune('A'+(column-1)%26)) + name
	}
	return name
}
