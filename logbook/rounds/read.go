package rounds

import (
	"bytes"
	"cmp"
	"encoding/base64"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/measure"
)

// Largest is the size of a file that is read, in bytes: a table is some kilobytes, and one from a tablet brings its
// photos.
const Largest = 256 << 20

// The bounds of a table: no engine has so many cylinders, and no record so many values.
const (
	mostColumns = 1000
	mostRows    = 1000
)

// Format is the name of the file that a page for a tablet hands back.
const Format = "needlebook round-page 1"

// Read reads a table: CSV as any spreadsheet saves it, or what a page for a tablet hands back.
func Read(src []byte) (*Table, error) {
	switch {
	case len(src) > Largest:
		return nil, fmt.Errorf("it has %d bytes, at most %d are read", len(src), Largest)
	case bytes.HasPrefix(src, []byte("PK\x03\x04")), bytes.HasPrefix(src, []byte("\xd0\xcf\x11\xe0")):
		return nil, errors.New("it is a spreadsheet's own file: save it as CSV, and take that")
	}
	text, _ := edit.Correct("round.txt", src, func(name string) bool {
		return name == logbook.SlipEncoding || name == logbook.SlipByteOrderMark || name == edit.LineEnds
	})
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		return readPage(text)
	}
	if !utf8.Valid(text) {
		text = oldWindows(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
	}
	return readCSV(text)
}

// Unreadable stands in a cell for each character that a file in an old encoding does not tell.
const Unreadable = '\ufffd'

// oldWindows brings a file in one of the older encodings of Windows to UTF-8, as far as they agree: the signs of units
// have the same bytes in the western and the Cyrillic one. Of anything else nobody can tell which letter it was.
func oldWindows(src []byte) []byte {
	var out []byte
	for _, b := range src {
		switch {
		case b < utf8.RuneSelf:
			out = append(out, b)
		case strings.ContainsRune("°±µ·²", rune(b)):
			out = utf8.AppendRune(out, rune(b))
		default:
			out = utf8.AppendRune(out, Unreadable)
		}
	}
	return out
}

func readCSV(text []byte) (*Table, error) {
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord, r.LazyQuotes = -1, true
	r.Comma, _ = logbook.Separator(text)
	t := &Table{}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		if t.Columns == nil {
			if err := t.head(cells, line); err != nil {
				return nil, err
			}
			continue
		}
		if err := t.add(line, cells); err != nil {
			return nil, err
		}
	}
	return t, t.whole()
}

// head takes the names of the columns.
func (t *Table) head(cells []string, line int) error {
	for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" { // what a spreadsheet adds behind
		cells = cells[:len(cells)-1]
	}
	if len(cells) == 0 || strings.HasPrefix(cells[0], "#") {
		return nil
	}
	if len(cells) > mostColumns {
		return fmt.Errorf("line %d has %d columns, at most %d are read", line, len(cells), mostColumns)
	}
	for _, name := range cells {
		c, err := columnOf(name)
		if err == nil && c.Unit != "" {
			if _, known := measure.KindOf(c.Unit); !known && unitNamed(c.Unit) == "" {
				err = fmt.Errorf("column %q: the unit is not known", name)
			}
		}
		if err == nil && slices.ContainsFunc(t.Columns, func(x Column) bool { return x.Key == c.Key && x.Nth == c.Nth }) {
			err = fmt.Errorf("column %q is there twice", name)
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", line, err)
		}
		t.Columns = append(t.Columns, c)
	}
	return nil
}

// unitNamed is the printed name of a unit that is written in another way; empty for none.
func unitNamed(written string) string {
	for k := measure.Pressure; k <= measure.SpringRate; k++ {
		if u := measure.Find(k, written); u != nil {
			return u.Name
		}
	}
	return ""
}

// add takes a row; one that is empty or a remark is left out.
func (t *Table) add(line int, cells []string) error {
	for i, c := range cells {
		cells[i] = strings.TrimSpace(c)
		if rest, guarded := strings.CutPrefix(cells[i], "'"); guarded && formula.MatchString(rest) {
			cells[i] = rest
		}
	}
	if strings.HasPrefix(cells[0], "#") {
		t.Day = cmp.Or(t.Day, dayOf(cells[0]))
		return nil
	}
	if !slices.ContainsFunc(cells, func(c string) bool { return c != "" }) {
		return nil
	}
	if len(t.Rows) == mostRows {
		return fmt.Errorf("line %d: more than %d rows", line, mostRows)
	}
	for len(cells) > len(t.Columns) && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) > len(t.Columns) {
		return fmt.Errorf("line %d has %s, the first line names %s", line, logbook.Counted(len(cells), "cell"),
			logbook.Counted(len(t.Columns), "column"))
	}
	r := Row{Line: line, Cells: cells, Short: len(t.Columns) - len(cells)}
	for len(r.Cells) < len(t.Columns) {
		r.Cells = append(r.Cells, "")
	}
	t.Rows = append(t.Rows, r)
	return nil
}

// whole says what a table lacks that no row can do without.
func (t *Table) whole() error {
	for _, key := range []string{Engine, Cylinder} {
		if !slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Key == key }) {
			return fmt.Errorf("it has no column %q: it is no table of a round", key)
		}
	}
	return nil
}

// Page is the file that a page for a tablet hands back.
type Page struct {
	Format  string     `json:"format"`
	Columns []string   `json:"columns"`
	Rows    [][]string `json:"rows"`
	Photos  []struct {
		Cylinder string `json:"cylinder"`
		Name     string `json:"name"`
		Data     string `json:"data"` // base64
	} `json:"photos"`
}

func readPage(text []byte) (*Table, error) {
	var p Page
	if err := json.Unmarshal(text, &p); err != nil {
		return nil, fmt.Errorf("it was not saved whole: %w", err)
	}
	if p.Format != Format {
		return nil, fmt.Errorf("its format is %q; a page for a tablet saves %q", p.Format, Format)
	}
	t := &Table{}
	if err := t.head(p.Columns, 1); err != nil {
		return nil, err
	}
	for i, cells := range p.Rows {
		if err := t.add(i+1, cells); err != nil {
			return nil, err
		}
	}
	for _, x := range p.Photos {
		data, err := base64.StdEncoding.DecodeString(x.Data)
		if err != nil {
			return nil, fmt.Errorf("photo %q was not saved whole", x.Name)
		}
		t.Photos = append(t.Photos, Photo{x.Cylinder, x.Name, data})
	}
	return t, t.whole()
}
