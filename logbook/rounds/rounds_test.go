package rounds_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf16"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/rounds"
)

const bookText = `---
vessel: Try
engines:
  - {id: ME1, type: T, cylinders: [1, 2, 3], numbered_from: free end, limits: t}
opening:
  date: 2024-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, since: 0 h, left: 330 kgf/cm²}
    - {engine: ME1, cylinder: 2, holder: "H-2", nozzle: "N-2", counter: 1000 h, since: 0 h, left: 330 kgf/cm²}
    - {engine: ME1, cylinder: 3, holder: "007", nozzle: "N-7", counter: 1000 h, since: 0 h, left: 330 kgf/cm²}
  spares:
    - {holder: "H-4", nozzle: "N-4", left: 330 kgf/cm²}
---
`

const limitsText = `---
type: T
revisions:
  - from: 2024-01-01
    source: invented
    opening_pressure: {used: 330 +10/-0 kgf/cm², new: 345 +10/-0 kgf/cm²}
    seat: {at: opening - 20 kgf/cm², for: 10 s, allow: damp}
    leak_down: {as_left: at least 6.0 s}
---
`

const ready = `---
holder: "H-5"
nozzle: {found: "N-5", left: "N-5"}  # mine
removed: {engine: ME1, cylinder: 2, date: 2023-12-01, counter: 900 h, reason: planned}
as_left: {date: 2023-12-02, opening_pressure: [331 kgf/cm²]}
stored: {date: 2023-12-02}
by: m
---

As it was.
`

// seen are the records that somebody has countersigned.
var seen = map[string]string{}

type folder fstest.MapFS

func newFolder() folder {
	return folder{"book.md": {Data: []byte(bookText)}, "limits/t.md": {Data: []byte(limitsText)},
		"overhauls/me1/c2/2023-12-01-h-5.md": {Data: []byte(ready)}}
}

func (f folder) book(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(fstest.MapFS(f))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// planned is the table of a round on a day, as it is written: in lines, with semicolons.
func (f folder) planned(t *testing.T, in ...string) *table {
	t.Helper()
	b, day := f.book(t), logbook.Day(0)
	day, _ = logbook.ParseDay("2024-06-01")
	var seats []rounds.Seat
	for i, p := range b.Positions() {
		s, err := draft.At(b, p, day)
		if err != nil {
			t.Fatal(err)
		}
		seat := rounds.Seat{Sheet: s}
		if i < len(in) {
			seat.InHolder = in[i]
		}
		seats = append(seats, seat)
	}
	var text bytes.Buffer
	if err := rounds.New(seats).WriteCSV(&text, seats[0].Sheet, ';'); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(strings.TrimPrefix(text.String(), "\ufeff"), "\r\n"), "\r\n")
	out := &table{}
	for _, l := range lines {
		out.rows = append(out.rows, strings.Split(l, ";"))
	}
	return out
}

type table struct{ rows [][]string }

// put fills a cell in, by its cylinder from 1 and the beginning of its column's name.
func (x *table) put(t *testing.T, cylinder int, cells ...string) *table {
	t.Helper()
	for i := 0; i < len(cells); i += 2 {
		at := slices.IndexFunc(x.rows[0], func(n string) bool { return n == cells[i] || strings.HasPrefix(n, cells[i]+" [") })
		if at < 0 {
			t.Fatalf("no column %s among %s", cells[i], x.rows[0])
		}
		x.rows[1+cylinder][at] = cells[i+1]
	}
	return x
}

func (x *table) text() string {
	var b strings.Builder
	for _, r := range x.rows {
		b.WriteString(strings.Join(r, ";") + "\r\n")
	}
	return b.String()
}

func (f folder) take(t *testing.T, src []byte) rounds.Result {
	t.Helper()
	tab, err := rounds.Read(src)
	if err != nil {
		t.Fatal(err)
	}
	r, err := rounds.Take(f.book(t), tab, func(name string) ([]byte, error) { return fs.ReadFile(fstest.MapFS(f), name) }, func(path string) string { return seen[path] })
	if err != nil {
		t.Fatal(err)
	}
	for _, rec := range r.Records {
		if !within(rec.Was, rec.Is) {
			t.Errorf("%s lost a byte of what it had", rec.Path)
		}
		if p := logbook.Problems(rec.Path, rec.Is); len(p) > 0 {
			t.Errorf("%s: %+v in\n%s", rec.Path, p, rec.Is)
		}
	}
	return r
}

// within says that a text is another one with something put in between.
func within(was, is []byte) bool {
	for _, b := range is {
		if len(was) > 0 && was[0] == b {
			was = was[1:]
		}
	}
	return len(was) == 0
}

func (f folder) write(records []rounds.Record) {
	for _, r := range records {
		f[r.Path] = &fstest.MapFile{Data: r.Is}
	}
}

func doubts(r rounds.Result) string {
	var all []string
	for _, d := range r.Doubts {
		all = append(all, fmt.Sprintf("%s %s", d.Position, d))
	}
	return strings.Join(all, "\n")
}

