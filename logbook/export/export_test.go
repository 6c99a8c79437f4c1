package export_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/export"
)

func written(t *testing.T, tab export.Table) (rows [][]string, lines []map[string]any) {
	t.Helper()
	var table, objects bytes.Buffer
	if err := tab.CSV(&table); err != nil {
		t.Fatal(err)
	}
	if err := tab.JSONLines(&objects); err != nil {
		t.Fatal(err)
	}
	text, ok := bytes.CutPrefix(table.Bytes(), []byte("\ufeff"))
	if !ok {
		t.Error("no mark by which a spreadsheet knows UTF-8")
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for d := json.NewDecoder(&objects); d.More(); {
		var m map[string]any
		if err := d.Decode(&m); err != nil {
			t.Fatal(err)
		}
		lines = append(lines, m)
	}
	return rows, lines
}

// The first characters are those of OWASP, CSV Injection; the separators those of RFC 4180.
func TestNoTextBecomesAFormula(t *testing.T) {
	for _, c := range []struct{ name, cell, want string }{
		{"equals", "=1+1", "'=1+1"}, {"plus", "+cmd", "'+cmd"}, {"minus", "-2+3", "'-2+3"}, {"at", "@SUM(A1)", "'@SUM(A1)"},
		{"tab", "\t=1", "'\t=1"}, {"line feed", "\n=1", "'\n=1"}, {"carriage return, which the table's writer leaves out", "\r=1", "'=1"}, {"NUL", "\x00=1", "'\ufffd=1"}, {"full width", "＝1", "'＝1"}, {"space before", " =1", "' =1"},
		{"separator, quote and line in a cell", "a,\"b\"\nc", "a,\"b\"\nc"}, {"ordinary", "H-101", "H-101"}, {"empty", "", ""}, {"a word in a column of numbers", "=x", "'=x"},
	} {
		rows, lines := written(t, export.Table{Columns: []export.Column{{Name: "a"}, {Name: "n", Number: true}}, Rows: [][]string{{c.cell, "-12.5"}, {"x", c.cell}}})
		if got := rows[1][0]; got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if rows[1][1] != "-12.5" {
			t.Errorf("%s: a negative number became %q", c.name, rows[1][1])
		}
		if got := rows[2][1]; got != c.want {
			t.Errorf("%s among numbers: %q, want %q", c.name, got, c.want)
		}
		if got := lines[0]["a"]; c.cell != "" && got != c.cell || c.cell == "" && got != nil {
			t.Errorf("%s in JSON: %q, want it unchanged", c.name, got)
		}
		if lines[0]["n"] != -12.5 {
			t.Errorf("%s in JSON: number %v", c.name, lines[0]["n"])
		}
	}
}

// A carriage return at the beginning is kept apart: a reader of CSV may fold it, but may not see a formula.
func TestCarriageReturn(t *testing.T) {
	rows, _ := written(t, export.Table{Columns: []export.Column{{Name: "a"}}, Rows: [][]string{{"\r=1"}}})
	if !strings.HasPrefix(rows[1][0], "'") {
		t.Errorf("got %q", rows[1][0])
	}
}

// The tables of the example vessel are as long as the book, and every row has its cells.
func TestExampleVessel(t *testing.T) {
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		tab  export.Table
		rows int
	}{{export.Overhauls(b), len(b.Overhauls)}, {export.Lives(b), len(b.Lives().ServicePeriods)}, {export.Stock(b), len(b.Stock)}, {export.Measurements(b), -1}} {
		rows, lines := written(t, c.tab)
		if len(rows) != len(lines)+1 || c.rows >= 0 && len(lines) != c.rows || len(lines) == 0 {
			t.Errorf("%s: %d rows, %d lines, want %d", c.tab.Name, len(rows), len(lines), c.rows)
		}
		for _, column := range c.tab.Columns {
			if column.Doc == "" {
				t.Errorf("%s.%s says nothing of itself", c.tab.Name, column.Name)
			}
		}
	}
	for _, l := range func() []map[string]any { _, l := written(t, export.Overhauls(b)); return l }() {
		if l["record"] == "2024-04-02-h-115" && (l["opening_found_bar"] != 300.0 || l["counter_h"] != 57705.0 || l["holder"] != "H-115") {
			t.Errorf("record differs from its file: %v", l)
		}
	}
}
