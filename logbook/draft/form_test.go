package draft_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/draft"
	"needlebook/logbook/edit"
	"needlebook/logbook/keys"
)

func vessel(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A new record is read without a word, at every position of the example vessel, and so is each step added to it.
func TestEveryRecordIsReadWithoutAWord(t *testing.T) {
	b := vessel(t)
	n := 0
	for _, p := range b.Positions() {
		s, err := draft.At(b, p, b.Today())
		if err != nil {
			t.Error(err)
			continue
		}
		n++
		text := s.Record()
		for _, step := range draft.Steps {
			for _, key := range step.Keys {
				if step.Name == "found" {
					continue
				}
				if text, err = edit.Insert(text, key, s.Block(key), s.Order()); err != nil {
					t.Fatal(err)
				}
			}
			o, problems := logbook.ReadOverhaul(s.Path, text)
			if len(problems) > 0 {
				t.Fatalf("%s, step %s: %v in\n%s", p, step.Name, problems, text)
			}
			if o.Removed.Cylinder.Written != p.Cylinder || o.Holder.Written != s.Holder || o.Removed.Date.Day != b.Today() {
				t.Errorf("%s: read back as %v of %v", p, o.Holder, o.Removed.Cylinder)
			}
		}
	}
	if n != len(b.Positions()) || n == 0 {
		t.Errorf("%d sheets for %d positions", n, len(b.Positions()))
	}
}

// Limits and last values stand beside the blanks as the files have them; the files are the source.
func TestBeside(t *testing.T) {
	b := vessel(t)
	day, _ := logbook.ParseDay("2024-06-24")
	s, err := draft.At(b, logbook.Position{Engine: "ME1", Cylinder: "3"}, day)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ got, want string }{
		{s.Known["holder"], `"H-115"`}, {s.Known["nozzle.found"], `"N-2046"`}, {s.Limit["measured.holder_wear.value"], "at most 0.05 mm"},
		{s.Limit["as_left.opening_pressure"], "used 320 +10/-0 bar, new 345 +10/-0 bar"}, {s.Last["as_found.opening_pressure"], "325 bar on 2024-04-02"},
		{s.Last["measured.lift.value"], "0.76 mm on 2024-04-02"}, {s.Path, "overhauls/me1/c3/2024-06-24-h-115.md"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
	if strings.Contains(s.Choice["as_found.gauge"], "PG-02") && b.Instruments["PG-02"].Until.Day < day {
		t.Errorf("gauges in date: %s", s.Choice["as_found.gauge"])
	}
}

// A vee engine, no limits, no counters, no instruments: the record is still a record.
func TestBareBook(t *testing.T) {
	b, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: Bare\nengines:\n  - {id: \"2\", type: V, cylinders: [A1, B1], numbered_from: flywheel}\nopening:\n  date: 2024-01-01\n  fitted: [{engine: 2, cylinder: B1, holder: \"007\", nozzle: \"1e5\", counter: 0 h}]\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	day, _ := logbook.ParseDay("2024-02-01")
	s, err := draft.At(b, logbook.Position{Engine: "2", Cylinder: "B1"}, day)
	if err != nil {
		t.Fatal(err)
	}
	o, problems := logbook.ReadOverhaul(s.Path, s.Record())
	if len(problems) > 0 || o.Holder.Written != "007" || o.Nozzle.Found.Written != "1e5" || o.Removed.Engine.Written != "2" || s.Path != "overhauls/2/b1/2024-02-01-007.md" {
		t.Errorf("%s: %v in\n%s", s.Path, problems, s.Record())
	}
	if _, err := draft.At(b, logbook.Position{Engine: "2", Cylinder: "A1"}, day); err == nil {
		t.Error("an empty position gave a sheet")
	}
	rack, err := draft.OfHolder(b, "H-9", day)
	if err != nil {
		t.Fatal(err)
	}
	o, problems = logbook.ReadOverhaul(rack.Path, rack.Record())
	if len(problems) > 0 || o.Removed.Present() || !o.Assembled.Present() || rack.Path != "overhauls/spares/2024-02-01-h-9.md" {
		t.Errorf("%s: %v in\n%s", rack.Path, problems, rack.Record())
	}
}

// The setting beside the blank is that of the parts as they are decided: of new ones where nozzle or spring is renewed, and every one that
// may be meant where what goes in is not known. Common practice, no source.
func TestSettingBesideTheBlank(t *testing.T) {
	const used, fresh, ground = "used: 320 +10/-0 bar", "new parts: 345 +10/-0 bar", "reground: 335 +10/-0 bar"
	const all = "used 320 +10/-0 bar, new 345 +10/-0 bar, reground 335 +10/-0 bar"
	for _, c := range []struct{ nozzle, decided, want string }{
		{`found: "N-1"`, "nozzle: renew, holder: reuse, spring: reuse", fresh},
		{`found: "N-1", left: "N-9"`, "nozzle: renew, holder: reuse, spring: reuse", fresh},
		{`found: "N-1", left: "N-3"`, "nozzle: renew, holder: reuse, spring: reuse", used}, // from a ready spare that has run
		{`found: "N-1"`, "nozzle: reuse, holder: reuse, spring: renew", fresh},
		{`found: "N-1"`, "nozzle: condemn, holder: reuse, spring: reuse", all},
		{`found: "N-1", left: "N-9"`, "nozzle: condemn, holder: reuse, spring: reuse", fresh},
		{`found: "N-1"`, "nozzle: grind, holder: reuse, spring: reuse", ground},
		{`found: "N-1"`, "nozzle: reuse, holder: reuse, spring: reuse", used},
		{`found: "N-1"`, "", all},
	} {
		decided := ""
		if c.decided != "" {
			decided = "decided: {" + c.decided + "}\n"
		}
		b, err := logbook.Read(fstest.MapFS{
			"book.md": {Data: []byte("---\nvessel: T\nengines: [{id: A, cylinders: [1], limits: t}]\nopening:\n  date: 2020-01-01\n  fitted: [{engine: A, cylinder: 1, holder: \"H-1\", nozzle: \"N-1\", counter: 100 h}]\n" +
				"  spares: [{holder: \"H-3\", nozzle: \"N-3\"}]\n---\n")},
			"limits/t.md":                      {Data: []byte("---\ntype: T\nrevisions:\n  - {from: 2019-01-01, source: manual, opening_pressure: {used: 320 +10/-0 bar, new: 345 +10/-0 bar, reground: 335 +10/-0 bar}}\n---\n")},
			"overhauls/a/c1/2020-06-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nnozzle: {" + c.nozzle + "}\nremoved: {engine: A, cylinder: 1, date: 2020-06-01, counter: 1600 h}\n" + decided + "---\n")}})
		if err != nil || len(b.Problems) > 0 {
			t.Fatal(err, b.Problems)
		}
		if got := draft.Of(b, b.Overhauls[0]).Limit[keys.AsLeftOpeningPressure]; got != c.want {
			t.Errorf("nozzle %s, decided %s: %q beside the blank, want %q", c.nozzle, c.decided, got, c.want)
		}
	}
}