// done is a table of three cylinders with everything that a valve goes through; the figures are invented.
func (f folder) done(t *testing.T) *table {
	t.Helper()
	x := f.planned(t, "H-4", "H-5", "007")
	for c := 1; c <= 3; c++ {
		x.put(t, c, "removed.counter", "1500", "as_found.opening_pressure 1", "306,5", "as_found.opening_pressure 2", "307", "as_found.opening_pressure 3", "306",
			"as_found.seat.state", "Dry", "as_found.leak_down.time", "9,6", "as_found.spray.weak", "3, 7", "measured.lift.value", "0,74", "measured.holder_wear.value", "not measured (gauge away)",
			"decided.nozzle", "reuse", "nozzle.left", []string{"N-1", "N-2", "N-7"}[c-1], "as_left.opening_pressure 1", "332", "as_left.date", "02.06.2024", "as_left.leak_down.time", "more than 60",
			"fitted.date", "2024-06-02", "fitted.counter", "1500,5", "fitted.clamp_nuts.torque", "90", "running_after.exhaust_deviation", "-3,5", "by", "m", "minutes", "65")
	}
	return x
}

// A valve that came out of one cylinder goes into another one, whichever row is first. No outside source.
func TestValvesChangePlaces(t *testing.T) {
	f := newFolder()
	x := f.planned(t, "H-2", "H-1", "007")
	for c := 1; c <= 2; c++ {
		x.put(t, c, "removed.counter", "1500", "as_left.opening_pressure 1", "332", "fitted.date", "2024-06-02", "fitted.counter", "1500,5")
	}
	r := f.take(t, []byte(x.text()))
	if len(r.Records) != 2 || len(r.Doubts)+len(r.Notes) > 0 && strings.Contains(fmt.Sprint(r.Notes, doubts(r)), "H-") {
		t.Fatalf("%d records, notes %q, doubts\n%s", len(r.Records), r.Notes, doubts(r))
	}
	for i, into := range []string{"2", "1"} {
		if is := string(r.Records[i].Is); !regexp.MustCompile(`(?s)fitted:.*\n  cylinder: ` + into + ` `).MatchString(is) {
			t.Errorf("%s did not go into cylinder %s:\n%s", r.Records[i].Path, into, is)
		}
	}
}

// One stamp in two rows is no valve that came out twice, and a name that somebody doubts is none. No outside source.
func TestStampTwiceAndNameInDoubt(t *testing.T) {
	f := newFolder()
	x := f.planned(t).put(t, 1, "holder", "H-2", "removed.counter", "1500").put(t, 2, "removed.counter", "1500")
	r := f.take(t, []byte(x.text()))
	if got := doubts(r); len(r.Records) > 0 || !strings.Contains(got, `ME1-1 holder "H-2": line 4 has it too: read both stamps`) || !strings.Contains(got, `ME1-2 holder "H-2": line 3 has it too`) {
		t.Errorf("%d records, doubts\n%s", len(r.Records), got)
	}
	x = f.planned(t).put(t, 1, "holder", "H-5", "removed.counter", "1500")
	if notes := fmt.Sprint(f.take(t, []byte(x.text())).Notes); !strings.Contains(notes, "holder H-5 came out, and the book has H-1 there") {
		t.Errorf("notes %s", notes)
	}
	for _, name := range []string{"N-1?", "~N-1", "N-1,x", "N-1 or N-7"} {
		x := f.planned(t).put(t, 1, "removed.counter", "1500", "nozzle.left", name, "by", name)
		r := f.take(t, []byte(x.text()))
		if len(r.Records) != 1 || len(r.Doubts) != 2 || strings.Contains(string(r.Records[0].Is), "by: \"") {
			t.Errorf("%q: %d records, doubts\n%s", name, len(r.Records), doubts(r))
		}
	}
}

// What is behind a # in a cell goes into the record behind the value, once; in a text it is of the text; beside a value that was there before
// it is told. Broken on purpose by leaving out what remarks writes, and by cutting texts too. No outside source.
func TestRemarkBehindAValue(t *testing.T) {
	f := newFolder()
	x := f.planned(t, "H-4", "H-5", "007").put(t, 1, "removed.counter", "1500", "as_found.seat.for", "12,5 # first drop 4.2 s", "as_found.spray.weak", "none # blocked 4 7",
		"as_found.opening_pressure 1", "306,5 # pumped slowly", "as_found.opening_pressure 2", "307", "decided.why", "seal #3 gone")
	r := f.take(t, []byte(x.text()))
	if len(r.Records) != 1 || len(r.Doubts) != 0 {
		t.Fatalf("%d records, doubts\n%s", len(r.Records), doubts(r))
	}
	is := string(r.Records[0].Is)
	for _, line := range []string{`seat: {.*for: 12\.5 s.*}  # .*first drop 4\.2 s\n`, `spray: {.*weak: \[\].*}  # .*blocked 4 7\n`, `\[306\.5 kgf/cm², 307 kgf/cm²\]  # .*; pumped slowly\n`, `why: "seal #3 gone"`} {
		if !regexp.MustCompile(line).MatchString(is) {
			t.Errorf("no line %s in\n%s", line, is)
		}
	}
	f.write(r.Records)
	if again := f.take(t, []byte(x.text())); len(again.Records)+len(again.Doubts) > 0 {
		t.Errorf("a second time: %d records, doubts\n%s", len(again.Records), doubts(again))
	}
	late := f.take(t, []byte(x.put(t, 1, "as_found.seat.for", "12,5 # cloth wet").text()))
	if got := doubts(late); len(late.Records) > 0 || !strings.Contains(got, `its remark "cloth wet" is not in the record`) {
		t.Errorf("a remark that comes late: %d records, doubts\n%s", len(late.Records), got)
	}
}

