// Package rounds is a round as a plain table, one row a cylinder, that a spreadsheet, an editor or a page for a tablet
// fills in, and what such a table makes of the records of the round: as found, measured, as left, stored, fitted with
// the position, after. It judges nothing and writes no file.
//
// The columns are the keys of a record with those above them, as "as_found.leak_down.time [s]": in the brackets is the
// unit of a bare number. Before them are engine and cylinder; fitted.holder and fitted.nozzle name the valve that goes
// in, which is another than the holder that comes out where a ready spare is fitted. Where the cylinder is "spare", the
// row is the test of a ready spare that goes in as it lay. A row whose first cell begins with # is a remark, and so is
// a column whose name does; in a cell that is no text, what is behind a blank and a # is a remark, which goes into the
// record behind the value. Commas, semicolons or tabs are between the cells, and a comma may be the decimal sign.
//
// A table plans and reports alike, so a row counts as done only where something is in it that the book did not fill in
// itself. Nothing is guessed: what cannot be read stays blank in the record, with what was in the table behind a #, and
// what is written already is never written over. So the same table can be taken again, after a power cut as well as
// after a correction, and only what is missing is written.
//
// Begin with New, Read and Take.
package rounds

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/keys"
)

// The columns that name the cylinder.
const (
	Engine   = "engine"
	Cylinder = "cylinder"
)

// readings is how many columns a list of readings has.
const readings = 3

// Table is a round.
type Table struct {
	Columns []Column
	Rows    []Row
	Photos  []Photo     // pictures that came with it
	Day     logbook.Day // that it was planned for, as its remark says; 0 where that is not there
}

// Column is one column.
type Column struct {
	Key  string // of a record, or Engine or Cylinder
	Nth  int    // of a list of readings: which, from 1; 0 for the whole value
	Unit string // of a bare number; empty where it has none
}

// Name is the column as the first line of a table has it.
func (c Column) Name() string {
	name := c.Key
	if c.Nth > 0 {
		name += " " + strconv.Itoa(c.Nth)
	}
	if c.Unit != "" {
		name += " [" + c.Unit + "]"
	}
	return name
}

// Row is one cylinder.
type Row struct {
	Line  int      // in the file, from 1
	Cells []string // as many as columns
	Short int      // how many cells the file lacks at its end: it was not saved whole
}

// Photo is a picture that was taken with a table.
type Photo struct {
	Cylinder string
	Name     string
	Data     []byte
}

// Seat is what is planned for one cylinder: the sheet of the valve that comes out, and what goes in.
type Seat struct {
	Sheet              *draft.Sheet
	InHolder, InNozzle string // holder and nozzle that go in; empty where nothing is planned
	// Again is the sheet of the ready spare that goes in, where it is tested again first; nil where it is not
	Again *draft.Sheet
}

// Spare stands in the column of the cylinder where a row is the test of a ready spare that nobody opens.
const Spare = "spare"

// SpareRow names the row of a spare as a cylinder is named.
func SpareRow(holder string) string { return strings.TrimSpace(Spare + " " + holder) }

// OfSpare says that a key belongs into the row of a spare: it is tested, and no more.
func OfSpare(key string) bool {
	top, _, _ := strings.Cut(key, ".")
	return slices.Contains([]string{"holder", keys.NozzleLeft, keys.NozzleMarking}, key) ||
		slices.Contains([]string{"as_left", "stored", "by", "minutes", "checked_by"}, top) &&
			!strings.HasPrefix(key, keys.AsLeftRunningBefore)
}

// New is the table of a round that is to be done, with what the book knows.
func New(seats []Seat) *Table {
	t := &Table{Columns: []Column{{Key: Engine}, {Key: Cylinder}}}
	asked := map[string]bool{}
	for _, s := range seats {
		for _, b := range Blanks(s.Sheet) {
			c := Column{Key: b.Key, Unit: b.Unit}
			if asked[c.Key] {
				continue
			}
			asked[c.Key] = true
			if b.Field.Shape != logbook.ShapeAmounts {
				t.Columns = append(t.Columns, c)
				continue
			}
			for c.Nth = 1; c.Nth <= readings; c.Nth++ {
				t.Columns = append(t.Columns, c)
			}
		}
	}
	for _, s := range seats {
		t.plan(s.planned)
	}
	for _, s := range seats {
		if s.Again != nil {
			t.plan(s.again)
		}
	}
	return t
}

// plan adds a row with what is known of each column before anything is done.
func (t *Table) plan(cell func(c Column) string) {
	cells := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		cells[i] = cell(c)
	}
	t.Rows = append(t.Rows, Row{Cells: cells})
}

// again is the cell of the spare that goes in and is tested again.
func (s Seat) again(c Column) string {
	return map[string]string{Engine: s.Sheet.Position.Engine, Cylinder: Spare, "holder": s.Again.Holder,
		keys.NozzleLeft: s.Again.Nozzle}[c.Key]
}

// Blanks are what a row asks for: what the record of the valve that comes out asks for, and which valve goes in.
func Blanks(s *draft.Sheet) (all []draft.Blank) {
	for _, b := range s.Blanks() {
		if b.Key == keys.RemovedEngine || b.Key == keys.RemovedCylinder || b.Key == keys.FittedEngine ||
			strings.HasSuffix(b.Key, ".again") || strings.HasSuffix(b.Key, ".again_with") {
			continue // the row's own; and what is measured a second time is written when it is
		}
		if b.Key == keys.FittedCylinder {
			for _, key := range []string{keys.FittedHolder, keys.FittedNozzle} {
				f, _ := logbook.KindNamed("overhaul").Field(key)
				all = append(all, draft.Blank{Step: b.Step, Key: key, Field: f})
			}
			continue
		}
		all = append(all, b)
	}
	return all
}

