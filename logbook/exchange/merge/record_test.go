package merge

import (
	"strings"
	"testing"
)

const record = `---
holder: "H-115"   # stamped twice
nozzle: {found: "N-2046", left: "N-2046", marking: "9x0.36 C"}
removed: {engine: ME2, cylinder: 3, date: 2024-04-02, counter: 57705 h, reason: planned, rings_out: 1}
# before cleaning
as_found:
  date: 2024-04-02
  gauge: PG-01
  opening_pressure: [300 bar, 300 bar, 305 bar]
  seat: {at: 280 bar, for: 10 s, state: damp}      # dry | damp | drop | runs

measured:
  lift: {value: 0.76 mm, with: DG-2}
  holder_wear: 0.03 mm
photos: [photos/a.jpg]
by: m.oyelaran
corrections:
  - {date: 2024-04-05, by: m.oyelaran, what: measured.lift, was: 0.67 mm, why: digits swapped}
---

First remark.

Second remark.
`

// change replaces one text by another in the record; the pairs are old, new.
func change(t *testing.T, pairs ...string) string {
	t.Helper()
	text := record
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(text, pairs[i]) != 1 {
			t.Fatalf("%q stands %d times in the record", pairs[i], strings.Count(text, pairs[i]))
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// What two hands may do to one record between two syncs; what each merge should come to is common practice, no source.
func TestRecord(t *testing.T) {
	type edits []string
	const by = "by: m.oyelaran\ncorr"
	for _, c := range []struct {
		name               string
		ours, theirs, want edits // want nil: a contradiction
		marked             string
		fields             string
	}{
		{name: "two values in one line", ours: edits{"57705 h", "57706 h"}, theirs: edits{"rings_out: 1", "rings_out: 2"},
			want: edits{"57705 h", "57706 h", "rings_out: 1", "rings_out: 2"}, fields: "removed.counter removed.rings_out"},
		{name: "a block added on each side", ours: edits{by, "stored: {place: 3}\n" + by}, theirs: edits{"\n---\n\nF", "\nminutes: 90\n---\n\nF"},
			want: edits{by, "stored: {place: 3}\n" + by, "\n---\n\nF", "\nminutes: 90\n---\n\nF"}, fields: "stored.place minutes"},
		{name: "value and remark behind it", ours: edits{`"H-115"   #`, `"H-116"   #`}, theirs: edits{"stamped twice", "stamped once"},
			want: edits{`"H-115"   #`, `"H-116"   #`, "stamped twice", "stamped once"}, fields: "holder"},
		{name: "remark above and value below it", ours: edits{"# before cleaning", "# before cleaning, on B-1"}, theirs: edits{"gauge: PG-01", "gauge: PG-02"},
			want: edits{"# before cleaning", "# before cleaning, on B-1", "gauge: PG-01", "gauge: PG-02"}, fields: "as_found.gauge"},
		{name: "one reading each", ours: edits{"[300 bar, 300", "[301 bar, 300"}, theirs: edits{"305 bar]", "306 bar]"},
			want: edits{"[300 bar, 300", "[301 bar, 300", "305 bar]", "306 bar]"}, fields: "as_found.opening_pressure[0] as_found.opening_pressure[2]"},
		{name: "a picture each", ours: edits{"a.jpg]", "a.jpg, photos/b.jpg]"}, theirs: edits{"a.jpg]", "a.jpg, photos/c.jpg]"},
			want: edits{"a.jpg]", "a.jpg, photos/b.jpg, photos/c.jpg]"}, fields: "photos[1] photos[2]"},
		{name: "a correction each", ours: edits{"swapped}\n", "swapped}\n  - {date: 2024-05-01, by: a, what: by, was: x}\n"}, theirs: edits{"swapped}\n", "swapped}\n  - {date: 2024-05-02, by: b, what: holder, was: y}\n"},
			want: edits{"swapped}\n", "swapped}\n  - {date: 2024-05-01, by: a, what: by, was: x}\n  - {date: 2024-05-02, by: b, what: holder, was: y}\n"}},
		{name: "the same correction on both sides, and one of it goes on", ours: edits{"why: digits swapped", "why: digits swapped by hand"}, theirs: edits{"was: 0.67 mm", "was: 0.670 mm"},
			want: edits{"why: digits swapped", "why: digits swapped by hand", "was: 0.67 mm", "was: 0.670 mm"}},
		{name: "both the same", ours: edits{"57705 h", "57706 h"}, theirs: edits{"57705 h", "57706 h", "PG-01", "PG-02"},
			want: edits{"57705 h", "57706 h", "PG-01", "PG-02"}},
		{name: "one only spells it otherwise", ours: edits{"gauge: PG-01", `gauge: "PG-01"`}, theirs: edits{"gauge: PG-01", "gauge: PG-02"},
			want: edits{"gauge: PG-01", "gauge: PG-02"}},
		{name: "a remark each in one place", ours: edits{"Second remark.\n", "Second remark.\nOurs.\n"}, theirs: edits{"Second remark.\n", "Second remark.\nTheirs.\n"},
			want: edits{"Second remark.\n", "Second remark.\nOurs.\nTheirs.\n"}, fields: "remarks"},
		{name: "one value contradicted", ours: edits{"0.76 mm", "0.75 mm"}, theirs: edits{"0.76 mm", "0.77 mm", "DG-2", "DG-3"}, fields: "measured.lift.value measured.lift.with",
			marked: "<<<<<<< aboard\n  lift: {value: 0.75 mm, with: DG-3}\n=======\n  lift: {value: 0.77 mm, with: DG-3}\n>>>>>>> ashore\n  holder_wear"},
		{name: "a value in a line of its own contradicted", ours: edits{"PG-01", "PG-02"}, theirs: edits{"PG-01", "PG-03"}, fields: "as_found.gauge",
			marked: "  date: 2024-04-02\n<<<<<<< aboard\n  gauge: PG-02\n=======\n  gauge: PG-03\n>>>>>>> ashore\n  opening_pressure"},
		{name: "one takes out what the other changes", ours: edits{"  holder_wear: 0.03 mm\n", ""}, theirs: edits{"0.03 mm", "0.04 mm"}, fields: "measured.holder_wear",
			marked: "<<<<<<< aboard\n=======\n  holder_wear: 0.04 mm\n>>>>>>> ashore\nphotos"},
		{name: "a fourth reading each", ours: edits{"305 bar]", "305 bar, 310 bar]"}, theirs: edits{"305 bar]", "305 bar, 315 bar]"}, fields: "as_found.opening_pressure",
			marked: "<<<<<<< aboard\n  opening_pressure: [300 bar, 300 bar, 305 bar, 310 bar]\n=======\n"},
		{name: "a remark contradicted", ours: edits{"First remark.", "First remark, ours."}, theirs: edits{"First remark.", "First remark, theirs."}, fields: "remarks",
			marked: "---\n\n<<<<<<< aboard\nFirst remark, ours.\n=======\nFirst remark, theirs.\n>>>>>>> ashore\n\nSecond"},
		{name: "longer markers than any in the text", ours: edits{"First remark.", "<<<<<<< ours"}, theirs: edits{"First remark.", "Title\n========"}, fields: "remarks",
			marked: "<<<<<<<<< aboard\n<<<<<<< ours\n=========\nTitle\n========\n>>>>>>>>> ashore\n"},
	} {
		s := Sides{Path: "overhauls/me2/c3/2024-04-02-h-115.md", Base: []byte(record), Ours: []byte(change(t, c.ours...)), Theirs: []byte(change(t, c.theirs...)), Here: "aboard", There: "ashore"}
		out := File(s)
		if out.Clean || out.Plain != "" {
			t.Errorf("%s: clean %v, plain %q: a record is neither", c.name, out.Clean, out.Plain)
		}
		if c.want != nil && string(out.Text) != change(t, c.want...) {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, out.Text, change(t, c.want...))
		}
		if c.want != nil && string(out.Marked) != string(out.Text) {
			t.Errorf("%s: markers without a contradiction:\n%s", c.name, out.Marked)
		}
		if c.want == nil && (out.Text != nil || !strings.Contains(string(out.Marked), c.marked)) {
			t.Errorf("%s: a proposal (%v) or other markers:\n%s", c.name, out.Text != nil, out.Marked)
		}
		var names []string
		for _, f := range out.Fields {
			names = append(names, f.Path)
		}
		if got := strings.Join(names, " "); c.fields != "" && got != c.fields {
			t.Errorf("%s: fields %s, want %s", c.name, got, c.fields)
		}
	}
}