// One table fills the records of all valves, those that went in from the rack too. No outside source.
func TestTake(t *testing.T) {
	f := newFolder()
	text := f.done(t).text()
	want := f.take(t, []byte(text))
	if d := doubts(want); d != "ME1-2 as_left.date \"02.06.2024\": a date without a choice: 2024-06-02 or 2024-02-06" && len(want.Doubts) != 3 {
		t.Errorf("doubts:\n%s", d)
	}
	texts := map[string]string{}
	for _, r := range want.Records {
		texts[r.Path] = string(r.Is)
	}
	for path, holds := range map[string][]string{
		"overhauls/me1/c1/2024-06-01-h-1.md": {`holder: "H-1"`, "counter: 1500 h", "opening_pressure: [306.5 kgf/cm², 307 kgf/cm², 306 kgf/cm²]", "state: dry", "time: 9.6 s", "weak: [3, 7]",
			"lift: {value: 0.74 mm", `holder_wear: {value: "not measured (gauge away)"`, "time: more than 60 s", "date:                           # day of the test; date \"02.06.2024\" in the table: a date without a choice"},
		"overhauls/spares/2024-06-02-h-4.md": {`holder: "H-4"`, `left: "N-4"`, "engine: ME1", "cylinder: 1", "counter: 1500.5 h", "exhaust_deviation: -3.5 K"},
		"overhauls/me1/c2/2023-12-01-h-5.md": {"cylinder: 2 ", "torque: 90 N·m", "# mine", "As it was."},
		"overhauls/me1/c3/2024-06-01-007.md": {`holder: "007"`, "fitted:", "cylinder: 3 ", "as_left:"},
		"overhauls/me1/c2/2024-06-01-h-2.md": {`left: "N-2"`},
	} {
		for _, h := range holds {
			if !strings.Contains(texts[path], h) {
				t.Errorf("%s does not hold %q:\n%s", path, h, texts[path])
			}
		}
		if path != "overhauls/spares/2024-06-02-h-4.md" && strings.Contains(path, "h-1") && strings.Contains(texts[path], "fitted:") {
			t.Errorf("%s was fitted", path)
		}
	}
	if len(texts) != 5 {
		t.Errorf("%d records", len(texts))
	}
	units := utf16.Encode([]rune("\ufeff" + text))
	var wide []byte
	for _, u := range units {
		wide = append(wide, byte(u), byte(u>>8))
	}
	old := strings.NewReplacer("²", "\xb2", "·", "\xb7", "°", "\xb0").Replace(text)
	for name, src := range map[string]string{"UTF-16": string(wide), "with a mark": "\ufeff" + text, "an old encoding of Windows": old,
		"commas": strings.ReplaceAll(strings.NewReplacer("0,74", `"0,74"`, "306,5", `"306,5"`, "9,6", `"9,6"`, "3, 7", `"3, 7"`, "1500,5", `"1500,5"`, "-3,5", `"-3,5"`).Replace(strings.ReplaceAll(text, "\r\n# limits", "\r\n#")), ";", ",")} {
		got := f.take(t, []byte(src))
		for i, r := range got.Records {
			if string(r.Is) != texts[r.Path] {
				t.Errorf("%s: %d: %s\n%s", name, i, r.Path, r.Is)
			}
		}
		if len(got.Records) != 5 {
			t.Errorf("%s: %d records, %s", name, len(got.Records), doubts(got))
		}
	}
}

// After a power cut the same table finishes what it began, and then has nothing to write. No outside source.
func TestTakenAgain(t *testing.T) {
	whole := newFolder()
	text := []byte(whole.done(t).text())
	all := whole.take(t, text).Records
	whole.write(all)
	for cut := range all {
		f := newFolder()
		f.write(all[:cut])
		f.write(f.take(t, text).Records)
		for path, file := range whole {
			if f[path] == nil || !bytes.Equal(f[path].Data, file.Data) {
				t.Errorf("cut after %d records, %s is\n%s\nwant\n%s", cut, path, f[path], file.Data)
			}
		}
	}
	if again := whole.take(t, []byte(whole.planned(t).put(t, 1, "as_found.spray.weak", "none").text())); !strings.Contains(doubts(again), "3, 7") && !strings.Contains(doubts(again), "the record has") {
		t.Errorf("no weak holes where the record has two: %s", doubts(again))
	}
	if again := whole.take(t, text); len(again.Records) > 0 {
		t.Errorf("taken again it writes %s:\n%s", again.Records[0].Path, again.Records[0].Is)
	}
}

