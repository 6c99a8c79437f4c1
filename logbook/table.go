package logbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode/utf8"
)

// readTable reads a CSV file into rows of type T, whose schema tags name the columns. Columns may stand in any order; a line
// that begins with # is a remark.
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
	if first, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		d.problem(1, 1, SlipHeader, "semicolons between the columns", "commas: choose them when saving the table", "", true)
		r.Comma = ';'
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
			d.problem(last, 1, SlipRow, fmt.Sprintf("more than %d slips up to here", mostSlips), "those first: the rest was not read", "", false)
			break
		}
		if len(rows) == mostRows {
			d.problem(1, 1, SlipTooLarge, fmt.Sprintf("more than %d lines", mostRows), "a table of each year: the rest was not read", "", false)
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				d.problem(pe.StartLine, max(pe.Column, 1), SlipRow, pe.Err.Error(), "cells between commas, a cell with a comma or a quote in double quotes", "", false)
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
	provenOrder(d.problems)
	return rows, d.problems
}

// The bounds of what is said of one table: beyond them it is no table of a book, and a million slips help nobody.
const (
	mostColumns = 1000
	mostSlips   = 1000
	mostRows    = 200_000
)

// header matches the first line with the schema.
func (d *document) header(r *csv.Reader, lines [][]byte, cells []string, fields []Field) []*Field {
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.Key
	}
	if len(cells) > mostColumns {
		d.problem(1, 1, SlipHeader, fmt.Sprint(len(cells), " columns"), fmt.Sprint("at most ", mostColumns), "", false)
		return nil
	}
	columns, known := make([]*Field, len(cells)), 0
	for i, c := range cells {
		line, column := cellPlace(r, lines, i)
		name := strings.TrimSpace(c)
		f := fieldNamed(fields, name)
		if f == nil {
			near := nearest(name, names)
			expected := near
			if near == "" {
				expected = "one of: " + strings.Join(names, ", ")
			}
			d.problem(line, column, SlipHeader, name, expected, near, false)
			continue
		}
		columns[i] = f
		known++
	}
	if known == 0 {
		d.problem(1, 1, SlipHeader, strings.Join(cells, ","), "a first line with the names of the columns", strings.Join(names, ","), false)
		return nil
	}
	return columns
}

func (d *document) row(r *csv.Reader, lines [][]byte, cells []string, columns []*Field, v reflect.Value) {
	line, column := cellPlace(r, lines, 0)
	v.FieldByName("Row").Set(reflect.ValueOf(Row{Place{d.path, line, column}}))
	if len(cells) != len(columns) {
		d.problem(line, 1, SlipRow, strings.Join(cells[:min(len(cells), mostColumns)], ","), "as many cells as the first line has names", "", true)
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
