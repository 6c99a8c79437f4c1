package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// Map says where each column goes, and what its words mean.
type Map []Entry

// Entry is one line of a map.
type Entry struct {
	Sheet   string // worksheet that it is about; empty for all
	Column  string // name of the column in the table; empty for a value that every record gets
	Key     string // key of the record, with those above it; NotTaken, or empty where somebody has to say
	Form    string // unit of a bare number, or the order of a date, with the first year that two digits mean
	Carry   string // what stands for the value above: CarryDittos, CarryBlanks, or nothing
	Written string // a word of the column; Value is what a record writes for it then
	Value   string // the value that every record gets, where no column is named
	Seen    string // what the column holds, for the reader of the map
	field   logbook.Field
}

// What a map says of a column that is not taken over, and of blanks.
const (
	NotTaken    = "-"
	CarryDittos = "dittos"
	CarryBlanks = "blanks" // and dittos
)

// The serial that names a record, and the keys that a map has beside those of a record.
const (
	keyHolder          = "holder"
	keyRemarks         = "remarks"
	keyRemovedPosition = "removed.position"
	keyFittedPosition  = "fitted.position"
)

// pseudo are the fields of these keys.
var pseudo = map[string]logbook.Field{
	keyRemarks:         {Key: keyRemarks, Shape: logbook.ShapeText, List: true},
	keyRemovedPosition: {Key: keyRemovedPosition, Shape: logbook.ShapeSerial, As: "position"},
	keyFittedPosition:  {Key: keyFittedPosition, Shape: logbook.ShapeSerial, As: "position"},
}

const (
	dayFirst   = "d.m.y"
	monthFirst = "m/d/y"
	yearFirst  = "y-m-d"
)

var (
	orders  = []string{dayFirst, monthFirst, yearFirst}
	columns = []string{"sheet", "column", "key", "form", "carry", "written", "value", "seen"}
)

// ReadMap reads a map: a table with the columns sheet, column, key, form, carry, written, value, of which those that
// are not needed may be missing. An error says in words what does not fit.
func ReadMap(src []byte) (Map, error) {
	grids, _, err := Read(src)
	if err != nil {
		return nil, fmt.Errorf("map: %w", err)
	}
	if len(grids[0].rows) < 2 {
		return nil, errors.New("map: no lines; its columns are " + strings.Join(columns, ", "))
	}
	head, at := grids[0].rows[0], map[string]int{}
	for i, c := range head.cells {
		at[strings.ToLower(c.text)] = i
	}
	var m Map
	for _, r := range grids[0].rows[1:] {
		if len(r.filled()) == 0 {
			continue
		}
		if r.more != head.more {
			return nil, fmt.Errorf("map line %d: %s: expected %d, as the first line names", r.number,
				logbook.Counted(r.more, "cell"), head.more)
		}
		of := func(name string) string {
			if i, ok := at[name]; ok {
				return r.at(i).text
			}
			return ""
		}
		e := Entry{Sheet: of("sheet"), Column: of("column"), Key: of("key"), Form: of("form"), Carry: of("carry"),
			Written: of("written"), Value: of("value"), Seen: of("seen")}
		if err := e.resolve(); err != nil {
			return nil, fmt.Errorf("map line %d: %w", r.number, err)
		}
		m = append(m, e)
	}
	return m, nil
}

// resolve finds the field of an entry's key, and says what does not fit.
func (e *Entry) resolve() error {
	if e.Carry != "" && e.Carry != CarryDittos && e.Carry != CarryBlanks {
		return fmt.Errorf("carry is %q; it is %s, %s or empty", e.Carry, CarryDittos, CarryBlanks)
	}
	if e.Column != "" && (e.Key == "" || e.Key == NotTaken) {
		return nil
	}
	f, full, ok := keyed(e.Key)
	switch {
	case !ok:
		return fmt.Errorf("a record has no key %q; needlebook schema overhaul lists them", e.Key)
	case f.Shape == logbook.ShapeBlock:
		return fmt.Errorf("%s is a group of keys; name one of them", e.Key)
	case e.Written != "" && e.Column == "":
		return fmt.Errorf("%q is a word of no column; name its column", e.Written)
	case e.Written == "" && (e.Column == "") == (e.Value == ""):
		return fmt.Errorf("%s needs a column, or a value for every record", e.Key)
	case e.Written == "" && f.Shape == logbook.ShapeDate && e.Form != "":
		if order, years, _ := strings.Cut(e.Form, " "); !slices.Contains(orders, order) || !yearOK(years) {
			return fmt.Errorf("%q is no order of a date; one of %s", e.Form, strings.Join(orders, ", "))
		}
	}
	e.Key, e.field = full, f
	return nil
}

func yearOK(text string) bool {
	year, err := strconv.Atoi(text)
	return text == "" || err == nil && year >= 1900 && year <= 2100
}

// keyed is the field of a key, those that only a map has among them.
func keyed(key string) (f logbook.Field, full string, ok bool) {
	if f, ok := pseudo[key]; ok {
		return f, key, true
	}
	return fieldOf(overhaul(), key, "")
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

// of are the entries of a worksheet.
func (m Map) of(sheet string) (all Map) {
	for _, e := range m {
		if e.Sheet == "" || e.Sheet == sheet {
			all = append(all, e)
		}
	}
	return all
}

// columns are the names of columns in a map.
func (m Map) columns() map[string]bool {
	all := map[string]bool{}
	for _, e := range m {
		if e.Column != "" {
			all[e.Column] = true
		}
	}
	return all
}

// Text is the map as a file.
func (m Map) Text() []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(columns)
	for _, e := range m {
		w.Write([]string{e.Sheet, e.Column, e.Key, e.Form, e.Carry, e.Written, e.Value, e.Seen})
	}
	w.Flush()
	return b.Bytes()
}