// What is in doubt is not written, and its reason is said. No outside source.
func TestDoubts(t *testing.T) {
	for _, c := range []struct{ column, cell, why string }{
		{"as_found.leak_down.time", "9,6,1", "plain digits"}, {"as_found.leak_down.time", "O,9", "a number and a unit"}, {"as_found.leak_down.time", "12 bar", ""},
		{"removed.counter", "1.500", ""}, {"as_found.date", "03/04/2024", "2024-04-03 or 2024-03-04"}, {"as_found.seat.state", "wet", ""},
		{"as_found.opening_pressure 2", "3O7", ""}, {"as_found.spray.weak", "03-Jul", ""}, {"measured.lift.value", "#REF!", "a spreadsheet shows for none"}, {"measured.lift.value", "#####", "a spreadsheet shows for none"},
		{"nozzle.found", "1,2E+05", "power of ten"}, {"minutes", "an hour", ""}, {"removed.rings_out", "1.5", ""},
	} {
		f := newFolder()
		x := f.planned(t)
		x.put(t, 1, "as_found.opening_pressure 1", "300", c.column, c.cell)
		r := f.take(t, []byte(x.text()))
		key, _, _ := strings.Cut(c.column, " ")
		if len(r.Doubts) != 1 || r.Doubts[0].Key != key || !strings.Contains(r.Doubts[0].Why, c.why) || r.Doubts[0].Why == "" {
			t.Errorf("%s %q: %s", c.column, c.cell, doubts(r))
		}
		for _, rec := range r.Records {
			for _, v := range logbook.Values(rec.Is) {
				if v.Path == key && v.Written != "" || strings.HasPrefix(v.Path, key+"[") {
					t.Errorf("%s %q is written as %q", c.column, c.cell, v.Written)
				}
			}
		}
	}
	f := newFolder()
	for holder, why := range map[string]string{"7": "takes the noughts of 007 away", "H-11": "the nearest is H-1", "1,0E+05": "power of ten", "": "as it is stamped"} {
		r := f.take(t, []byte(f.planned(t).put(t, 3, "holder", holder, "as_found.oil", "20").text()))
		if len(r.Records) > 0 || len(r.Doubts) != 1 || !strings.Contains(r.Doubts[0].Why, why) {
			t.Errorf("holder %q: %s, %d records", holder, doubts(r), len(r.Records))
		}
	}
	for _, file := range []string{"PK\x03\x04", "engine;cylinder;as_found.nothing\nME1;1;2", "holder;nozzle.found\nH-1;N-1", "engine;cylinder;minutes;minutes\n", "engine;cylinder;removed.counter [furlong]\n", "{", `{"format": "other"}`,
		"engine;cylinder\nME1;1;3"} {
		if _, err := rounds.Read([]byte(file)); err == nil {
			t.Errorf("%q was read", file)
		}
	}
	r := f.take(t, []byte("engine;cylinder;holder;minutes\nME9;1;H-1;3\nme1;1;H-1;3\n"))
	if !strings.Contains(doubts(r), `no cylinder "1" of an engine "ME9"`) || !strings.Contains(doubts(r), "the day of the removal") {
		t.Errorf("a cylinder and a day that are missing: %s", doubts(r))
	}
}

// A round that is only planned is no round that was done. No outside source.
func TestPlannedIsNotDone(t *testing.T) {
	f := newFolder()
	r := f.take(t, []byte(f.planned(t, "H-4", "H-5").text()))
	if len(r.Records)+len(r.Doubts) > 0 || strings.Join(r.Idle, " ") != "ME1-1 ME1-2 ME1-3" {
		t.Errorf("%+v", r)
	}
}

// Two engineers write on one round: each adds what is missing, and neither writes over the other. No outside source.
func TestTwoEngineers(t *testing.T) {
	f := newFolder()
	f.write(f.take(t, []byte(f.planned(t).put(t, 1, "as_found.opening_pressure 1", "300", "as_found.leak_down.time", "9,6").text())).Records)
	r := f.take(t, []byte(f.planned(t).put(t, 1, "as_found.opening_pressure 1", "301", "as_found.leak_down.time", "9.6", "measured.lift.value", "0,74").text()))
	f.write(r.Records)
	text := string(f["overhauls/me1/c1/2024-06-01-h-1.md"].Data)
	if len(r.Doubts) != 1 || !strings.Contains(doubts(r), "the record has 300 kgf/cm², which stays") || !strings.Contains(text, "[300 kgf/cm²]") || !strings.Contains(text, "0.74 mm") {
		t.Errorf("%s\n%s", doubts(r), text)
	}
}

