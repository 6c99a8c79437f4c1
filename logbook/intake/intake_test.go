package intake_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"regexp"
	"slices"
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
		"book.md":                            {Data: []byte("---\nvessel: Old\nengines:\n  - {id: ME1, type: T, cylinders: [1, 2], limits: t}\n  - {id: AE1, type: T, cylinders: [1, 2, 3, 4, 5, 6], limits: t}\n---\n")},
		"overhauls/me1/c1/2019-01-02-h-9.md": {Data: []byte("---\nholder: \"H-9\"\nremoved: {engine: ME1, cylinder: 1, date: 2019-01-02}\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func source(t *testing.T, name string, text []byte) intake.Source {
	t.Helper()
	grids, _, err := intake.Read(text)
	if err != nil {
		t.Fatal(err)
	}
	return intake.Source{Name: name, Grids: grids, Bytes: text}
}

func convertBy(t *testing.T, mapText, text, answers string) intake.Result {
	t.Helper()
	m, err := intake.ReadMap([]byte(mapText))
	if err != nil {
		t.Fatal(err)
	}
	a, err := intake.ReadAnswers([]byte(answers))
	if err != nil {
		t.Fatal(err)
	}
	r, err := intake.Convert(book(t), m, source(t, "old.csv", []byte(text)), a)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func convert(t *testing.T, rows string) intake.Result {
	t.Helper()
	return convertBy(t, mapping, "\ufeffNo;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\n"+rows, "")
}

func TestConvert(t *testing.T) {
	r := convert(t, "0107;03.02.2019;2;41250;300;295 bar;0,76;good;AB\n")
	if len(r.Questions) > 0 || len(r.Records) != 1 || strings.Join(r.Unused, " ") != "Who" {
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
    value: 0.76 mm
reconstructed:
  from: "old.csv, row 2, SHA-256 2bac0f4c6e9dfef0e9f8fe7a1f5c7c5c1b1d7d4a4d2d8c0b7dbd7f93a8c4b0dd"
---
`
	if got := r.Records[0]; digestless(string(got.Text)) != digestless(want) || got.Path != "overhauls/me1/c2/2019-02-03-0107.md" {
		t.Errorf("record %s\n%swant\n%s", got.Path, got.Text, want)
	}
}

// digestless leaves out what only says which bytes it was.
func digestless(text string) string {
	before, after, _ := strings.Cut(text, "SHA-256 ")
	return before + after[64:]
}

// A cell in doubt leaves its value out, with the question, and never the record; what names the record has to be there.
func TestDoubts(t *testing.T) {
	for _, c := range []struct {
		name, row, at, ask string
		records            int
	}{
		{"year of two digits", "H-1;03.02.19;2;41250;300;300;0.76;good;", "dates, years", "the first year that two digits mean", 0},
		{"no such day", "H-1;31.02.2019;2;41250;300;300;0.76;good;", "B2", "a day of the calendar", 0},
		{"thousands or decimal", "H-1;03.02.2019;2;41.250;300;300;0.76;good;", "D2", "digits without a separator", 1},
		{"another word", "H-1;03.02.2019;2;41250;300;300;0.76;ok;", "H2", "one of: good", 1},
		{"second reading in doubt", "H-1;03.02.2019;2;41250;300;3OO;0.76;good;", "F2", "a number and a unit", 1},
		{"cylinder that is none", "H-1;03.02.2019;7;41250;300;300;0.76;good;", "C2", "a cylinder of book.md", 0},
		{"cylinder of another engine", "H-1;03.02.2019;5;41250;300;300;0.76;good;", "row 2", "an engine and cylinder of book.md", 0},
		{"no holder", ";03.02.2019;2;41250;300;300;0.76;good;", "A2", "it is blank", 0},
		{"no date", "H-1;;2;41250;300;300;0.76;good;", "B2", "it is blank", 0},
		{"serial that was not read", "H-1?;03.02.2019;2;41250;300;300;0.76;good;", "A2", "as it is stamped", 0},
		{"unit of another kind", "H-1;03.02.2019;2;41250;300;300;0.76 kg;good;", "G2", "a number and a unit: mm", 1},
		{"a ditto without the map's word", "H-1;03.02.2019;2;do.;300;300;0.76;good;", "D2", "typed out", 1},
		{"in the book already", "H-9;02.01.2019;1;41250;300;300;0.76;good;", "row 2", "does not hold yet", 0},
		{"a cell too many", "H-1;03.02.2019;2;41250;300;300;0;76;good;", "row 2", "9, as its heading has", 0},
	} {
		r := convert(t, c.row+"\n")
		if len(r.Questions) != 1 || r.Questions[0].At != c.at || !strings.Contains(r.Questions[0].Ask, c.ask) {
			t.Errorf("%s: questions %+v", c.name, r.Questions)
		}
		if len(r.Records) != c.records {
			t.Errorf("%s: %d records", c.name, len(r.Records))
		}
	}
	if r := convert(t, "H-1;03.02.2019;2;1;300;300;0.76;good;\nH-1;03.02.2019;2;1;300;300;0.76;good;\n"); len(r.Records) != 1 || len(r.Questions) != 1 {
		t.Errorf("the same overhaul twice: %+v", r)
	}
	r := convert(t, "H-1;03.02.2019;2;41250;300;3OO;0.76;good;\n")
	if text := string(r.Records[0].Text); strings.Contains(text, "opening_pressure") || !strings.Contains(text, "0.76 mm") {
		t.Errorf("a list with a doubtful reading, of which the middle one would count:\n%s", text)
	}
}

// The answers are taken up by the next run, in the file that the questions are in, as an editor on any system saves it.
func TestAnswers(t *testing.T) {
	const rows = "No;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\nH-1;03.02.19;2;41250;300;3OO;0.76;ok;\nH-2;05.02.19;1;41300;305;300;0.77;ok;\n"
	first := convertBy(t, mapping, rows, "")
	sheet := string(first.Sheet("old.csv"))
	for _, said := range []struct{ question, answer string }{{"[dates, years]", "1990"}, {"[F2]", "300 bar"}, {"[H2]", "marked"}} {
		at := strings.Index(sheet, said.question)
		if at < 0 { // asked when the dates are known
			sheet += "\n" + said.question + " P2 \"3OO\": ?\nanswer:"
			at = strings.LastIndex(sheet, said.question)
		}
		end := at + strings.Index(sheet[at:], "answer:") + len("answer:")
		sheet = sheet[:end] + " " + said.answer + sheet[end:]
	}
	sheet = "\ufeff" + strings.ReplaceAll(sheet, "\n", "\r\n")
	r := convertBy(t, mapping, rows, sheet)
	if len(r.Questions) > 0 || len(r.Records) != 2 {
		t.Fatalf("%d records, questions %+v\n%s", len(r.Records), r.Questions, sheet)
	}
	if text := string(r.Records[0].Text); !strings.Contains(text, "[300 bar, 300 bar]") || !strings.Contains(text, "tip: marked") || !strings.Contains(text, "2019-02-03") {
		t.Errorf("%s", text)
	}
	if again := r.Sheet("old.csv"); !bytes.Contains(again, []byte("answer: 300 bar")) {
		t.Errorf("the answers are not kept:\n%s", again)
	} else if third := convertBy(t, mapping, rows, string(again)); string(third.Sheet("old.csv")) != string(again) {
		t.Errorf("the file of questions is not the same when nothing changed:\n%s\n%s", again, third.Sheet("old.csv"))
	}
	other := strings.Replace(rows, "3OO", "3O0", 1)
	if r := convertBy(t, mapping, other, sheet); len(r.Questions) != 1 || r.Questions[0].At != "F2" {
		t.Errorf("an answer about another text was taken: %+v", r.Questions)
	}
	if r := convertBy(t, mapping, rows, strings.Replace(sheet, "300 bar", "300 mm", 1)); len(r.Questions) != 1 || !strings.Contains(r.Questions[0].Ask, "the answer is not") {
		t.Errorf("an answer that is none: %+v", r.Questions)
	}
	if r := convertBy(t, mapping, rows, strings.Replace(sheet, "300 bar", "-", 1)); len(r.Questions) != 0 || !strings.Contains(string(r.Records[0].Text), "[300 bar]") {
		t.Errorf("a reading left out: %+v", r)
	}
}

// Numbers are read by the habit of the whole column. A counter shows no thousandths: common practice, no source.
func TestNumbersByHabit(t *testing.T) {
	for _, c := range []struct {
		name   string
		column int
		cells  []string
		want   []string // of the values; empty where it is asked
	}{
		{"one counter that may be either", 3, []string{"41.250"}, []string{""}},
		{"two with one sign", 3, []string{"41.250", "42.100"}, []string{"41250 h", "42100 h"}},
		{"two with two signs", 3, []string{"41.250", "42,100"}, []string{"", ""}},
		{"thousands and tenths", 3, []string{"41.250,5", "41 300"}, []string{"41250.5 h", "41300 h"}},
		{"hundredths of an hour", 3, []string{"41.25", "42100"}, []string{"", "42100 h"}},
		{"apostrophes", 3, []string{"41'250", "41300"}, []string{"41250 h", "41300 h"}},
		{"three decimals beside two", 6, []string{"1,760", "0,76"}, []string{"1.760 mm", "0.76 mm"}},
		{"three decimals alone", 6, []string{"1,760", "1,770"}, []string{"", ""}},
		{"two decimals of both signs", 6, []string{"0,76", "0.77"}, []string{"0.76 mm", "0.77 mm"}},
		{"both signs and three decimals", 6, []string{"0,76", "0.77", "1.760"}, []string{"0.76 mm", "0.77 mm", ""}},
		{"a unit in the cell", 6, []string{"760 µm", "0,77 mm"}, []string{"760 µm", "0.77 mm"}},
	} {
		rows := ""
		for i, x := range c.cells {
			cells := []string{fmt.Sprintf("H-%d", i), "03.02.2019", "1", "", "", "", "", "", ""}
			cells[c.column] = x
			rows += strings.Join(cells, ";") + "\n"
		}
		r := convert(t, rows)
		for i, want := range c.want {
			if len(r.Records) != len(c.cells) {
				t.Fatalf("%s: %d records, questions %+v", c.name, len(r.Records), r.Questions)
			}
			text := string(r.Records[i].Text)
			got := strings.Contains(text, " h\n") || strings.Contains(text, "value:")
			if want == "" && got || want != "" && !strings.Contains(text, ": "+want+"\n") {
				t.Errorf("%s: %s is %q in\n%s", c.name, c.cells[i], want, text)
			}
		}
	}
}

// Day and month are told apart by the whole table: a day above 12 shows which is first, and ISO 8601 is right anywhere.
func TestDates(t *testing.T) {
	const head = "No;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\n"
	free := strings.Replace(mapping, "d.m.y", "", 1)
	for _, c := range []struct{ dates, want, ask string }{
		{"03/04/2016 25/04/2016 26/04/2016", "2016-04-03 2016-04-25 2016-04-26", ""},
		{"03/04/2016 25/04/2016", "2016-04-25", "the order of its dates"},
		{"03/04/2016 25/04/2016 04/26/2016", "2016-04-25 2016-04-26", "dates of both orders"},
		{"03/04/2016 04/25/2016 04/26/2016", "2016-03-04 2016-04-25 2016-04-26", ""},
		{"03/04/2016 05/04/2016", "", "the order of its dates"},
		{"03.04.2016 05.04.2016", "2016-04-03 2016-04-05", ""},
		{"2016-08-09 25.04.2016", "2016-08-09 2016-04-25", ""},
		{"2016.8.9 5-ene-2016", "2016-08-09 2016-01-05", ""},
		{"9.Mai.2016 3-Okt-2016", "2016-05-09 2016-10-03", ""},
		{"9-Agustus-2016 3-Dez-2016", "2016-08-09 2016-12-03", ""},
		{"25/04/16 26/04/16", "", "two digits"},
		{"25/04/2016 04/26/2016", "2016-04-25 2016-04-26", ""},
	} {
		rows := head
		for i, d := range strings.Fields(c.dates) {
			rows += fmt.Sprintf("H-%d;%s;1;;;;;;\n", i, d)
		}
		r := convertBy(t, free, rows, "")
		got := ""
		for _, rec := range r.Records {
			got += " " + rec.Path[len("overhauls/me1/c1/"):][:10]
		}
		if strings.TrimSpace(got) != c.want || (c.ask == "") != (len(r.Questions) == 0) || c.ask != "" && (len(r.Questions) != 1 || !strings.Contains(r.Questions[0].Ask, c.ask)) {
			t.Errorf("%s: %s, questions %+v", c.dates, got, r.Questions)
		}
	}
}

func TestRaggedLineHidesNoOther(t *testing.T) {
	r := convert(t, "0107;03.02.2019\n0108;03.02.2019;2;41250;300;295 bar;0,76;good;AB\n0109;x;2\n")
	if len(r.Records) != 1 || len(r.Questions) != 2 || r.Questions[0].At != "row 2" || r.Questions[1].At != "row 4" {
		t.Errorf("two ragged lines around a good one: %+v", r)
	}
}

func TestReadMapRefuses(t *testing.T) {
	for _, m := range []string{"", "column,key\n", "column,key\nA,as_fuond.oil\n", "column,key\nA,as_found\n", "column,key,value\nA,holder,B\n", "column,key\n,holder\n",
		"column,key,form\nA,removed.date,dmy\n", "column,key\nA,corrections.was\n", "column,key,form\nA,removed.date,d.m.y 19\n", "column,key,carry\nA,holder,down\n", "column,key\nA\n"} {
		if got, err := intake.ReadMap([]byte(m)); err == nil {
			t.Errorf("ReadMap(%q) = %+v", m, got)
		}
	}
}

// A map that is written is the map that is read.
func TestMapText(t *testing.T) {
	src := source(t, "old.csv", []byte("Fuel valves\nHolder;Removed;Cyl;Lift [mm];Tip\nH-1;03.02.2019;1;0,76;g.o.\n;do.;2;;tadellos\n"))
	m, err := intake.Propose(book(t), src)
	if err != nil {
		t.Fatal(err)
	}
	again, err := intake.ReadMap(m.Text())
	if err != nil || string(again.Text()) != string(m.Text()) {
		t.Errorf("%v\n%s\n%s", err, m.Text(), again.Text())
	}
	for _, want := range []string{"Lift [mm],measured.lift.value,mm,", "Removed,removed.date,,dittos,", "Tip,inspected.tip,,,g.o.,good,", "Tip,inspected.tip,,,tadellos,,"} {
		if !strings.Contains(string(m.Text()), want) {
			t.Errorf("no %q in\n%s", want, m.Text())
		}
	}
}

// A table that nobody wrote by hand is refused with its bound, however it is large; so is a zip that grows.
func TestBounds(t *testing.T) {
	for says, src := range map[string]string{
		"at most 2000 are read":  strings.Repeat("a;", 1_000_000) + "b\n",
		"more than 200000 lines": "No;Pulled\n" + strings.Repeat("x\n", 200_001),
		"bytes, at most":         strings.Repeat("x", intake.MaxBytes+1),
		"no workbook":            string(zipped(t, map[string]string{"a": "b"})),
		"which is all that is":   string(zipped(t, map[string]string{"xl/workbook.xml": strings.Repeat(" ", intake.MaxBytes+2)})),
		"more than 4194304 cells": string(workbook(t, "<row>"+strings.Repeat("<c/>", 1990)+`<c t="inlineStr"><is><t>x</t></is></c></row>`+
			strings.Repeat(`<row><c r="BXX1" t="inlineStr"><is><t>x</t></is></c></row>`, 2200))),
		"not whole": string(workbook(t, "<row><c>")),
		"2000 col":  string(workbook(t, `<row><c r="XFD1"><v>1</v></c></row>`)),
		"locked":    "\xd0\xcf\x11\xe0 a workbook of the last century",
		"no text":   "\x00\x01\x02",
	} {
		if _, _, err := intake.Read([]byte(src)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want one that says %q", err, says)
		}
	}
}

func zipped(t *testing.T, files map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range files {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		w.Write([]byte(text))
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// workbook is one with a worksheet of these rows, as ECMA-376 has it.
func workbook(t *testing.T, rows string) []byte {
	t.Helper()
	return zipped(t, map[string]string{
		"xl/workbook.xml":            `<workbook xmlns:r="r"><sheets><sheet name="Old" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="rId1" Target="worksheets/sheet1.xml"/></Relationships>`,
		"xl/styles.xml":              `<styleSheet><numFmts><numFmt numFmtId="170" formatCode="0000"/></numFmts><fonts><font/><font><strike/></font></fonts><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="0" fontId="1"/></cellXfs></styleSheet>`,
		"xl/sharedStrings.xml":       `<sst><si><t>Holder</t></si><si><r><t>Remo</t></r><r><t>ved</t></r><rPh><t>x</t></rPh></si></sst>`,
		"xl/worksheets/sheet1.xml":   `<worksheet><sheetData>` + rows + `</sheetData></worksheet>`,
	})
}

// A stored day is that day; one that the spreadsheet may have misread, because texts beside it show that it read the other
// order, is asked about. Day 43499 is 2019-02-03 (ECMA-376, 18.17.4.1: 1900 date base).
func TestStoredDays(t *testing.T) {
	const head = `<row r="1"><c t="s"><v>0</v></c><c t="s"><v>1</v></c><c t="inlineStr"><is><t>Cyl</t></is></c></row>`
	line := func(n int, holder, day string) string {
		return fmt.Sprintf(`<row r="%d"><c s="2"><v>%s</v></c>%s<c><v>1</v></c></row>`, n, holder, day)
	}
	m, err := intake.ReadMap([]byte("column,key,value\nHolder,holder,\nRemoved,removed.date,\nCyl,removed.cylinder,\n,removed.engine,ME1\n"))
	if err != nil {
		t.Fatal(err)
	}
	stored, typed := `<c s="1"><v>43499</v></c>`, `<c t="inlineStr"><is><t>25/03/2019</t></is></c>`
	for _, c := range []struct {
		second string
		paths  string
		asked  int
	}{
		{`<c s="1"><v>43500</v></c>`, "overhauls/me1/c1/2019-02-03-0107.md overhauls/me1/c1/2019-02-04-0108.md", 0},
		{typed, "overhauls/me1/c1/2019-03-25-0108.md", 1},
	} {
		r, err := intake.Convert(book(t), m, source(t, "old.xlsx", workbook(t, head+line(2, "107", stored)+line(3, "108", c.second))), intake.Answers{})
		paths := ""
		for _, rec := range r.Records {
			paths += " " + rec.Path
		}
		if err != nil || strings.TrimSpace(paths) != c.paths || len(r.Questions) != c.asked {
			t.Errorf("%v: %s, %+v", err, paths, r.Questions)
		}
	}
}

// A workbook that another program wrote (Gnumeric 1.12, from the text beside it) gives the same records as the text, its days
// and numbers stored as such.
func TestWorkbookOfAnotherProgram(t *testing.T) {
	const answers = "[A key] Date \"2016-08-09 | 2017-02-14 | 2017-02-15\":\nanswer: removed.date\n\n" +
		"[E key] Hours \"24150 | 26311 | 11020\":\nanswer: removed.counter\n"
	a, err := intake.ReadAnswers([]byte(answers))
	if err != nil {
		t.Fatal(err)
	}
	var made [2][]intake.Record
	for i, name := range []string{"gnumeric.xlsx", "same.csv"} {
		text, err := os.ReadFile("testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		src := source(t, "c", text)
		m, err := intake.Propose(ship(t), src)
		if err != nil {
			t.Fatal(err)
		}
		r, err := intake.Convert(ship(t), m, src, a)
		if err != nil || len(r.Questions) > 0 || len(r.Records) != 4 {
			t.Fatalf("%s: %v, %d records, %+v", name, err, len(r.Records), r.Questions)
		}
		made[i] = r.Records
	}
	for i, rec := range made[0] {
		book := regexp.MustCompile(`(?s)reconstructed:.*?---`)
		got, want := book.ReplaceAll(rec.Text, nil), book.ReplaceAll(made[1][i].Text, nil)
		if rec.Path != made[1][i].Path || !bytes.Equal(got, want) {
			t.Errorf("%s\n%s\nwant %s\n%s", rec.Path, got, made[1][i].Path, want)
		}
	}
	if text := string(made[0][3].Text); !strings.Contains(text, "counter: 11020 h") || !strings.Contains(text, "time: more than 60 s") || !strings.Contains(text, "date: 2017-02-15") {
		t.Errorf("%s", text)
	}
}

// Several worksheets of the same columns have one map; the name of each may be that of an engine, and a title between rows too.
func TestWorksheetsAndTitles(t *testing.T) {
	grid := func(text string) intake.Grid { return source(t, "", []byte(text)).Grids[0] }
	const head = "Holder,Removed,Cyl,Lift [mm]\n"
	me, ae := grid(head+"H-1,2019-02-03,1,0.76\n"), grid(head+"H-2,2019-02-04,2,0.77\nMain engine ME1,,,\nH-3,2019-02-05,2,0.78\n")
	me.Name, ae.Name = "ME1 main engine", "AE1"
	src := intake.Source{Name: "old.xlsx", Grids: []intake.Grid{me, ae, grid("nothing of this\n")}}
	m, err := intake.Propose(book(t), src)
	if err != nil || len(m) != 4 {
		t.Fatalf("%v, %+v", err, m)
	}
	r, err := intake.Convert(book(t), m, src, intake.Answers{})
	paths := ""
	for _, rec := range r.Records {
		paths += rec.Path + " " + rec.Row + "\n"
	}
	if want := "overhauls/me1/c1/2019-02-03-h-1.md ME1 main engine!2\noverhauls/ae1/c2/2019-02-04-h-2.md AE1!2\noverhauls/me1/c2/2019-02-05-h-3.md AE1!4\n"; err != nil || paths != want || len(r.Passed) != 2 {
		t.Errorf("%v\n%swant\n%s%q, %+v", err, paths, want, r.Passed, r.Questions)
	}
	if text := string(r.Records[0].Text); !strings.Contains(text, "old.xlsx, worksheet ME1 main engine, row 2, SHA-256") {
		t.Errorf("%s", text)
	}
}

// What no engine is named for is asked once.
func TestEngineIsAskedOnce(t *testing.T) {
	const rows = "Holder,Removed,Cyl,Lift [mm]\nH-1,2019-02-03,1,0.76\nH-2,2019-02-04,2,0.77\n"
	src := source(t, "old.csv", []byte(rows))
	m, err := intake.Propose(book(t), src)
	if err != nil {
		t.Fatal(err)
	}
	r, err := intake.Convert(book(t), m, src, intake.Answers{})
	if err != nil || len(r.Questions) != 1 || r.Questions[0].At != "engine" || len(r.Records) != 0 {
		t.Errorf("%v, %+v", err, r.Questions)
	}
	a, _ := intake.ReadAnswers([]byte(r.Questions[0].String() + "\nanswer: AE1\n"))
	if r, err = intake.Convert(book(t), m, src, a); err != nil || len(r.Records) != 2 || r.Records[0].Path != "overhauls/ae1/c1/2019-02-03-h-1.md" {
		t.Errorf("%v, %+v", err, r)
	}
}

// How sheets are laid out: what is proposed for each column, and the days of the records.
func TestLayouts(t *testing.T) {
	for _, c := range []struct{ name, rows, proposed, made, asked string }{
		{"blanks are as above, not across a title",
			"Holder;Removed;Cyl;Lift [mm]\nH-1;2019-02-03;1;0.76\nH-2;;2;0.76\nH-3;;3;0.76\nRound of ME1 in May;;;\nH-4;;4;0.77\nH-5;2019-05-04;5;0.77\n",
			"holder removed.date+blanks removed.cylinder measured.lift.value", "2019-02-03-h-1 2019-02-03-h-2 2019-02-03-h-3", "engine from row 5 B6"},
		{"a group reaches as far as what is below needs it",
			"Fuel valves ME1;;;;;\nHolder;Removed;Cyl;Opening pressure [bar];;Remarks\n;;;found;left;\nH-1;2019-02-03;1;300;320;x\n",
			"holder removed.date removed.cylinder as_found.opening_pressure as_left.opening_pressure remarks", "2019-02-03-h-1", ""},
		{"a title in two cells",
			"Motor ship Anyone;Overhauls of ME1;;\nHolder;Removed;Cyl;Lift [mm]\nH-1;2019-02-03;1;0.76\n",
			"holder removed.date removed.cylinder measured.lift.value", "2019-02-03-h-1", ""},
		{"a group of other names beside it",
			"Fuel valves ME1;;;;;\n;;;Opening pressure [bar];;\nHolder;Removed;Cyl;found;left;Lift [mm]\nH-1;2019-02-03;1;300;320;0.7\n",
			"holder removed.date removed.cylinder as_found.opening_pressure as_left.opening_pressure measured.lift.value", "2019-02-03-h-1", ""},
		{"the test above, its readings below",
			"Fuel valves ME1;;;;;;\n;;;As found;;As left;\nHolder;Removed;Cyl;Pop [bar];Leak down [s];Pop [bar];Leak down [s]\nH-1;2019-02-03;1;300;9;320;11\n",
			"holder removed.date removed.cylinder as_found.opening_pressure as_found.leak_down.time as_left.opening_pressure as_left.leak_down.time", "2019-02-03-h-1", ""},
		{"two columns claim one key",
			"Fuel valves ME1;;;;\nHolder;Removed;Cyl;Lift [mm];Needle lift [mm]\nH-1;2019-02-03;1;0.76;0.77\n",
			"holder removed.date removed.cylinder  ", "2019-02-03-h-1", "D key E key"},
		{"one name twice",
			"Fuel valves ME1;;;;;\nHolder;Removed;Cyl;Pop left [bar];Pop left [bar];Pop left [bar]\nH-1;2019-02-03;1;300;301;302\n",
			"holder removed.date removed.cylinder as_left.opening_pressure as_left.opening_pressure as_left.opening_pressure", "2019-02-03-h-1", ""},
		{"rows that are numbered, positions, readings in one cell",
			"No;Injector;Position;Date removed;Pop left [bar]\n1;A-7;ME1-2;2019-02-03;300/305/310\n2;A-8;AE1 cyl 3;2019-02-04;300\n3;A-9;ME1/6;2019-02-05;300\n",
			"- holder removed.position removed.date as_left.opening_pressure", "2019-02-03-a-7 2019-02-04-a-8", "C4"},
		{"the heading again on each page",
			"Holder;Removed;Cyl;Lift [mm]\nH-1;2019-02-03;1;0.76\nHolder;Removed;Cyl;Lift [mm]\nH-2;2019-02-04;2;0.76\nRound of ME1;;;\n",
			"holder removed.date removed.cylinder measured.lift.value", "", "engine"},
	} {
		src := source(t, "old.csv", []byte(c.rows))
		b := book(t)
		if strings.Contains(c.name, "blanks") {
			b = ship(t)
			src.Grids[0].Name = "ME1"
		}
		m, err := intake.Propose(b, src)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var proposed, made, asked []string
		for _, e := range m {
			if e.Written == "" {
				key := e.Key
				if e.Carry != "" {
					key += "+" + e.Carry
				}
				proposed = append(proposed, key)
			}
		}
		r, err := intake.Convert(b, m, src, intake.Answers{})
		for _, rec := range r.Records {
			made = append(made, strings.TrimSuffix(rec.Path[strings.LastIndex(rec.Path, "/")+1:], ".md"))
		}
		for _, q := range r.Questions {
			asked = append(asked, q.At)
		}
		if p, n, a := strings.Join(proposed, " "), strings.Join(made, " "), strings.Join(asked, " "); err != nil || p != c.proposed || n != c.made || a != c.asked {
			t.Errorf("%s: %v\n%s\n%s\n%s %+v", c.name, err, p, n, a, r.Questions)
		}
	}
}

// What strangers' sheets held and was once believed in silence: each of these is asked, and nothing is written of it.
func TestNothingIsBelievedInSilence(t *testing.T) {
	const head = "Holder;Removed;Cyl;Pop left [bar];Seat left;Remarks\n"
	row := func(n int, cells string) string { return fmt.Sprintf("H-%d;2019-02-%02d;%s\n", n, n, cells) }
	good := row(1, "1;320;dry;") + row(2, "2;322;dry;") + row(3, "1;318;dry;") + row(4, "2;321;dry;")
	for _, c := range []struct{ name, rows, asked, lacks string }{
		{"ten times the column", row(5, "1;3200;dry;"), "D7", "3200"},
		{"a tenth of it", row(5, "1;32.1;dry;"), "D7", "32.1"},
		{"a year that is none of a ship's", "H-5;1919-02-05;1;320;dry;\n", "B7", "h-5"},
		{"nought", row(5, "1;0;dry;"), "D7", "pressure: [0"},
		{"a doubt behind a word", row(5, "1;320;dry?;"), "E7", "h-5.md dry"},
		{"a doubt behind a cylinder", row(5, "1?;320;dry;"), "C7", "h-5"},
		{"a word for a serial", "unknown;2019-02-05;1;320;dry;\n", "A7", "unknown"},
		{"two serials", "H-5 -> H-6;2019-02-05;1;320;dry;\n", "A7", "h-6"},
		{"another heading", "Holder;Removed;Cyl;Seat left;Pop left [bar];Remarks\n" + row(5, "1;dry;320;"), "row 7", "h-5"},
		{"a title of an engine that is none of the book", "DG1;;;;;\n" + row(5, "1;320;dry;"), "engine from row 7", "h-5"},
		{"a title that speaks of an engine", "spares from AE1;;;;;\n" + row(5, "1;320;dry;"), "engine from row 7", "h-5"},
		{"two dittos under blanks", row(5, "1;320;;") + row(6, "2;320;do.;") + row(7, "1;320;;") + row(8, "2;320;do.;"), "E8 E10", "ditto"},
	} {
		src := source(t, "old.csv", []byte("Fuel valves ME1;;;;;\n"+head+good+c.rows))
		m, err := intake.Propose(book(t), src)
		if err != nil {
			t.Fatal(err)
		}
		r, err := intake.Convert(book(t), m, src, intake.Answers{})
		var asked []string
		for _, q := range r.Questions {
			asked = append(asked, q.At)
		}
		all := ""
		for _, rec := range r.Records {
			all += rec.Path + " " + string(rec.Text)
		}
		if got := strings.Join(asked, " "); err != nil || got != c.asked || strings.Contains(all, c.lacks) {
			t.Errorf("%s: %v, asked %s, want %s\n%s", c.name, err, got, c.asked, all)
		}
	}
	// A remark that runs on in a line of its own changes no engine.
	src := source(t, "old.csv", []byte("Fuel valves ME1;;;;;\n"+head+good+";;;;;changed with that of AE1\n"+row(5, "1;320;dry;")))
	m, err := intake.Propose(book(t), src)
	if err != nil {
		t.Fatal(err)
	}
	if r, err := intake.Convert(book(t), m, src, intake.Answers{}); err != nil || len(r.Records) != 5 || r.Records[4].Path != "overhauls/me1/c1/2019-02-05-h-5.md" {
		t.Errorf("%v, %+v", err, r.Questions)
	}
}

// A dial gauge counts hundredths, and sheets do: the heading says so, or whoever is asked. Nothing is rounded.
func TestPartsOfAUnit(t *testing.T) {
	const sheet = "Holder;Removed;Cyl;%s\nH-1;2019-02-01;1;72\nH-2;2019-02-02;2;70,5\nH-3;2019-02-03;1;7\nH-4;2019-02-04;2;71\nH-5;2019-02-05;1;0.71\nH-6;2019-02-06;2;0,7 mm\n"
	for _, c := range []struct{ name, answer string }{{"Needle lift (1/100 mm)", ""}, {"Needle lift 1/100 mm", ""}, {"Needle lift [0,01mm]", ""},
		{"Needle lift (x 0.01 mm)", ""}, {"Needle lift", "[D unit] Needle lift \"72 | 70,5 | 7\": of\nanswer: 1/100 mm\n"}} {
		src := source(t, "lift.csv", []byte("Fuel valves ME1;;;\n"+fmt.Sprintf(sheet, c.name)))
		m, err := intake.Propose(book(t), src)
		if err != nil {
			t.Fatal(err)
		}
		answers, err := intake.ReadAnswers([]byte(c.answer))
		if err != nil {
			t.Fatal(err)
		}
		r, err := intake.Convert(book(t), m, src, answers)
		if err != nil || len(r.Records) != 6 {
			t.Fatalf("%s: %v, %+v", c.name, err, r.Questions)
		}
		for i, want := range []string{"0.72 mm", "0.705 mm", "", "0.71 mm", "", "0.7 mm"} { // far ones are asked
			if text := string(r.Records[i].Text); want == "" && strings.Contains(text, "mm") || !strings.Contains(text, want) {
				t.Errorf("%s, row %s, want %q:\n%s", c.name, r.Records[i].Row, want, text)
			}
		}
	}
}

// The keys that are offered for a column are of the unit that its heading states.
func TestOfferedKeysFitTheUnit(t *testing.T) {
	src := source(t, "old.csv", []byte("Fuel valves ME1;;;;;\nHolder;Removed;Cyl;Seat diameter (mm);Leak tested from (bar);Old counter (h)\n"+
		"H-1;2019-02-01;1;2.1;250;100\nH-2;2019-02-02;2;2.2;250;90\n"))
	m, err := intake.Propose(book(t), src)
	if err != nil {
		t.Fatal(err)
	}
	for i := range m {
		if m[i].Key == "remarks" {
			m[i].Key = ""
		}
	}
	r, err := intake.Convert(book(t), m, src, intake.Answers{})
	if err != nil {
		t.Fatal(err)
	}
	for at, want := range map[string]string{"D key": "measured.seat_diameter", "E key": "as_found.leak_down.from", "F key": "removed.counter"} {
		i := slices.IndexFunc(r.Questions, func(q intake.Question) bool { return q.At == at })
		if i < 0 || !strings.Contains(r.Questions[i].Ask, want) || at != "F key" && strings.Contains(r.Questions[i].Ask, ".date") {
			t.Errorf("%s: want %s in %+v", at, want, r.Questions)
		}
	}
}

// An answer belongs to its row: rows that have moved are asked about again.
func TestAnswersStayWithTheirRows(t *testing.T) {
	const first, second = "H-1;03.02.2019;2;41250;;28?;0.76;good;\n", "H-2;04.02.2019;1;41260;;28?;0.76;good;\n"
	const head = "No;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\n"
	r := convertBy(t, mapping, head+first+second, "")
	if len(r.Questions) != 2 {
		t.Fatalf("%+v", r.Questions)
	}
	answers := r.Questions[0].String() + "\nanswer:\n281 bar\n\n" + r.Questions[1].String() + "\nAnswer: 282 bar\n"
	r = convertBy(t, mapping, head+first+second, answers)
	if len(r.Questions) != 0 || !strings.Contains(string(r.Records[0].Text), "281 bar") || !strings.Contains(string(r.Records[1].Text), "282 bar") {
		t.Errorf("%+v\n%s", r.Questions, r.Records[0].Text)
	}
	if r = convertBy(t, mapping, head+second+first, answers); len(r.Questions) != 2 || strings.Contains(string(r.Records[0].Text)+string(r.Records[1].Text), "opening_pressure") {
		t.Errorf("answers of rows that have moved were taken: %+v", r.Questions)
	}
	if kept := string(r.Sheet("old.csv")); !strings.Contains(kept, "281 bar") || !strings.Contains(kept, "282 bar") {
		t.Errorf("answers are lost:\n%s", kept)
	}
}

// A value that comes from other bytes of the sheet than the record did names both.
func TestRenewNamesBothSheets(t *testing.T) {
	const head = "No;Pulled;Cyl;Hours;P1;P2;Lift;Tip;Who\n"
	old := convertBy(t, mapping, head+"H-1;03.02.2019;2;41250;300;300;;good;\n", "").Records[0]
	now := convertBy(t, mapping, head+"H-1;03.02.2019;2;41251;300;300;0.76;good;\n", "").Records[0]
	r, err := intake.Renew(old.Text, now)
	if err != nil || strings.Join(r.Added, " ") != "measured" || r.Moved || len(r.Differs) != 1 || !strings.Contains(r.Differs[0], "41250 h") {
		t.Errorf("%v, %+v", err, r)
	}
	if text := string(r.Text); strings.Count(text, "SHA-256") != 1 || !regexp.MustCompile(`SHA-256 [0-9a-f]{64} and [0-9a-f]{64}"`).MatchString(text) || !strings.Contains(text, "counter: 41250 h") {
		t.Errorf("%s", text)
	}
	if again, err := intake.Renew(r.Text, now); err != nil || len(again.Added) != 0 || !bytes.Equal(again.Text, r.Text) {
		t.Errorf("%v, %+v", err, again)
	}
}

// A row that is struck through was cancelled by whoever keeps the sheet: it is named, and makes no record.
func TestStruckRow(t *testing.T) {
	line := func(n, style int, holder string) string {
		cell := func(text string) string {
			return fmt.Sprintf(`<c t="inlineStr" s="%d"><is><t>%s</t></is></c>`, style, text)
		}
		return fmt.Sprintf(`<row r="%d">%s%s%s</row>`, n, cell(holder), cell("2019-02-03"), cell("1"))
	}
	m, err := intake.ReadMap([]byte("column,key,value\nHolder,holder,\nRemoved,removed.date,\nCyl,removed.cylinder,\n,removed.engine,ME1\n"))
	if err != nil {
		t.Fatal(err)
	}
	head := strings.Replace(line(1, 0, "Holder"), "2019-02-03", "Removed", 1)
	head = strings.Replace(head, "<t>1</t>", "<t>Cyl</t>", 1)
	r, err := intake.Convert(book(t), m, source(t, "old.xlsx", workbook(t, head+line(2, 0, "H-1")+line(3, 3, "H-2"))), intake.Answers{})
	if err != nil || len(r.Records) != 1 || len(r.Passed) != 1 || !strings.Contains(r.Passed[0], "struck through: H-2") {
		t.Errorf("%v, %+v", err, r)
	}
}
