package paper_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"needlebook/checks/paper"
)

func sheet(cells ...string) paper.Paper {
	t := paper.Table{Name: "one", Columns: []string{"what", "h"}, Empty: "none"}
	for _, c := range cells {
		t.Add(paper.Text(c), paper.Text("-12"))
	}
	return paper.Paper{Name: "trial", Title: "A trial", Tables: []paper.Table{t, {Name: "two", Columns: []string{"x"}, Empty: "nothing here"}}}
}

// A text of the book never becomes a formula in a spreadsheet, and a number stays one. Source: OWASP, CSV Injection.
func TestCSVHoldsNoFormula(t *testing.T) {
	hostile := []string{"=1+1", "+1-1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK(\"http://x\")", " =1", "|cmd", "＝1", "plain; \"quoted\"\nand broken"}
	var out bytes.Buffer
	if err := sheet(hostile...).WriteCSV(&out, ""); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(out.String(), "\ufeff"))).ReadAll()
	if err != nil || len(rows) != len(hostile)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, r := range rows[1:] {
		if strings.ContainsAny(r[0][:1], "=+-@\t\r|") {
			t.Errorf("%q is written as %q", hostile[i], r[0])
		}
		if r[1] != "-12" {
			t.Errorf("the number -12 is written as %q", r[1])
		}
	}
}

// A table that is not there is named with those that are; an empty one says why. No outside source.
func TestTablesByName(t *testing.T) {
	p := sheet("x")
	err := p.WriteCSV(&bytes.Buffer{}, "three")
	if err == nil || !strings.Contains(err.Error(), "one, two") {
		t.Errorf("a table that is not there: %v", err)
	}
	var text bytes.Buffer
	if err := p.WriteText(&text, 0); err != nil || !strings.Contains(text.String(), "nothing here") {
		t.Errorf("the text does not say why a table is empty: %q, %v", text.String(), err)
	}
}

// What people wrote cannot break a row or steer a terminal. No outside source.
func TestTextStaysInItsRow(t *testing.T) {
	var text bytes.Buffer
	sheet("two\nlines", "\x1b[31mred", "turned \u202eround").WriteText(&text, 0)
	if strings.ContainsAny(text.String(), "\x1b\u202e") || strings.Count(text.String(), "\n") != 6 {
		t.Errorf("the text is %q", text.String())
	}
}

// A plot keeps to its frame: every reading is drawn, the limit too, whatever the scale. No outside source.
func TestPlotInCharacters(t *testing.T) {
	for _, x := range []paper.Plot{
		{Title: "lift", X: "h", Y: "mm", Limit: 0.9, HasLimit: true, LimitText: "largest 0.90 mm", Upper: true, Points: []paper.Point{{X: 0, Y: 0.7}, {X: 2000, Y: 0.75}, {X: 2000, Y: 0.75}}, Line: [][2]float64{{0, 0.7}, {2000, 0.75}}},
		{Title: "time", X: "h", Y: "s", Log: true, Limit: 2.5, HasLimit: true, LimitText: "as found", Points: []paper.Point{{X: 0, Y: 30}, {X: 900, Y: 3}, {X: 900, Y: 3}}},
	} {
		var text bytes.Buffer
		p := paper.Paper{Title: "t", Plots: []paper.Plot{x}}
		p.WriteText(&text, 0)
		got := text.String()
		if !strings.Contains(got, "o") || !strings.Contains(got, "8") || !strings.Contains(got, "====") || !strings.Contains(got, x.LimitText) {
			t.Errorf("%s is drawn as\n%s", x.Title, got)
		}
		for _, l := range strings.Split(got, "\n") {
			if len(l) > 90 {
				t.Errorf("%s: a line of %d characters: %q", x.Title, len(l), l)
			}
		}
		var j bytes.Buffer
		if err := p.WriteJSON(&j, "V", ""); err != nil || !json.Valid(j.Bytes()) || !strings.Contains(j.String(), `"limit": `) {
			t.Errorf("%s as JSON: %v, %s", x.Title, err, j.String())
		}
	}
	var text bytes.Buffer
	(paper.Paper{Title: "t", Plots: []paper.Plot{{Title: "none"}, {Title: "one", Points: []paper.Point{{X: 5, Y: 5}}}}}).WriteText(&text, 0)
	if strings.Contains(text.String(), "NaN") {
		t.Errorf("plots of nothing: %q", text.String())
	}
}
