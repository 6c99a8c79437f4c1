package logbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"
)

// readTable reads a CSV file into rows of type T, whose schema tags name the columns. Columns may stand in any order; a
// line that begins with # is a remark.
func readTable[T any](path string, src []byte) ([]T, []Problem) {
	d := &document{path: path}
	whole, ok := d.plainText(src, maxTable)
	if !ok {
		return nil, d.problems
	}
	text := []byte(whole)
	fields := fieldsOf(reflect.TypeFor[T]())
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = '#', -1, true
	if s, line := Separator(text); s != ',' {
		d.problem(line, 1, SlipHeader, separatorNames[s]+" between the columns", "commas", "", true)
		r.Comma, r.TrimLeadingSpace = s, s != '\t' // an empty cell between two tabs is no space before the next
	}
	lines := bytes.Split(text, []byte("\n"))
	var rows []T
	var columns []*Field
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if len(d.problems) > mostSlips {
			last := d.problems[len(d.problems)-1].Place.Line
			d.problem(last, 1, SlipRow, fmt.Sprintf("more than %d slips up to here", mostSlips),
				"those first: the rest was not read", "", false)
			break
		}
		if len(rows) == mostRows {
			d.problem(1, 1, SlipTooLarge, fmt.Sprintf("more than %d lines", mostRows),
				"a table of each year: the rest was not read", "", false)
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				d.problem(pe.StartLine, max(pe.Column, 1), SlipRow, pe.Err.Error(),
					"cells between commas, a cell with a comma or a quote in double quotes", "", false)
				continue
			}
			break
		}
		if columns == nil {
			columns = d.header(r, lines, cells, fields)
			if columns == nil {
				break
			}
			continue
		}
		var row T
		d.row(r, lines, cells, columns, reflect.ValueOf(&row).Elem())
		rows = append(rows, row)
	}
	if columns != nil && len(rows) == 0 && !bytes.HasSuffix(bytes.TrimRight(text, " \t"), []byte("\n")) {
		d.problem(len(lines), 1, SlipRow, "nothing below the names of the columns",
			"the lines of the table: a file that ends so was not saved whole", "", false)
	}
	provenOrder(d.problems)
	return rows, d.problems
}

// The bounds of what is said of one table: beyond them it is no table of a book, and a million slips help nobody.
const (
	mostColumns = 1000
	mostSlips   = 1000
	mostRows    = 200_000
)

// separatorNames are what stands between the cells of a table that other programs save.
var separatorNames = map[rune]string{';': "semicolons", '\t': "tabs", '|': "bars"}

// Separator is what parts the cells of a table by its line of names, and that line: the comma, unless another mark
// stands there oftener.
func Separator(text []byte) (mark rune, line int) {
	for head := range bytes.Lines(text) {
		if line++; len(bytes.TrimSpace(head)) == 0 || head[0] == '#' {
			continue
		}
		mark, most := ',', bytes.Count(head, []byte(","))
		for _, s := range ";\t|" {
			if n := bytes.Count(head, []byte(string(s))); n > most {
				mark, most = s, n
			}
		}
		return mark, line
	}
	return ',', 1
}

// header matches the first line with the schema. A name in capitals, or with other marks between its words, is read as
// the column's.
func (d *document) header(r *csv.Reader, lines [][]byte, cells []string, fields []Field) []*Field {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.Key
	}
	if len(cells) > mostColumns {
		d.problem(1, 1, SlipHeader, fmt.Sprint(len(cells), " columns"), fmt.Sprint("at most ", mostColumns), "", false)
		return nil
	}
	columns, near := make([]*Field, len(cells)), 0
	var amissHere []Problem
	for i, c := range cells {
		line, column := cellPlace(r, lines, i)
		name := strings.TrimSpace(c)
		if columns[i] = fieldNamed(fields, name); columns[i] != nil {
			near++
			continue
		}
		meant := nearest(name, names)
		p := amiss(SlipHeader, name, meant, meant, plainLetters(name) == plainLetters(meant))
		if p.Place = (Place{d.path, line, column}); meant == "" {
			p.Expected = "one of: " + strings.Join(names, ", ")
		} else {
			near++
		}
		if p.Read {
			columns[i] = fieldNamed(fields, meant)
		}
		amissHere = append(amissHere, p)
	}
	if 2*near < len(cells) { // a line of the table, not its head
		expected := "the names of the columns: " + strings.Join(names, ",")
		if at := headLine(lines, names); at > 1 {
			expected = fmt.Sprintf("the names of the columns, which are on line %d", at)
		}
		d.problem(1, 1, SlipHeader, strings.Join(cells, ","), expected, "", false)
		return nil
	}
	d.problems = append(d.problems, amissHere...)
	return columns
}

// headLine is the line, from 1, on which the names of columns stand alone; 0 where none does.
func headLine(lines [][]byte, names []string) int {
	return 1 + slices.IndexFunc(lines, func(line []byte) bool {
		cells := strings.Split(string(line), ",")
		return len(cells) > 1 && !slices.ContainsFunc(cells, func(c string) bool {
			return !slices.Contains(names,
				strings.TrimSpace(c))
		})
	})
}

func (d *document) row(r *csv.Reader, lines [][]byte, cells []string, columns []*Field, v reflect.Value) {
	line, column := cellPlace(r, lines, 0)
	v.FieldByName("Row").Set(reflect.ValueOf(Row{Place{d.path, line, column}}))
	if len(cells) != len(columns) {
		d.problem(line, 1, SlipRow, strings.Join(cells[:min(len(cells), mostColumns)], ","),
			"as many cells as the first line has names", "", true)
	}
	for i, c := range cells {
		if i >= len(columns) || columns[i] == nil {
			continue
		}
		f := columns[i]
		text := strings.TrimSpace(c)
		if f.Shape == ShapeText {
			text = plainBlanks.Replace(text)
		}
		line, column := cellPlace(r, lines, i)
		fv := v.Field(f.index)
		leaf := leafOf(fv)
		*leaf = Leaf{Place: Place{d.path, line, column}, Key: f.Key, Written: text, present: text != ""}
		if text == "" {
			continue
		}
		fill(text, false, fv, f, func(p Problem) {
			p.Place, p.Key = leaf.Place, f.Key
			d.problems = append(d.problems, p)
		})
	}
}

// plainBlanks makes plain blanks of those that a word processor or a key beside puts between words.
var plainBlanks = strings.NewReplacer("\t", " ", "\u00a0", " ", "\u202f", " ")

// cellPlace is where a cell begins, its column in characters.
func cellPlace(r *csv.Reader, lines [][]byte, i int) (line, column int) {
	line, bytesIn := r.FieldPos(i)
	if line >= 1 && line <= len(lines) && bytesIn-1 <= len(lines[line-1]) {
		return line, utf8.RuneCount(lines[line-1][:bytesIn-1]) + 1
	}
	return line, bytesIn
}