// A valve that turns out to be another one has its own record, and is told; one that was begun stays. No outside source.
func TestAnotherValve(t *testing.T) {
	f := newFolder()
	f.write(f.take(t, []byte(f.planned(t).put(t, 1, "as_found.oil", "20").text())).Records)
	r := f.take(t, []byte(f.planned(t).put(t, 1, "holder", "H-4", "nozzle.found", "N-9", "as_found.oil", "20").text()))
	notes := strings.Join(r.Notes, "\n")
	if len(r.Records) != 1 || r.Records[0].Path != "overhauls/me1/c1/2024-06-01-h-4.md" || !strings.Contains(notes, "2024-06-01-h-1.md has begun for holder H-1, and the table has H-4") {
		t.Errorf("%+v\n%s", r.Records, notes)
	}
	r = newFolder().take(t, []byte(newFolder().planned(t).put(t, 1, "nozzle.found", "N-9", "as_found.oil", "20").text()))
	if !strings.Contains(strings.Join(r.Notes, ""), "nozzle N-9 came out, and the book has N-1 there") {
		t.Errorf("%q", r.Notes)
	}
}

// A part condemned on the bench is not built up again by the same table. No outside source.
func TestCondemnedOnTheBench(t *testing.T) {
	f := newFolder()
	r := f.take(t, []byte(f.done(t).put(t, 1, "decided.holder", "condemn", "as_left.date", "").put(t, 2, "decided.nozzle", "condemn", "as_left.date", "").
		put(t, 3, "decided.nozzle", "renew", "nozzle.left", "N-9", "as_left.date", "", "fitted.nozzle", "N-7").text()))
	got := doubts(r)
	for _, want := range []string{"ME1-1 as_left.opening_pressure \"332\": the holder is condemned", "ME1-1 nozzle.left", `ME1-2 nozzle.left "N-2": decided condemn for this nozzle`} {
		if !strings.Contains(got, want) {
			t.Errorf("no doubt %q in\n%s", want, got)
		}
	}
	if !strings.Contains(got, `ME1-3 fitted.nozzle "N-7": decided renew for it; the record of 007 has nozzle N-9`) || strings.Contains(got, "ME1-3 nozzle.left") {
		t.Errorf("a new nozzle is in doubt:\n%s", got)
	}
	for _, rec := range r.Records {
		if rec.Holder == "H-1" && strings.Contains(string(rec.Is), "332") {
			t.Errorf("a condemned holder was built up:\n%s", rec.Is)
		}
	}
	back := f.take(t, []byte(f.done(t).put(t, 1, "decided.holder", "condemn", "as_left.date", "", "fitted.holder", "H-1").text()))
	if !strings.Contains(doubts(back), "ME1-1 fitted.holder \"H-1\": the holder is condemned") {
		t.Errorf("a condemned holder was fitted: %s", doubts(back))
	}
}

// A valve goes into one cylinder. No outside source.
func TestOneCylinder(t *testing.T) {
	f := newFolder()
	x := f.planned(t, "H-4", "H-4", "H-1")
	for c := 1; c <= 3; c++ {
		x.put(t, c, "fitted.date", "2024-06-02")
	}
	got := doubts(f.take(t, []byte(x.text())))
	if !strings.Contains(got, `ME1-2 fitted.holder "H-4": it went into cylinder 1 by this table`) || !strings.Contains(got, `ME1-3 fitted.holder "H-1": it sits in ME1-1 by the book`) {
		t.Errorf("%s", got)
	}
	r := f.take(t, []byte(f.planned(t).put(t, 1, "fitted.date", "2024-06-02").text()))
	if !strings.Contains(doubts(r), "which valve went in") || len(r.Records) > 0 {
		t.Errorf("a fitting of nothing: %s", doubts(r))
	}
	r = f.take(t, []byte(f.planned(t, "H-5").put(t, 1, "fitted.date", "2024-06-02", "fitted.nozzle", "N-8").text()))
	if len(r.Records) != 1 || strings.Contains(string(r.Records[0].Is), "N-8") || !strings.Contains(doubts(r), `fitted.nozzle "N-8": the record of H-5 has nozzle N-5: read the stamp`) {
		t.Errorf("another nozzle at the engine: %+v", r)
	}
}

// Two rows of one cylinder that contradict each other lose nothing: what differs is in doubt. No outside source.
func TestCylinderTwice(t *testing.T) {
	f := newFolder()
	x := f.planned(t).put(t, 1, "as_found.leak_down.time", "9,6", "as_found.oil", "20", "as_found.spray.weak", "none")
	again := f.planned(t).put(t, 1, "as_found.leak_down.time", "7,5", "as_found.oil", "20")
	x.rows = append(x.rows, again.rows[2])
	r := f.take(t, []byte(x.text()))
	if len(r.Doubts) != 1 || !strings.Contains(doubts(r), `as_found.leak_down.time "9,6 and 7,5": lines 3 and 6 are of one valve and differ`) || !strings.Contains(string(r.Records[0].Is), "oil: 20 °C") || !strings.Contains(string(r.Records[0].Is), "weak: []") {
		t.Errorf("%s\n%s", doubts(r), r.Records[0].Is)
	}
}

// A row that breaks off is not taken: its last cell may be half a figure. No outside source.
func TestCutRow(t *testing.T) {
	f := newFolder()
	text := f.planned(t).put(t, 1, "as_found.oil", "20").put(t, 3, "removed.counter", "20652,5").text()
	r := f.take(t, []byte(text[:strings.Index(text, "20652,5")+3]))
	if len(r.Records) != 1 || !strings.Contains(doubts(r), "ME1-3 the row has") || strings.Contains(doubts(r), "206 ") {
		t.Errorf("%d records, %s", len(r.Records), doubts(r))
	}
}