// known are the keys that the book fills in before anybody has done anything. What a test is to be made with is a
// limit, and no reading.
var known = []string{"holder", keys.NozzleFound, keys.RemovedEngine, keys.RemovedCylinder, keys.RemovedDate,
	keys.RemovedCounter}

// planned is the cell of the cylinder.
func (s Seat) planned(c Column) string {
	switch {
	case c.Key == Engine:
		return s.Sheet.Position.Engine
	case c.Key == Cylinder:
		return s.Sheet.Position.Cylinder
	case c.Key == keys.FittedHolder:
		return s.InHolder
	case c.Key == keys.FittedNozzle:
		return s.InNozzle
	case slices.Contains(known, c.Key):
		return Plain(s.Sheet.Known[c.Key], c.Unit)
	}
	return ""
}

// Plain is a value of a record as a cell has it: without quotes, and without the unit that its column names.
func Plain(value, unit string) string {
	if n := len(value); n > 1 && value[0] == '"' && value[n-1] == '"' {
		value = strings.ReplaceAll(value[1:n-1], `\"`, `"`)
	}
	if unit != "" {
		value = strings.TrimSuffix(value, " "+unit)
	}
	return value
}

// limits is the row of limits below the names: a remark to whoever reads the table.
func (t *Table) limits(s *draft.Sheet) []string {
	cells := make([]string, len(t.Columns))
	cells[0] = "# limits of the round of " + s.Day.String()
	for i, c := range t.Columns {
		if c.Nth <= 1 && i > 1 {
			cells[i] = s.Limit[c.Key]
		}
	}
	return cells
}

// WriteCSV writes a table as a spreadsheet opens it. sheet is where the limits come from; mark is between the cells:
// where that is a semicolon, the decimal sign is a comma, for such a spreadsheet takes 0.35 for a text, or for a day.
func (t *Table) WriteCSV(w io.Writer, sheet *draft.Sheet, mark rune) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.Comma, out.UseCRLF = mark, true
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name()
	}
	rows := [][]string{names}
	if sheet != nil {
		rows = append(rows, t.limits(sheet))
	}
	for _, r := range t.Rows {
		rows = append(rows, r.Cells)
	}
	for n, cells := range rows {
		safe := make([]string, len(cells))
		for i, c := range cells {
			if mark == ';' && n > 0 && t.Columns[i].counted() {
				c = decimals.ReplaceAllString(c, "$1,$2")
			}
			if safe[i] = c; formula.MatchString(c) {
				safe[i] = "'" + c
			}
		}
		if err := out.Write(safe); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// decimals are those of a number. Three are left as they are: of 1.500 nobody can tell whether it was one and a half.
var decimals = regexp.MustCompile(`(\d)\.(\d{1,2}|\d{4,})\b`)

// counted says that a column holds numbers.
func (c Column) counted() bool {
	f, known := logbook.KindNamed("overhaul").Field(c.Key)
	return known && slices.Contains([]logbook.Shape{logbook.ShapeAmount, logbook.ShapeAmounts, logbook.ShapeNumber},
		f.Shape)
}

// formula is what a spreadsheet would work out: OWASP, CSV Injection. A number with its sign is none.
var formula = regexp.MustCompile(`^\s*[=@＝＠]|^[\t\r]|^\s*[-+－＋][^0-9]`)

// cell is the text of a row in a column; ok is false where the table has no such column.
func (t *Table) cell(r Row, key string) (text string, ok bool) {
	i := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Key == key })
	if i < 0 {
		return "", false
	}
	return r.Cells[i], true
}

// dayOf reads the day that a remark says the round is of.
func dayOf(remark string) logbook.Day {
	_, text, _ := strings.Cut(remark, "round of ")
	day, _ := logbook.ParseDay(text)
	return day
}

// columnForm is the name of a column: its key, which reading, its unit.
var columnForm = regexp.MustCompile(`^([A-Za-z_.]+)(?: *([1-9]))?(?: *\[(.*)\])?$`)

// columnOf reads the name of a column.
func columnOf(name string) (c Column, err error) {
	if name = strings.TrimSpace(name); strings.HasPrefix(name, "#") {
		return Column{Key: name}, nil // a remark of whoever fills the table in
	}
	m := columnForm.FindStringSubmatch(name)
	if m == nil {
		return c, fmt.Errorf("%q is no column of a round: a key of a record, or with # before it a remark of yours", name)
	}
	c = Column{Key: strings.ToLower(m[1]), Unit: m[3]}
	c.Nth, _ = strconv.Atoi(m[2])
	if c.Key == Engine || c.Key == Cylinder {
		return c, nil
	}
	f, ok := logbook.KindNamed("overhaul").Field(c.Key)
	switch {
	case !ok || f.Shape == logbook.ShapeBlock && f.Short == "" || f.List:
		near := logbook.Nearest(c.Key, valueKeys())
		if near != "" {
			near = "; the nearest is " + near
		}
		return c, fmt.Errorf("a record has no value %q%s; with # before it the column is a remark of yours", c.Key, near)
	case f.Shape == logbook.ShapeBlock:
		c.Key += "." + f.Short
	case c.Nth > 0 && f.Shape != logbook.ShapeAmounts:
		return c, fmt.Errorf("column %q: %s is one value, not several readings", name, c.Key)
	}
	return c, nil
}

// valueKeys are the keys of a record that hold a value.
func valueKeys() (all []string) {
	logbook.KindNamed("overhaul").Walk(func(path string, f logbook.Field) {
		if f.Shape != logbook.ShapeBlock {
			all = append(all, path)
		}
	})
	return all
}
