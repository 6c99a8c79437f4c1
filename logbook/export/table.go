// Package export turns a book into tables that other programs read: comma-separated values that open right in a
// spreadsheet, and one JSON object a line. A text of the book never becomes a formula there. What a value is worth is
// left to others, who hand their own tables in.
//
// Begin with Table and its methods CSV and JSONLines; JSON writes whatever else is an object.
package export

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"strings"
)

// Column is one column of a table.
type Column struct {
	Name   string // lower case, with the unit at its end where it has one: "counter_h"
	Number bool   // holds numbers with a decimal point, or nothing
	Doc    string
}

// Table is a table to be written. Cells are text as the book has it; an empty cell says that nothing is known.
type Table struct {
	Name, Doc string
	Columns   []Column
	Rows      [][]string // as many cells as columns
}

// Documentation describes the columns, one a line.
func (t Table) Documentation() string {
	var b strings.Builder
	for _, c := range t.Columns {
		kind := "text"
		if c.Number {
			kind = "number"
		}
		b.WriteString(c.Name + "\t" + kind + "\t" + c.Doc + "\n")
	}
	return b.String()
}

// CSV writes the table after RFC 4180, with a header, in UTF-8 with the mark by which spreadsheets know it. A text cell
// that a spreadsheet would take for a formula gets an apostrophe before it; numbers stay numbers, negative ones too.
func (t Table) CSV(w io.Writer) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	header := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		header[i] = c.Name
	}
	if err := out.Write(header); err != nil {
		return err
	}
	for _, row := range t.Rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			if cells[i] = cell; !t.Columns[i].Number || !number(cell) {
				cells[i] = harmless(cell)
			}
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// harmless keeps a text from being worked out by a spreadsheet: OWASP, CSV Injection, with the full-width signs that
// some spreadsheets fold.
func harmless(cell string) string {
	cell = strings.ReplaceAll(cell, "\x00", "\ufffd")
	rest := strings.TrimLeft(cell, " \u00a0\u3000\ufeff")
	if rest == "" {
		return cell
	}
	if first := []rune(rest)[0]; strings.ContainsRune("=+-@\t\r\n\ufffd＝＋－＠|%", first) {
		return "'" + cell
	}
	return cell
}

// number says that a text is a number as JSON writes it, which every spreadsheet reads.
func number(cell string) bool {
	var n json.Number
	d := json.NewDecoder(strings.NewReader(cell))
	d.UseNumber()
	if d.Decode(&n) != nil || d.More() {
		return false
	}
	_, err := d.Token()
	return err == io.EOF && cell != "" && cell[0] != '"'
}

// JSONLines writes one JSON object a line, its members in the order of the columns; null where nothing is known.
func (t Table) JSONLines(w io.Writer) error {
	out := bufio.NewWriter(w)
	for _, row := range t.Rows {
		out.WriteByte('{')
		for i, cell := range row {
			if i > 0 {
				out.WriteByte(',')
			}
			name, err := text(t.Columns[i].Name)
			if err != nil {
				return err
			}
			value := []byte("null")
			switch {
			case cell == "":
			case t.Columns[i].Number && number(cell):
				value = []byte(cell)
			default:
				if value, err = text(cell); err != nil {
					return err
				}
			}
			out.Write(name)
			out.WriteByte(':')
			out.Write(value)
		}
		out.WriteString("}\n")
	}
	return out.Flush()
}

func text(s string) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(s)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// JSON writes a value as this program writes every JSON document: indented by two blanks, its letters as they are.
func JSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