// Nobody signs for another's figures by a table: where a row differs from the record, who did it stays as it is. No outside source.
func TestWhoDidIt(t *testing.T) {
	f := newFolder()
	f.write(f.take(t, []byte(f.planned(t).put(t, 1, "as_found.oil", "20", "as_found.leak_down.time", "9,6").text())).Records)
	r := f.take(t, []byte(f.planned(t).put(t, 1, "as_found.oil", "22", "as_found.chatter", "crisp", "by", "v.third").text()))
	if got := doubts(r); !strings.Contains(got, "by \"v.third\": figures of the record differ") || len(r.Records) != 1 || strings.Contains(string(r.Records[0].Is), "v.third") || !strings.Contains(string(r.Records[0].Is), "crisp") {
		t.Errorf("%s\n%s", got, r.Records[0].Is)
	}
}

// What a chief has countersigned is not added to within its groups; the next step comes below. No outside source.
func TestCountersigned(t *testing.T) {
	const record = "overhauls/me1/c2/2023-12-01-h-5.md"
	seen[record] = "c.chief"
	defer delete(seen, record)
	f := newFolder()
	r := f.take(t, []byte(f.planned(t, "H-5").put(t, 1, "fitted.date", "2024-06-02", "fitted.rings_in", "1").text()))
	if len(r.Records) != 1 || len(r.Doubts) > 0 {
		t.Fatalf("the next step: %d records, %s", len(r.Records), doubts(r))
	}
	f.write(r.Records)
	r = f.take(t, []byte(f.planned(t, "H-5").put(t, 1, "fitted.date", "2024-06-02", "fitted.protrusion", "18").text()))
	if len(r.Records) > 0 || !strings.Contains(doubts(r), "countersigned by c.chief") {
		t.Errorf("within its groups: %d records, %s", len(r.Records), doubts(r))
	}
}

// A table is read as it was written, and no text of the book becomes a formula. Source: OWASP, CSV Injection.
func TestTableThereAndBack(t *testing.T) {
	tab := &rounds.Table{Columns: []rounds.Column{{Key: "engine"}, {Key: "cylinder"}, {Key: "removed.pocket"}, {Key: "running_after.exhaust_deviation", Unit: "K"}},
		Rows: []rounds.Row{{Cells: []string{"ME1", "1", "=1+1", "-3.5"}}, {Cells: []string{"ME1", "2", `a "b", c;d 1.5`, ""}}, {Cells: []string{"ME1", "3", "1.5", "1.500"}}}}
	for _, mark := range ",;\t" {
		var out bytes.Buffer
		if err := tab.WriteCSV(&out, nil, mark); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), "'=1+1") || strings.Contains(out.String(), "'-3.5") {
			t.Errorf("%q", out.String())
		}
		back, err := rounds.Read(out.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range back.Rows {
			want := slices.Clone(tab.Rows[i].Cells)
			if mark == ';' { // a number with the decimal sign of such a spreadsheet; a text stays, and so does what may be thousands
				want[3] = strings.Replace(want[3], "-3.5", "-3,5", 1)
			}
			if !slices.Equal(r.Cells, want) {
				t.Errorf("%q: %q, want %q", mark, r.Cells, want)
			}
		}
		if !slices.Equal(back.Columns, tab.Columns) {
			t.Errorf("%+v", back.Columns)
		}
	}
}

