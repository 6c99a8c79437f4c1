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
