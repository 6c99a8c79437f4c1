// Package intake turns a table of older paper records into overhaul records of a book, by a map that a person wrote:
// which column holds which key, in which unit, with which order of the date. Nothing is guessed: what cannot be read as
// it stands is a doubt, and its record is not made. It writes no file.
//
// Begin with ReadMap and Convert.
package intake

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// Map says where each column goes.
type Map []Entry

// Entry is one line of a map.
type Entry struct {
	Column string // name of the column in the table; empty for a value that every record gets
	Key    string // key of the record, with those above it: "as_found.leak_down.time"
	Form   string // unit of a bare number, or the order of a date: d.m.y, m/d/y, y-m-d; may be empty
	Value  string // the value that every record gets, where no column is named
	field  logbook.Field
}

var orders = []string{"d.m.y", "m/d/y", "y-m-d"}

// ReadMap reads a map: a CSV with the columns column, key, form, value. An error says in words what does not fit.
func ReadMap(src []byte) (Map, error) {
	rows, err := table(src)
	if err != nil {
		return nil, fmt.Errorf("map: %w", err)
	}
	for _, d := range rows.ragged {
		return nil, fmt.Errorf("map line %d: %s: expected %s", d.Line, d.Cell, d.Why)
	}
	var m Map
	for _, r := range rows.rows {
		e := Entry{Column: r.cell("column"), Key: r.cell("key"), Form: r.cell("form"), Value: r.cell("value")}
		f, full, ok := fieldOf(overhaul(), e.Key, "")
		switch {
		case !ok:
			return nil, fmt.Errorf("map line %d: a record has no key %q; needlebook schema overhaul lists them", r.line, e.Key)
		case f.Shape == logbook.ShapeBlock:
			return nil, fmt.Errorf("map line %d: %s is a group of keys; name one of them", r.line, e.Key)
		case (e.Column == "") == (e.Value == ""):
			return nil, fmt.Errorf("map line %d: %s needs a column, or a value for every record", r.line, e.Key)
		case f.Shape == logbook.ShapeDate && e.Form != "" && !slices.Contains(orders, e.Form):
			return nil, fmt.Errorf("map line %d: %q is no order of a date; one of %s", r.line, e.Form,
				strings.Join(orders, ", "))
		}
		e.Key, e.field = full, f
		m = append(m, e)
	}
	if len(m) == 0 {
		return nil, errors.New("map: no lines; its columns are column, key, form, value")
	}
	return m, nil
}

func overhaul() []logbook.Field { return logbook.KindNamed("overhaul").Fields }

// fieldOf finds a field by its key. A group that a single value may stand for, such as measured.lift, is that value.
func fieldOf(fields []logbook.Field, key, above string) (f logbook.Field, full string, ok bool) {
	first, rest, deeper := strings.Cut(key, ".")
	for _, x := range fields {
		switch {
		case x.Key != first || x.List:
		case deeper:
			return fieldOf(x.Fields, rest, above+first+".")
		case x.Shape == logbook.ShapeBlock && x.Short != "":
			return fieldOf(x.Fields, x.Short, above+first+".")
		default:
			return x, above + first, true
		}
	}
	return f, "", false
}

// The bounds of a table: far above what paper held, and the same on every machine.
const (
	MaxBytes   = 64 << 20
	maxColumns = 2000
	maxLines   = 200_000
)

type sheet struct {
	names  []string
	rows   []line
	ragged []Uncertainty // lines with too few or too many cells
	commas bool          // separated by semicolons, as where the comma is the decimal sign and a point may part thousands
}

type line struct {
	line  int
	cells []string
	at    map[string]int // columns by their names
}

func (l line) cell(name string) string {
	if i, ok := l.at[name]; ok {
		return l.cells[i]
	}
	return ""
}

// table reads a CSV with a header, in commas or semicolons; a spreadsheet writes either.
func table(src []byte) (sheet, error) {
	if len(src) > MaxBytes {
		return sheet{}, fmt.Errorf("the table has %d bytes, at most %d are read: cut it into several", len(src), MaxBytes)
	}
	text := strings.TrimPrefix(string(src), "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	var s sheet
	at, lines := map[string]int{}, 0
	if first, _, _ := strings.Cut(text, "\n"); strings.Count(first, ";") > strings.Count(first, ",") {
		r.Comma, s.commas = ';', true
	}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return s, nil
		}
		if err != nil {
			return s, err
		}
		number, _ := r.FieldPos(0)
		if s.names == nil {
			if len(cells) > maxColumns {
				return s, fmt.Errorf("the table has %d columns, at most %d are read", len(cells), maxColumns)
			}
			for i, c := range cells {
				n := strings.TrimSpace(c)
				if _, twice := at[n]; n != "" && twice {
					return s, fmt.Errorf("two columns are named %q", n)
				}
				at[n], s.names = i, append(s.names, n)
			}
			continue
		}
		if lines++; lines > maxLines {
			return s, fmt.Errorf("the table has more than %d lines: cut it into several", maxLines)
		}
		if len(cells) != len(s.names) {
			s.ragged = append(s.ragged, Uncertainty{number, "", logbook.Counted(len(cells), "cell"),
				fmt.Sprintf("%d, as the first line names", len(s.names))})
			continue
		}
		empty := true
		for i, c := range cells {
			cells[i] = strings.TrimSpace(c)
			empty = empty && cells[i] == ""
		}
		l := line{number, cells, at}
		if !empty {
			s.rows = append(s.rows, l)
		}
	}
}

var (
	bare = regexp.MustCompile(`^[-+−]?[0-9][0-9.,]*$`)
	// thousands may be a whole number whose thousands are parted by points.
	thousands = regexp.MustCompile(`^[-+−]?[1-9][0-9]{0,2}(\.[0-9]{3})+$`)
	dots      = regexp.MustCompile(`^(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})$`)
)

// written is a cell as a record writes it, by the form that the map states. why says what is doubtful.
// commas says that the table's decimal sign may be the comma.
func (e Entry) written(cell string, commas bool) (text, why string) {
	switch e.field.Shape {
	case logbook.ShapeDate:
		return e.date(cell)
	case logbook.ShapeAmount, logbook.ShapeAmounts:
		if commas && thousands.MatchString(cell) {
			return "", "digits without a separator, or, where the point is a decimal point, the unit behind it: " +
				strings.TrimSpace(cell+" "+e.Form)
		}
		if e.Form != "" && bare.MatchString(cell) {
			return cell + " " + e.Form, ""
		}
	}
	return cell, ""
}

func (e Entry) date(cell string) (text, why string) {
	m := dots.FindStringSubmatch(cell)
	if e.Form == "" || m == nil {
		return cell, ""
	}
	y, mo, d := m[1], m[2], m[3]
	switch e.Form {
	case "d.m.y":
		y, mo, d = m[3], m[2], m[1]
	case "m/d/y":
		y, mo, d = m[3], m[1], m[2]
	}
	if len(y) != 4 {
		return "", "a year of four digits"
	}
	month, _ := strconv.Atoi(mo)
	day, _ := strconv.Atoi(d)
	text = fmt.Sprintf("%s-%02d-%02d", y, month, day)
	if _, err := logbook.ParseDay(text); err != nil {
		return "", "a day of the calendar, in the order " + e.Form
	}
	return text, ""
}