// A spare that is tested again before it goes in has a row of its own: its record says that nobody opened it, and the fitting goes into
// the same record, wherever the row is. No outside source.
func TestSpareTestedAgain(t *testing.T) {
	const head = "engine;cylinder;holder;nozzle.found;nozzle.left;removed.date;as_found.seat.state;as_left.date;as_left.opening_pressure 1 [kgf/cm²];as_left.seat.state;fitted.holder;fitted.nozzle;fitted.date;by\n"
	const out = "ME1;1;H-1;N-1;N-1;2024-06-01;dry;;;;H-4;N-4;2024-06-02;m\n"
	f := newFolder()
	r := f.take(t, []byte(head+out+"ME1;spare;H-4;;N-4;;;2024-06-01;331;dry;;;;m\nME1;Spare;H-5;;N-5;;;;;;;;;\n"))
	if len(r.Doubts) > 0 || len(r.Records) != 2 || !slices.Equal(r.Idle, []string{"ME1-spare H-5"}) {
		t.Fatalf("%s, %d records, idle %s", doubts(r), len(r.Records), r.Idle)
	}
	const path = "overhauls/spares/2024-06-01-h-4.md"
	f.write(r.Records)
	text := string(f[path].Data)
	for _, holds := range []string{`holder: "H-4"`, `nozzle: {left: "N-4"}`, "assembled: " + rounds.NotOpened, "opening_pressure: [331 kgf/cm²]", "state: dry", "cylinder: 1", "date: 2024-06-02", "by: m"} {
		if !strings.Contains(text, holds) {
			t.Errorf("the record of the spare has no %s:\n%s", holds, text)
		}
	}
	if strings.Contains(text, "removed") || strings.Contains(text, "as_found") {
		t.Errorf("it tells a removal:\n%s", text)
	}
	day, _ := logbook.ParseDay("2024-06-01")
	if at := r.Out[logbook.Position{Engine: "ME1", Cylinder: rounds.SpareRow("H-4")}]; at != path {
		t.Errorf("its photos go to %q", at)
	}
	for _, s := range f.book(t).Lives().Rack(day) {
		if s.Holder == "H-4" && s.Since != day {
			t.Errorf("in the rack it is tested %s", s.Since)
		}
	}
	if again := f.take(t, []byte(head+out+"ME1;spare;H-4;;N-4;;;2024-06-01;331;dry;;;;m\n")); len(again.Records)+len(again.Doubts) > 0 {
		t.Errorf("a second time: %d records, %s", len(again.Records), doubts(again))
	}
	if r := newFolder().take(t, []byte(head+"ME1;1;H-4;N-4;N-4;2024-06-01;dry;;;;;;;m\nME1;spare;H-4;;N-4;;;2024-06-01;331;dry;;;;m\n")); len(r.Records) != 1 || doubts(r) != `ME1-1 holder "H-4": the row of a spare has it too: read both stamps` {
		t.Errorf("one holder came out and is a spare: %d records, %s", len(r.Records), doubts(r))
	}
	for row, want := range map[string]string{
		"ME1;spare;H-5;;N-6;;;2024-06-01;331;dry;;;;m\n":           `ME1-spare H-5 nozzle.left "N-6": the book has nozzle N-5 in H-5: read the stamp`,
		"ME1;spare;H-2;;N-2;;;2024-06-01;331;dry;;;;m\n":           `ME1-spare H-2 holder "H-2": it sits in ME1-2 by the book: its removal comes first, or read the stamp`,
		"ME1;spare;H-5;;N-5;;dry;2024-06-01;331;dry;;;;m\n":        `ME1-spare H-5 as_found.seat.state "dry": the row of a spare is its test alone; needlebook enter H-5 begins an overhaul`,
		"ME1;spare;H-5;;N-5;;;;331;dry;;;;m\n":                     `ME1-spare H-5 as_left.date blank: the day of the test: nothing of the row is written without`,
		"ME1;spare;;;N-5;;;2024-06-01;331;dry;;;;m\n":              `ME1-spare holder blank: the serial as it is stamped: nothing of the row is written without`,
		"ME1;spare;H-5;;N-5;;;2024-06-01;331;dry;;;2024-06-02;m\n": `ME1-spare H-5 fitted.date "2024-06-02": the row of a spare is its test alone; needlebook enter H-5 begins an overhaul`,
		"ME1;spare;H-5;;N-5;;;1 June or so;331;dry;;;;m\n":         `ME1-spare H-5 as_left.date "1 June or so": a date of the calendar, written 2024-04-02`,
		"ME1;spare;H-5;;N-5;;;2024-06-01;331\n":                    "ME1-spare H-5 the row has 5 cells fewer than the first line names: the file was not saved whole",
		"ME1;spare;H-50;;N-5;;;2024-06-01;331;dry;;;;m\n":          `ME1-spare H-50 holder "H-50": no such holder, the nearest is H-5: read the stamp; a new one gets its file first`,
		"ME1;spare;H-5;;;;;2024-06-01;331;dry;;;;m\n":              "",
	} {
		r := newFolder().take(t, []byte(head+row))
		if got := doubts(r); got != want {
			t.Errorf("%s: %q, want %q", row, got, want)
		}
		if len(r.Records) > 0 && (strings.Contains(row, ";N-6;") || strings.Contains(row, "H-5;;;")) && !strings.Contains(string(r.Records[0].Is), "nozzle: {left: }") {
			t.Errorf("a nozzle that nobody read is in the record:\n%s", r.Records[0].Is)
		}
	}
}

