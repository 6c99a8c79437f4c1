package founding_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/founding"
)

func day(t *testing.T, s string) logbook.Day {
	t.Helper()
	d, err := logbook.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func read(t *testing.T, b founding.Book) *logbook.Book {
	t.Helper()
	files, err := founding.Files(b)
	if err != nil {
		t.Fatal(err)
	}
	fs := fstest.MapFS{}
	for _, f := range files {
		fs[f.Path] = &fstest.MapFile{Data: []byte(f.Text)}
	}
	book, err := logbook.Read(fs)
	if err != nil {
		t.Fatal(err)
	}
	if len(book.Problems) > 0 {
		t.Errorf("the new book is not read without a word: %v", book.Problems)
	}
	return book
}

func TestNewBookIsReadWithoutAWord(t *testing.T) {
	vee, err := founding.Cylinders(3, []string{"A", "B"})
	if err != nil {
		t.Fatal(err)
	}
	line, _ := founding.Cylinders(18, nil)
	b := read(t, founding.Book{Vessel: `Ship "of: #tests`, From: day(t, "2024-01-01"), Engines: []founding.Engine{
		{ID: "ME1", Name: "port, inner", Type: "V-3", Cylinders: vee, From: "flywheel", Interval: "2000 h"}, {ID: "2", Type: "L18", Cylinders: line, From: "free end"}},
		Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "B2", Holder: "007", Nozzle: "1e5", Counter: "1200 h", Since: "300 h", Left: "320 bar", Marking: "9x0.36 C"}},
		Rack:   []founding.Valve{{Holder: "H-2", Nozzle: "N-2"}}, Crew: []founding.Person{{ID: "a.berg", Name: "Berg, A.", Rank: "chief engineer"}}})
	if b.Vessel.Name.Written != `Ship "of: #tests` || len(b.Positions()) != 24 || b.Positions()[4].String() != "ME1-B2" {
		t.Errorf("read back as %q with %v", b.Vessel.Name.Written, b.Positions())
	}
	if s := b.Lives().At(logbook.Position{Engine: "ME1", Cylinder: "B2"}, day(t, "2024-01-02")); s == nil || s.Holder != "007" || s.Nozzle != "1e5" {
		t.Errorf("B2 holds %+v", s)
	}
	if total, ok := b.TotalOn("ME1", day(t, "2024-01-01")); !ok || total != 1200 {
		t.Errorf("counter %v %v", total, ok)
	}
	l := b.Limits["v-3"]
	if l == nil || len(l.Revisions) != 1 || l.Revisions[0].Opening.Used.Present() {
		t.Errorf("limits %+v: want one revision, its limits blank", l)
	}
	if len(b.Crew) != 1 || b.Crew[0].Name.Written != "Berg, A." {
		t.Errorf("crew %+v", b.Crew)
	}
}

// No limit of any maker may come with a new book: every line of a limits file that asks for a page is blank.
func TestLimitsAreBlank(t *testing.T) {
	line, _ := founding.Cylinders(6, nil)
	files, err := founding.Files(founding.Book{Vessel: "Try", From: day(t, "2024-01-01"), Engines: []founding.Engine{{ID: "ME1", Type: "T", Cylinders: line}}})
	if err != nil {
		t.Fatal(err)
	}
	pages := 0
	for _, f := range files {
		if f.Path != "limits/t.md" {
			continue
		}
		for _, l := range strings.Split(f.Text, "\n") {
			if before, _, ok := strings.Cut(l, "#"); ok && strings.HasSuffix(l, "page:") {
				pages++
				if !strings.HasSuffix(strings.TrimSpace(before), ":") {
					t.Errorf("not blank: %s", l)
				}
			}
		}
	}
	if pages < 40 {
		t.Errorf("%d limits with room for a page", pages)
	}
}

func TestWhatDoesNotFit(t *testing.T) {
	line, _ := founding.Cylinders(2, nil)
	good := founding.Engine{ID: "ME1", Type: "T", Cylinders: line}
	for name, b := range map[string]founding.Book{
		"no vessel": {Engines: []founding.Engine{good}}, "no engine": {Vessel: "V"}, "engine twice": {Vessel: "V", Engines: []founding.Engine{good, {ID: "me1", Type: "T", Cylinders: line}}},
		"no such cylinder":     {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "3", Holder: "H"}}},
		"two in one place":     {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "1", Holder: "H"}, {Engine: "ME1", Cylinder: "1", Holder: "K"}}},
		"no unit":              {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "1", Holder: "H", Left: "320"}}},
		"holder in two places": {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "1", Holder: "H"}}, Rack: []founding.Valve{{Holder: "H"}}},
		"nozzle in two places": {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "1", Holder: "H", Nozzle: "N"}, {Engine: "ME1", Cylinder: "2", Holder: "K", Nozzle: "N"}}},
		"thousands":            {Vessel: "V", Engines: []founding.Engine{good}, Fitted: []founding.Valve{{Engine: "ME1", Cylinder: "1", Holder: "H", Counter: "41,250 h"}}},
		"valves of no engine":  {Vessel: "V", Engines: []founding.Engine{good, {ID: "ME2P", Type: "P", ValvesOf: "ME2"}}},
		"valves of itself":     {Vessel: "V", Engines: []founding.Engine{{ID: "ME1", Type: "T", Cylinders: line, ValvesOf: "ME1"}}},
		"valves of further valves": {Vessel: "V", Engines: []founding.Engine{good, {ID: "ME1P", Type: "P", ValvesOf: "ME1"},
			{ID: "ME1Q", Type: "P", ValvesOf: "ME1P"}}},
		"pilot of no cylinder": {Vessel: "V", Engines: []founding.Engine{good, {ID: "ME1P", Type: "P", ValvesOf: "ME1"}},
			Fitted: []founding.Valve{{Engine: "ME1P", Cylinder: "3", Holder: "H"}}},
		"path for a name": {Vessel: "V", Engines: []founding.Engine{{ID: "../x", Type: "T", Cylinders: line}}},
	} {
		b.From = day(t, "2024-01-01")
		if files, err := founding.Files(b); err == nil {
			t.Errorf("%s: %d files and no error", name, len(files))
		}
	}
	for _, banks := range [][]string{{"A", "a"}, {"A1", "B1"}, {"А"}} { // the last is a letter of another alphabet
		if names, err := founding.Cylinders(2, banks); err == nil {
			t.Errorf("banks %q are %q", banks, names)
		}
	}
	if _, err := founding.Cylinders(0, nil); err == nil {
		t.Error("no cylinders gave no error")
	}
}

