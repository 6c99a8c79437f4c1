package intake

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"regexp"
	"strconv"
	"strings"

	"needlebook/logbook"
)

// A workbook is a zip of XML files (ECMA-376, part 1: SpreadsheetML). It is read as far as a table needs: texts, stored
// numbers and days, formulas by the value that was last worked out, cells shown as one. Each part is read with a bound,
// whatever the zip says of its size.

type workbook struct {
	files  map[string]*zip.File
	shared []string
	styles []style
	from   logbook.Day // day 0 of stored days
	cells  int
}

// style is what a cell's format says of a stored number.
type style struct {
	day     bool
	percent bool
	zeros   int // digits that it is filled up to: a serial
	struck  bool
}

func readWorkbook(src []byte) (grids []Grid, err error) {
	z, err := zip.NewReader(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		return nil, fmt.Errorf("the workbook is not whole: %w", err)
	}
	w := &workbook{files: map[string]*zip.File{}, from: logbook.NewDay(1899, 12, 30)}
	for _, f := range z.File {
		w.files[strings.TrimPrefix(f.Name, "/")] = f
	}
	if w.files["xl/workbook.xml"] == nil {
		return nil, errors.New("it is a zip, and no workbook: save it as .xlsx or .csv")
	}
	var top struct {
		Properties struct {
			Date1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name string `xml:"name,attr"`
			ID   string `xml:"id,attr"`
		} `xml:"sheets>sheet"`
	}
	var relations struct {
		All []struct {
			ID     string `xml:"Id,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	err = errors.Join(w.decode("xl/workbook.xml", &top), w.decode("xl/_rels/workbook.xml.rels", &relations),
		w.readShared(), w.readStyles())
	if err != nil {
		return nil, err
	}
	if d := top.Properties.Date1904; d == "1" || d == "true" {
		w.from = logbook.NewDay(1904, 1, 1)
	}
	target := map[string]string{}
	for _, r := range relations.All {
		target[r.ID] = r.Target
	}
	for _, s := range top.Sheets {
		name := target[s.ID]
		if !strings.HasPrefix(name, "/") {
			name = path.Join("xl", name)
		}
		if !strings.Contains(name, "worksheets/") {
			continue // a chart of its own
		}
		g, err := w.sheet(strings.TrimPrefix(name, "/"))
		if err != nil {
			return nil, fmt.Errorf("worksheet %q: %w", s.Name, err)
		}
		g.Name = s.Name
		grids = append(grids, g)
	}
	return grids, nil
}

// part is the text of a part of the workbook; nil where it has none of that name.
func (w *workbook) part(name string) ([]byte, error) {
	f := w.files[name]
	if f == nil {
		return nil, nil
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("the workbook is not whole: %w", err)
	}
	defer r.Close()
	text, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the workbook is not whole: %s: %w", name, err)
	case len(text) > MaxBytes:
		return nil, fmt.Errorf("%s has more than %d bytes, which is all that is read", name, MaxBytes)
	}
	return text, nil
}

func (w *workbook) decode(name string, into any) error {
	text, err := w.part(name)
	if err != nil || text == nil {
		return err
	}
	if err := xml.Unmarshal(text, into); err != nil {
		return fmt.Errorf("the workbook is not whole: %s: %w", name, err)
	}
	return nil
}

// run is a text with its formats; what shows how it is pronounced is no part of it.
type run struct {
	Text string `xml:"t"`
	Runs []struct {
		Text string `xml:"t"`
	} `xml:"r"`
}

func (r run) String() string {
	text := r.Text
	for _, x := range r.Runs {
		text += x.Text
	}
	return text
}

func (w *workbook) readShared() error {
	var all struct {
		Items []run `xml:"si"`
	}
	err := w.decode("xl/sharedStrings.xml", &all)
	for _, i := range all.Items {
		w.shared = append(w.shared, i.String())
	}
	return err
}

var (
	quotedForm = regexp.MustCompile(`"[^"]*"|\\.|\[[^\]]*\]`)
	zerosForm  = regexp.MustCompile(`^0{2,}$`)
)

func (w *workbook) readStyles() error {
	var all struct {
		Forms []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Fonts []struct {
			Strike *struct {
				Val string `xml:"val,attr"`
			} `xml:"strike"`
		} `xml:"fonts>font"`
		Cells []struct {
			Form int `xml:"numFmtId,attr"`
			Font int `xml:"fontId,attr"`
		} `xml:"cellXfs>xf"`
	}
	err := w.decode("xl/styles.xml", &all)
	codes := map[int]string{}
	for _, f := range all.Forms {
		codes[f.ID] = quotedForm.ReplaceAllString(f.Code, "")
	}
	for _, c := range all.Cells {
		code := codes[c.Form]
		s := style{percent: c.Form == 9 || c.Form == 10 || strings.Contains(code, "%")}
		s.day = c.Form >= 14 && c.Form <= 17 || c.Form == 22 || c.Form >= 27 && c.Form <= 36 ||
			c.Form >= 50 && c.Form <= 58 || strings.ContainsAny(strings.ToLower(code), "yd")
		if f := c.Font; f >= 0 && f < len(all.Fonts) && all.Fonts[f].Strike != nil {
			s.struck = all.Fonts[f].Strike.Val != "0" && all.Fonts[f].Strike.Val != "false"
		}
		if zerosForm.MatchString(code) {
			s.zeros = len(code)
		}
		w.styles = append(w.styles, s)
	}
	return err
}

// sheet reads one worksheet row by row.
func (w *workbook) sheet(name string) (g Grid, err error) {
	text, err := w.part(name)
	if err != nil {
		return g, err
	}
	d := xml.NewDecoder(bytes.NewReader(text))
	last := 0
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return g, nil
		}
		if err != nil {
			return g, fmt.Errorf("the workbook is not whole: %w", err)
		}
		start, ok := t.(xml.StartElement)
		switch {
		case !ok:
		case start.Name.Local == "row":
			r, err := w.row(d, start, last)
			if err != nil {
				return g, err
			}
			if last = r.number; len(r.cells) > 0 {
				g.rows = append(g.rows, r)
			}
			if len(g.rows) > maxLines {
				return g, fmt.Errorf("it has more than %d rows: cut it into several", maxLines)
			}
		case start.Name.Local == "mergeCell":
			if a, ok := areaOf(attribute(start, "ref")); ok {
				g.merged = append(g.merged, a)
			}
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (w *workbook) row(d *xml.Decoder, start xml.StartElement, last int) (r row, err error) {
	var raw struct {
		Cells []struct {
			At     string `xml:"r,attr"`
			Kind   string `xml:"t,attr"`
			Style  int    `xml:"s,attr"`
			Value  string `xml:"v"`
			Inline run    `xml:"is"`
		} `xml:"c"`
	}
	if err := d.DecodeElement(&raw, &start); err != nil {
		return r, fmt.Errorf("the workbook is not whole: %w", err)
	}
	r.number = last + 1
	if n, err := strconv.Atoi(attribute(start, "r")); err == nil && n > last {
		r.number = n
	}
	next := 0
	for _, c := range raw.Cells {
		column := next
		if at, _, ok := addressOf(c.At); ok {
			column = at
		}
		if next = column + 1; next > maxColumns {
			return r, fmt.Errorf("it has more than %d columns", maxColumns)
		}
		text := w.cell(c.Kind, c.Value, c.Inline, c.Style)
		text.struck = c.Style >= 0 && c.Style < len(w.styles) && w.styles[c.Style].struck
		if text.text == "" {
			continue
		}
		for len(r.cells) < next {
			r.cells = append(r.cells, cell{})
			w.cells++
		}
		r.cells[column] = text
	}
	if w.cells > maxCells {
		return r, fmt.Errorf("the workbook has more than %d cells: cut it into several", maxCells)
	}
	return r, nil
}

func (w *workbook) cell(kind, value string, inline run, format int) cell {
	switch kind {
	case "s":
		if i, err := strconv.Atoi(value); err == nil && i >= 0 && i < len(w.shared) {
			return cell{text: strings.TrimSpace(w.shared[i])}
		}
		return cell{}
	case "inlineStr":
		return cell{text: strings.TrimSpace(inline.String())}
	case "d":
		return cell{text: strings.TrimSuffix(value, "T00:00:00"), stored: true, day: true}
	case "", "n":
	default: // what a formula made, true or false, an error
		return cell{text: strings.TrimSpace(value)}
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return cell{text: strings.TrimSpace(value)}
	}
	var s style
	if format >= 0 && format < len(w.styles) {
		s = w.styles[format]
	}
	switch {
	case s.day && v >= 1 && v < 2_958_466: // to the end of the year 9999
		day := int(v)
		if day < 60 && w.from < logbook.NewDay(1900, 1, 1) {
			day++ // that calendar has a 29 February 1900
		}
		return cell{text: (w.from + logbook.Day(day)).String(), stored: true, day: true}
	case s.percent:
		return cell{text: plain(v*100) + " %", stored: true}
	case s.zeros > 0 && v == math.Trunc(v) && v >= 0:
		text := plain(v)
		return cell{text: strings.Repeat("0", max(0, s.zeros-len(text))) + text, stored: true}
	}
	if math.Abs(v) >= 1e15 {
		return cell{text: value + "?"} // more digits than a spreadsheet keeps
	}
	return cell{text: plain(v), stored: true}
}

// plain is a stored number as it was typed: fifteen digits are what a spreadsheet keeps.
func plain(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

var addressForm = regexp.MustCompile(`^([A-Z]{1,3})([0-9]{1,7})$`)

// addressOf is the column from 0 and the row from 1 of a cell, as in C7.
func addressOf(text string) (column, number int, ok bool) {
	m := addressForm.FindStringSubmatch(text)
	if m == nil {
		return 0, 0, false
	}
	for _, r := range m[1] {
		column = column*26 + int(r-'A') + 1
	}
	number, _ = strconv.Atoi(m[2])
	return column - 1, number, true
}

func areaOf(text string) (a area, ok bool) {
	from, to, _ := strings.Cut(text, ":")
	left, top, ok1 := addressOf(from)
	right, bottom, ok2 := addressOf(to)
	return area{top, left, bottom, right}, ok1 && ok2
}