// The order of a table's dates is what the table proves: a day above twelve, or the day that the plan wrote itself. Where it proves both or
// none, each such date is in doubt. No outside source.
func TestDatesOfASpreadsheet(t *testing.T) {
	const head = "engine;cylinder;holder;removed.date;as_left.date;as_found.seat.state\n"
	const remark = "# limits of the round of 2024-06-01;;;;;\n"
	for _, c := range []struct{ rows, removed, left, doubt string }{
		{"ME1;1;H-1;01.06.2024;02.06.2024;dry\n", "", "", "a date without a choice"},
		{remark + "ME1;1;H-1;01.06.2024;02.06.2024;dry\n", "2024-06-01", "2024-06-02", ""},
		{remark + "ME1;1;H-1;6/1/2024;6/2/2024;dry\n", "2024-06-01", "2024-06-02", ""},
		{remark + "ME1;1;H-1;6/1/2024;02.06.2024;dry\n", "2024-06-01", "", "a date without a choice"},
		{remark + "ME1;1;H-1;01.06.2024 00:00:00;02.06.2024 00:00:00;dry\n", "2024-06-01", "2024-06-02", ""},
		{"ME1;1;H-1;01.06.2024;13.06.2024;dry\n", "2024-06-01", "2024-06-13", ""},
		{"ME1;1;H-1;06/01/2024;06/13/2024;dry\n", "2024-06-01", "2024-06-13", ""},
		{"ME1;1;H-1;2024-06-01;02.06.2024;dry\nME1;2;H-2;2024-06-01;13.06.2024;dry\nME1;3;007;2024-06-01;06.13.2024;dry\n", "2024-06-01", "", "a date without a choice"},
		{"ME1;1;H-1;2024-06-01;06.06.2024;dry\n", "2024-06-01", "2024-06-06", ""},
	} {
		r := newFolder().take(t, []byte(head+c.rows))
		text := ""
		if len(r.Records) > 0 {
			text = string(r.Records[0].Is)
		}
		for key, want := range map[string]string{"removed: ": c.removed, "as_left: ": c.left} {
			if want != "" && !strings.Contains(text, "date: "+want) {
				t.Errorf("%s: no %s%s in\n%s", c.rows, key, want, text)
			}
		}
		if got := doubts(r); c.doubt == "" && got != "" || !strings.Contains(got, c.doubt) || c.left == "" && strings.Contains(text, "date: 2024-06-02") {
			t.Errorf("%s: %q, want %q", c.rows, got, c.doubt)
		}
	}
}

// What the counter list lacks is noted as the line to add, once a day; where the rows differ, both are told. No outside source.
func TestReadingsThatTheListLacks(t *testing.T) {
	const head = "engine;cylinder;holder;removed.date;removed.counter [h];as_found.seat.state\n"
	for rows, want := range map[string]string{
		"ME1;1;H-1;2024-06-01;1500,5;dry\nME1;2;H-2;2024-06-01;1500,5;dry\n": "hours/me1.csv has no reading of 2024-06-01: add the line 2024-06-01,1500.5",
		"ME1;1;H-1;2024-06-01;1500,5;dry\nME1;2;H-2;2024-06-01;1550;dry\n":   "hours/me1.csv has no reading of 2024-06-01, and the rows differ: 1500.5, 1550 h",
		"ME1;1;H-1;2024-05-31;1490;dry\n":                                    "",
		"ME1;1;H-1;2024-06-01;;dry\n":                                        "",
	} {
		f := newFolder()
		f["hours/me1.csv"] = &fstest.MapFile{Data: []byte("date,counter_h\n2024-01-01,1000\n2024-05-31,1490\n")}
		if got := strings.Join(f.take(t, []byte(head+rows)).Notes, "\n"); got != want {
			t.Errorf("%s: %q, want %q", rows, got, want)
		}
	}
}

// The letters of the sheet, a box as a spreadsheet ticks it, and holes with a word between them are read; nothing else is. The words of
// spreadsheets are from memory.
func TestWordsOfACell(t *testing.T) {
	const head = "engine;cylinder;holder;removed.date;inspected.tip;fitted.pocket_faced;as_found.spray.weak;minutes;fitted.holder;fitted.date\n"
	for cells, want := range map[string][2]string{
		"D;TRUE;2 and 5;70": {"tip: damaged|pocket_faced: yes|weak: [2, 5]|minutes: 70", ""},
		"c;WAHR;2 & 5;70":   {"tip: cracked|pocket_faced: yes|weak: [2, 5]", ""},
		"X;ja;2 or 5;1:10":  {"", "one of: good, marked, damaged, cracked|one of: yes, no|plain digits|1.10 or 70, whichever is meant"},
	} {
		r := newFolder().take(t, []byte(head+"ME1;1;H-1;2024-06-01;"+cells+";H-1;2024-06-02\n"))
		if len(r.Records) != 1 {
			t.Fatalf("%s: %d records", cells, len(r.Records))
		}
		for _, holds := range strings.Split(want[0], "|") {
			if !strings.Contains(string(r.Records[0].Is), holds) {
				t.Errorf("%s: no %q in\n%s", cells, holds, r.Records[0].Is)
			}
		}
		for _, said := range strings.Split(want[1], "|") {
			if !strings.Contains(doubts(r), said) || said == "" && len(r.Doubts) > 0 {
				t.Errorf("%s: no %q in %s", cells, said, doubts(r))
			}
		}
	}
}

// A column of somebody's own is left out where # says so, and told how else. No outside source.
func TestColumnOfOnesOwn(t *testing.T) {
	r := newFolder().take(t, []byte("engine;cylinder;holder;removed.date;as_found.seat.state;# Bemerkung\nME1;1;H-1;2024-06-01;dry;naß, 2x\n"))
	if len(r.Records) != 1 || len(r.Doubts) > 0 || strings.Contains(string(r.Records[0].Is), "naß") {
		t.Errorf("%d records, %s", len(r.Records), doubts(r))
	}
	_, err := rounds.Read([]byte("engine;cylinder;Bemerkung\n"))
	if err == nil || !strings.HasSuffix(err.Error(), "with # before it the column is a remark of yours") {
		t.Errorf("%v", err)
	}
}