// A type is written as on the name plate, spaces and lifts included; only its limits file has a plain name.
func TestTypeAsOnTheNamePlate(t *testing.T) {
	engine := func(id, kind string) founding.Engine {
		return founding.Engine{ID: id, Type: kind, Cylinders: []string{"1"}, From: "free end"}
	}
	from := day(t, "2024-01-01")
	files, err := founding.Files(founding.Book{Vessel: "V", From: from, Engines: []founding.Engine{engine("ME1", "8L 99/88")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.Path == "limits/8l-99-88.md" && strings.Contains(f.Text, `type: "8L 99/88"`) {
			if _, err := founding.Files(founding.Book{Vessel: "V", From: from, Engines: []founding.Engine{engine("ME1", "8L 99/88"), engine("ME2", "8L-99 88")}}); err == nil {
				t.Error("two types share one limits file")
			}
			return
		}
	}
	t.Error("no limits file for the type")
}

// The bench and its oil are files of the book from the first day; what its sheet does not state stays blank, and a viscosity that can be
// none is said before anything is written.
func TestBenchOfABook(t *testing.T) {
	b := founding.Book{Vessel: "V", From: day(t, "2021-01-01"), Engines: []founding.Engine{{ID: "ME1", Type: "T", Cylinders: []string{"1"}, From: "free end"}},
		Bench: founding.Bench{ID: "B-1", Oil: "calibration oil", At40: "2.6 cst", Density: "825 kg/m³"}}
	files, err := founding.Files(b)
	if err != nil {
		t.Fatal(err)
	}
	fs := fstest.MapFS{}
	for _, f := range files {
		fs[f.Path] = &fstest.MapFile{Data: []byte(f.Text)}
	}
	book, err := logbook.Read(fs)
	if err != nil {
		t.Fatal(err)
	}
	bench := book.Instruments["B-1"]
	if bench == nil || bench.Oil.Viscosity40.String() != "2.6 mm²/s" || bench.Oil.Density15.Float() != 825 ||
		bench.Oil.Viscosity100.Quantity.Valid() || bench.Oil.Name.Written != "calibration oil" {
		t.Errorf("the bench is read as %+v", bench)
	}
	for _, wrong := range []founding.Bench{{ID: "B 1"}, {ID: "B-1", At40: "2.6"}, {ID: "B-1", Density: "0.825 bar"}} {
		b.Bench = wrong
		if _, err := founding.Files(b); err == nil {
			t.Errorf("%+v was taken", wrong)
		}
	}
}

// Pilot valves are in the cylinders of their engine, with limits of their own; the counter and the tables are the engine's. What an older
// list says of a valve stays as it was written.
func TestPilotValves(t *testing.T) {
	line, _ := founding.Cylinders(2, nil)
	b := founding.Book{Vessel: "V", From: day(t, "2024-01-01"), Engines: []founding.Engine{{ID: "ME1", Type: "T", Cylinders: line, From: "free end"},
		{ID: "ME1P", Name: "pilot valves", Type: "P 1", ValvesOf: "ME1", Interval: "8000 h"}},
		Fitted: []founding.Valve{{Engine: "ME1P", Cylinder: "2", Holder: "P-2", Nozzle: "NP-2", Counter: "1200 h", Since: "300 h",
			Remark: "gotea,\n--- revisar: #4"}}}
	book := read(t, b)
	if p := book.Positions(); len(p) != 4 || p[3].String() != "ME1P-2" || book.HostOf("ME1P") != "ME1" {
		t.Errorf("the positions are %v", p)
	}
	if total, ok := book.TotalOn("ME1P", day(t, "2024-01-01")); !ok || total != 1200 || book.Limits["p-1"] == nil {
		t.Errorf("counter of the pilot valves %v %v, limits %t", total, ok, book.Limits["p-1"] != nil)
	}
	if !strings.HasSuffix(book.Vessel.Remarks, "- ME1P-2, P-2: gotea, --- revisar: #4\n") {
		t.Errorf("the remarks are %q", book.Vessel.Remarks)
	}
	files, _ := founding.Files(b)
	for _, f := range files {
		if strings.Contains(f.Path, "me1p") {
			t.Errorf("%s is a second table of one engine", f.Path)
		}
	}
}
