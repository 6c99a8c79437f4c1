package card_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/card"
	"needlebook/logbook/draft"
)

func sheets(t *testing.T, b *logbook.Book, on string) []*draft.Sheet {
	t.Helper()
	day, err := logbook.ParseDay(on)
	if err != nil {
		t.Fatal(err)
	}
	var all []*draft.Sheet
	for _, p := range b.Positions() {
		s, err := draft.At(b, p, day)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

func vessel(t *testing.T) []*draft.Sheet {
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	return sheets(t, b, "2024-06-24")
}

// spiteful is a book without limits whose names are markup and as long as anybody may write them.
func spiteful(t *testing.T) []*draft.Sheet {
	b, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: \"<script>alert(1)</script> " + strings.Repeat("long ", 12) + "\"\nengines:\n  - {id: ME1, type: V, cylinders: [A1, B1], limits: t}\nopening:\n  date: 2024-01-01\n" +
		"  fitted:\n    - {engine: ME1, cylinder: A1, holder: \"<b>1\", nozzle: \"\\\" onload=x\"}\n    - {engine: ME1, cylinder: B1, holder: \"H-12345678901234\", nozzle: \"N-12345678901234\"}\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	return sheets(t, b, "2024-02-01")
}

func written(t *testing.T, c card.Card) string {
	t.Helper()
	var one, two bytes.Buffer
	if err := card.Write(&one, c); err != nil {
		t.Fatal(err)
	}
	if err := card.Write(&two, c); err != nil {
		t.Fatal(err)
	}
	if one.String() != two.String() {
		t.Error("the same card gave other bytes")
	}
	return one.String()
}

func TestCardSaysWhatTheBenchNeeds(t *testing.T) {
	text := written(t, card.Card{Vessel: "Ostrevane", Sheets: vessel(t)[2:3]})
	for _, want := range []string{"H-115", "N-2046", "HOLD: as found", "HOLD: second engineer", "HOLD: as left", "HOLD: fitted", "at most 0.05 mm", "used 320 +10/-0 bar, new 345 +10/-0 bar",
		"high-pressure injection of oil", "not an instruction",
		"pump the last 50 bar slowly; start timing at the first pressure while it falls; in doubt below 15 s: time it twice", "owner's manual 6QZ31, section 16, revision C"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card does not say %q", want)
		}
	}
}

func TestMarkupStaysText(t *testing.T) {
	for _, spray := range []bool{false, true} {
		text := written(t, card.Card{Vessel: "<script>alert(1)</script>", Sheets: spiteful(t), Spray: spray})
		if strings.Contains(text, "<script") || strings.Contains(text, "<b>1") {
			t.Errorf("markup survived in\n%s", text)
		}
		for _, tag := range regexp.MustCompile(`<[^>]*>`).FindAllString(text, -1) {
			if strings.Contains(tag, "onload") {
				t.Errorf("a text became part of %s", tag)
			}
		}
	}
}

// Each valve takes one side of A4, as the browser prints it.
func TestOneSideOfA4(t *testing.T) {
	for name, c := range map[string]card.Card{
		"vessel": {Vessel: "Ostrevane", Sheets: vessel(t)}, "spiteful": {Vessel: strings.Repeat("long ", 20), Sheets: spiteful(t)}, "spray": {Vessel: "Ostrevane", Sheets: vessel(t)[:2], Spray: true},
		"es": {Vessel: "Ostrevane", Sheets: vessel(t)[:2], Language: "es"}, "id": {Vessel: "Ostrevane", Sheets: vessel(t)[2:4], Language: "id"},
	} {
		if other := inBrowser(t, written(t, c)).printsOn(len(c.Sheets)); other != "" {
			t.Errorf("%s: %d valves, printed as\n%s", name, len(c.Sheets), other)
		}
	}
}

// A blank asks for the unit of its limit: a gauge in MPa beside boxes for bar is how a reading comes to stand ten times too low.
func TestBlanksAskForTheUnitOfTheLimits(t *testing.T) {
	b, err := logbook.Read(fstest.MapFS{
		"book.md": {Data: []byte("---\nvessel: V\nengines:\n  - {id: ME1, type: T, cylinders: [1], numbered_from: free end, limits: t}\nopening:\n  date: 2024-01-01\n" +
			"  fitted: [{engine: ME1, cylinder: 1, holder: \"H-1\", nozzle: \"N-1\", counter: 10 h}]\n---\n")},
		"limits/t.md": {Data: []byte("---\ntype: T\nrevisions:\n  - from: 2024-01-01\n    source: a manual\n    opening_pressure: {used: 31.5 +1/-0 MPa}\n    clamp_nuts: {torque: 9 kgf·m}\n    end_cap: {torque: 150 N·m}\n---\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	s, err := draft.At(b, logbook.Position{Engine: "ME1", Cylinder: "1"}, b.Vessel.Opening.Date.Day)
	if err != nil {
		t.Fatal(err)
	}
	for spray, units := range map[bool]map[string]int{false: {"MPa": 13, "bar": 1, "kgf·m": 1, "N·m": 3}, true: {"MPa": 0, "bar": 0}} {
		text := written(t, card.Card{Vessel: "V", Sheets: []*draft.Sheet{s}, Spray: spray})
		for u, n := range units { // the one bar is the pmax's, which the limits do not state
			if got := strings.Count(text, "<u>"+u+"</u>"); got != n {
				t.Errorf("spray %t: %d blanks for %s, want %d", spray, got, u, n)
			}
		}
		if spray && !strings.Contains(text, "________ MPa") {
			t.Error("the target asks for another unit than MPa")
		}
	}
	if text := string(s.Record()); !strings.Contains(text, "each with its unit MPa") {
		t.Errorf("the record asks for another unit than MPa:\n%s", text)
	}
}
