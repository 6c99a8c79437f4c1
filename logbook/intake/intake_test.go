package intake_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/intake"
)

const mapping = `column,key,form,value
No,holder,,
Pulled,removed.date,d.m.y,
Cyl,removed.cylinder,,
,removed.engine,,ME1
Hours,removed.counter,h,
P1,as_found.opening_pressure,bar,
P2,as_found.opening_pressure,bar,
Lift,measured.lift,mm,
Tip,inspected.tip,,
`

func book(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(fstest.MapFS{
		"book.md":                            {Data: []byte("---\nvessel: Old\nengines:\n  - {id: ME1, type: T, cylinders: [1, 2], limits: t}\n---\n")},
		"overhauls/me1/c1/2019-01-02-h-9.md": {Data: []byte("---\nholder: \"H-9\"\nremoved: {engine: ME1, cylinder: 1, date: 2019-01-02}\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func convert(t *testing.T, rows string) intake.Result {
	t.Helper()
	m, err := intake.ReadMap([]byte(mapping))
	if err != nil {
		t.Fatal(err)
	}
	r, err := intake.Convert(book(t), m, "old.csv", []byte("\ufeffNo;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\n"+rows))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestConvert(t *testing.T) {
	r := convert(t, "0107;03.02.2019;2;41250;300;295 bar;0,76;good;AB\n")
	if len(r.Doubts) > 0 || len(r.Records) != 1 || strings.Join(r.Unused, " ") != "Who" {
		t.Fatalf("got %+v", r)
	}
	const want = `---
holder: "0107"
removed:
  engine: "ME1"
  cylinder: "2"
  date: 2019-02-03
  counter: 41250 h
as_found:
  opening_pressure: [300 bar, 295 bar]
inspected:
  tip: good
measured:
  lift:
    value: "0.76 mm"
reconstructed:
  from: "old.csv, line 2"
---
`
	if got := r.Records[0]; string(got.Text) != want || got.Path != "overhauls/me1/c2/2019-02-03-0107.md" || len(got.Read) != 1 {
		t.Errorf("record %s, read %q\n%swant\n%s", got.Path, got.Read, got.Text, want)
	}
}

// Nothing is guessed: each of these lines makes no record, and names the cell.
func TestDoubts(t *testing.T) {
	for _, c := range []struct{ name, row, column, why string }{
		{"year of two digits", "H-1;03.02.19;2;41250;300;300;0.76;good;", "Pulled", "a year of four digits"},
		{"no such day", "H-1;31.02.2019;2;41250;300;300;0.76;good;", "Pulled", "a day of the calendar"},
		{"thousands or decimal", "H-1;03.02.2019;2;41,250;300;300;0.76;good;", "Hours", "digits without a separator"},
		{"another word", "H-1;03.02.2019;2;41250;300;300;0.76;ok;", "Tip", "one of: good"},
		{"second reading a dash", "H-1;03.02.2019;2;41250;300;-;0.76;good;", "P2", "a number and a unit"},
		{"cylinder that is none", "H-1;03.02.2019;7;41250;300;300;0.76;good;", "", "an engine and cylinder of book.md"},
		{"no holder", ";03.02.2019;2;41250;300;300;0.76;good;", "", "a holder"},
		{"no date", "H-1;;2;41250;300;300;0.76;good;", "", "a date"},
		{"in the book already", "H-9;02.01.2019;1;41250;300;300;0.76;good;", "", "does not hold yet"},
	} {
		r := convert(t, c.row+"\n")
		found := false
		for _, d := range r.Doubts {
			found = found || d.Line == 2 && d.Column == c.column && strings.Contains(d.Why, c.why)
		}
		if !found || len(r.Records) > 0 {
			t.Errorf("%s: %d records, doubts %+v", c.name, len(r.Records), r.Doubts)
		}
	}
	if r := convert(t, "H-1;03.02.2019;2;1;300;300;0.76;good;\nH-1;03.02.2019;2;1;300;300;0.76;good;\n"); len(r.Records) != 1 || len(r.Doubts) != 1 {
		t.Errorf("the same overhaul twice: %+v", r)
	}
}

// In a table with semicolons 41.250 hours may be forty-one thousand: common practice, no source. With its unit there is no doubt.
func TestPointMayPartThousands(t *testing.T) {
	if r := convert(t, "0107;03.02.2019;2;41.250;300;295 bar;0,76;good;AB\n"); len(r.Records) != 0 || len(r.Doubts) != 1 || r.Doubts[0].Column != "Hours" {
		t.Errorf("41.250 without a unit: %+v", r)
	}
	if r := convert(t, "0107;03.02.2019;2;41250;300.5;295 bar;1.760 mm;good;AB\n"); len(r.Records) != 1 || len(r.Doubts) != 0 {
		t.Errorf("with its unit, or with fewer decimals: %+v", r)
	}
}

func TestRaggedLineHidesNoOther(t *testing.T) {
	r := convert(t, "0107;03.02.2019\n0108;03.02.2019;2;41250;300;295 bar;0,76;good;AB\n0109;x;2\n")
	if len(r.Records) != 1 || len(r.Doubts) != 2 || r.Doubts[0].Line != 2 || r.Doubts[1].Line != 4 {
		t.Errorf("two ragged lines around a good one: %+v", r)
	}
}

func TestReadMapRefuses(t *testing.T) {
	for _, m := range []string{"", "column,key\n", "column,key\nA,as_fuond.oil\n", "column,key\nA,as_found\n", "column,key,value\nA,holder,B\n", "column,key\n,holder\n", "column,key,form\nA,removed.date,dmy\n", "column,key\nA,corrections.was\n"} {
		if got, err := intake.ReadMap([]byte(m)); err == nil {
			t.Errorf("ReadMap(%q) = %+v", m, got)
		}
	}
}

// A table that nobody wrote by hand is refused with its bound, however it is large.
func TestBounds(t *testing.T) {
	m, err := intake.ReadMap([]byte(mapping))
	if err != nil {
		t.Fatal(err)
	}
	for says, src := range map[string]string{
		"at most 2000 are read":  strings.Repeat("a;", 1_000_000) + "b\n",
		"more than 200000 lines": "No;Pulled\n" + strings.Repeat("x\n", 200_001),
		"bytes, at most":         strings.Repeat("x", intake.MaxBytes+1),
	} {
		if _, err := intake.Convert(book(t), m, "old.csv", []byte(src)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want one that says %q", err, says)
		}
		if _, err := intake.ReadMap([]byte(src)); err == nil {
			t.Errorf("as a map: no error, want one that says %q", says)
		}
	}
}
