package logbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"reflect"
	"regexp"
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
	kind := reflect.TypeFor[T]()
	fields, most := fieldsOf(kind), min(mostRows, tableMemory/int(kind.Size()))
	in := &rowByRow{rest: text}
	r := csv.NewReader(in)
	r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace, r.ReuseRecord = '#', -1, true, true
	d.failedCells(text)
	if s, line := Separator(text); s != ',' {
		d.problem(line, 1, SlipHeader, separatorNames[s]+" between the columns", "commas", "", true)
		r.Comma, r.TrimLeadingSpace = s, s != '\t' // an empty cell between two tabs is no space before the next
	}
	at := &cellPlaces{Reader: r, text: text}
	rows := make([]T, 0, min(most, bytes.Count(text, []byte("\n"))))
	var columns []*Field
	var names []string
	for {
		in.row = 0
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if errors.Is(err, errLongRow) {
			d.problem(at.lineOf(r.InputOffset())+1, 1, SlipTooLarge, fmt.Sprintf("a line of more than %d bytes", longestRow),
				"shorter lines, each quote closed: the rest was not read", "", false)
			break
		}
		if len(d.problems) > mostSlips {
			last := d.problems[len(d.problems)-1].Place.Line
			d.problem(last, 1, SlipRow, fmt.Sprintf("more than %d slips up to here", mostSlips),
				"those first: the rest was not read", "", false)
			break
		}
		if len(rows) == most {
			d.problem(1, 1, SlipTooLarge, fmt.Sprintf("more than %d lines", most), "fewer lines: the rest was not read", "",
				false)
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
			columns = d.header(at, cells, fields)
			if columns == nil {
				break
			}
			names = slices.Clone(cells)
			continue
		}
		if slices.Equal(cells, names) {
			line, _ := r.FieldPos(0)
			d.problem(line, 1, SlipRow, NamesAgain,
				"one table: what stands below may stand above already", "", false)
			continue
		}
		var row T
		d.row(at, cells, columns, reflect.ValueOf(&row).Elem())
		rows = append(rows, row)
	}
	if columns != nil && len(rows) == 0 && !bytes.HasSuffix(bytes.TrimRight(text, " \t"), []byte("\n")) {
		d.problem(1+bytes.Count(text, []byte("\n")), 1, SlipRow, "nothing below the names of the columns",
			"the lines of the table: a file that ends so was not saved whole", "", false)
	}
	provenOrder(d.problems)
	return rows, d.problems
}

// NamesAgain is what is met where a table begins once more below itself.
const NamesAgain = "the names of the columns once more"

// failed are what a spreadsheet writes into a cell that it cannot work out: OpenDocument 1.2 part 2, 5.12.
var failed = []string{"#REF!", "#N/A", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!"}

// tooNarrow is what a spreadsheet shows for a figure that its column has no room for: hashes alone in the cell.
var tooNarrow = regexp.MustCompile(`^#{3,}[ \t]*[,;\t|]`)

// failedCells reports the lines that begin with a cell that a spreadsheet could not work out: they look like remarks.
func (d *document) failedCells(text []byte) {
	line := 0
	for row := range bytes.Lines(text) {
		line++
		if tooNarrow.Match(row) {
			d.problem(line, 1, SlipRow, "###", "the value of the first cell: the line is taken for a remark, and not read",
				"", false)
		}
		for _, word := range failed {
			if bytes.HasPrefix(row, []byte(word)) {
				d.problem(line, 1, SlipRow, word, "the value of the first cell: the line is taken for a remark, and not read",
					"", false)
				break
			}
		}
	}
}

// The bounds of one table, and of what is said of it: beyond them it is no table of a book, and a million slips help
// nobody. A row takes up to twenty times the memory that it has bytes, and each check adds to it: there is room for the
// running data of eight cylinders in each week of forty years, and for a reading on each day of a century.
const (
	mostColumns = 1000
	mostSlips   = 1000
	mostRows    = 200_000
	tableMemory = 20 << 20 // bytes that the rows of a table may take
	longestRow  = 64 << 10 // bytes
)

var errLongRow = errors.New("a row that is too long")

// rowByRow gives a text to who reads a row after the other, and no more of it than a row may have.
type rowByRow struct {
	rest []byte
	row  int // bytes that were given since the row began
}

func (r *rowByRow) Read(b []byte) (int, error) {
	if len(r.rest) == 0 {
		return 0, io.EOF
	}
	if r.row > longestRow {
		return 0, errLongRow
	}
	n := copy(b, r.rest)
	r.rest, r.row = r.rest[n:], r.row+n
	return n, nil
}

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
func (d *document) header(at *cellPlaces, cells []string, fields []Field) []*Field {
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
		line, column := at.cell(i)
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
		if head := headLine(at.text, names); head > 1 {
			expected = fmt.Sprintf("the names of the columns, which are on line %d", head)
		}
		d.problem(1, 1, SlipHeader, strings.Join(cells, ","), expected, "", false)
		return nil
	}
	d.problems = append(d.problems, amissHere...)
	return columns
}

// headLine is the line, from 1, on which the names of columns stand alone; 0 where none does.
func headLine(text []byte, names []string) int {
	n := 0
	for line := range bytes.Lines(text) {
		n++
		cells := strings.Split(string(line[:min(len(line), longestRow)]), ",")
		unknown := func(c string) bool { return !slices.Contains(names, strings.TrimSpace(c)) }
		if len(cells) > 1 && !slices.ContainsFunc(cells, unknown) {
			return n
		}
	}
	return 0
}

func (d *document) row(at *cellPlaces, cells []string, columns []*Field, v reflect.Value) {
	line, column := at.cell(0)
	if block := leafOf(v); block != nil { // what book.md may hold as well
		*block = Leaf{Place: Place{d.path, line, column}, present: true}
	} else {
		v.FieldByName("Row").Set(reflect.ValueOf(Row{Place{d.path, line, column}}))
	}
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
		line, column := at.cell(i)
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

// cellPlaces tells where the cells of a table begin that is read row by row, and goes through its text once.
type cellPlaces struct {
	*csv.Reader
	text   []byte // from the line on in which the last cell began
	before int    // lines before it
	passed int64  // bytes before it
	in, at int    // bytes of that line that were counted, and their characters
}

// lineOf is how many lines begin before a place.
func (p *cellPlaces) lineOf(offset int64) int {
	return p.before + bytes.Count(p.text[:max(0, min(offset-p.passed, int64(len(p.text))))], []byte("\n"))
}

// cell is the line of a cell of the row that was read last, and its column in characters.
func (p *cellPlaces) cell(i int) (line, column int) {
	line, bytesIn := p.FieldPos(i)
	for p.before < line-1 {
		end := bytes.IndexByte(p.text, '\n') + 1
		if end == 0 {
			return line, bytesIn
		}
		p.text, p.before, p.passed, p.in, p.at = p.text[end:], p.before+1, p.passed+int64(end), 0, 0
	}
	if bytesIn-1 < p.in || bytesIn-1 > len(p.text) {
		return line, bytesIn
	}
	p.at += utf8.RuneCount(p.text[p.in : bytesIn-1])
	p.in = bytesIn - 1
	return line, p.at + 1
}
