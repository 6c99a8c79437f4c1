package edit_test

import (
	"slices"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/edit"
)

// Each row is a slip as people type it, and what must be among the things offered in its place. The habits are common practice, no
// source.
func TestChoices(t *testing.T) {
	const record, table = "overhauls/me1/c1/2024-04-02-h-1.md", "hours/me1.csv"
	front := func(s string) string { return "---\nholder: \"H-1\"\n" + s + "\n---\nremark\n" }
	for _, c := range []struct {
		slip, path, text string
		want             []string // each offered, in this order; what they are told apart by
	}{
		{"decimal-comma", record, front("measured: {lift: \"0,76 mm\"}"), []string{"0.76 mm"}},
		{"decimal-comma", record, front("as_found: {opening_pressure: [31,5 MPa, 31 MPa]}"), []string{"31.5 MPa"}},
		{"decimal-comma", record, front("as_found: {first_opening: \"31,5\"}"), []string{"31.5 bar"}},
		{"number-form", record, front("as_found: {first_opening: 31.5/31.0 MPa}"), nil},
		{"unit-unknown", record, front("as_found: {first_opening: 315 bar (second try)}"), nil},
		{"thousands-separator", record, front("removed: {counter: \"57,705 h\"}"), []string{"57705 h", "57.7050 h"}},
		{"thousands-separator", record, front("removed: {counter: \"19.120,5 h\"}"), []string{"19120.5 h"}},
		{"thousands-separator", "hours/me1.csv", "date,counter_h,note\n2024-01-01,18100,\n2024-01-08,18.220,\n2024-01-15,18345,\n", []string{"18220", "18.22"}},
		{"limit-form", "limits/t.md", "---\nrevisions:\n  - {from: 2024-01-01, leak_down: {as_left: 6.0 s}}\n---\n", []string{"at least 6.0 s", "at most 6.0 s"}},
		{"limit-form", "limits/t.md", "---\nrevisions:\n  - {from: 2024-01-01, seat: {at: -20 bar}}\n---\n", []string{"opening - 20 bar"}},
		{"wrong-shape", record, front("as_found: {opening_pressure: 300 305 310 bar}"), []string{"[300 bar, 305 bar, 310 bar]"}},
		{"wrong-shape", record, front("as_found:\n  opening_pressure: \"300 bar, 305 bar, 310 bar\""), []string{"[300 bar, 305 bar, 310 bar]"}},
		{"colon-in-number", record, front("as_found: {leak_down: {time: 3:20}}"), []string{"3.20 s", "200 s"}},
		{"number-form", record, front("removed: {counter: 57_705 h}"), []string{"57705 h"}},
		{"leading-zero", record, front("removed: {counter: 0577 h}"), []string{"577 h"}},
		{"foreign-digits", record, front("measured: {lift: ０.76 mm}"), []string{"0.76 mm"}},
		{"unit-missing", record, front("as_found: {first_opening: 300}"), []string{"300 bar", "300 MPa"}},
		{"unit-unknown", record, front("as_found: {first_opening: 300 baar}"), []string{"300 bar"}},
		{"unit-spelling", record, front("as_found: {first_opening: 300 BAR}"), []string{"300 bar"}},
		{"word-not-known", record, front("as_found: {seat: {state: ok}}"), []string{"dry", "damp", "drop", "runs"}},
		{"date-form", record, front("removed: {date: 02.04.2024}"), []string{"2024-04-02", "2024-02-04"}},
		{"unknown-key", record, front("mesured: {lift: 0.76 mm}"), []string{"measured", "make line 3 a remark"}},
		{"unknown-key", record, front("weather: fine"), []string{"make line 3 a remark"}},
		{"repeated-key", record, front("measured: {}\nholder: \"H-2\""), []string{"keep line 2, make line 4 a remark", "keep line 4, make line 2 a remark"}},
		{"serial-not-quoted", record, front("nozzle: {found: 12E4}"), []string{`"12E4"`}},
		{"reason-cut", record, front("inspected: {tip: not looked at (lens broken, no lamp)}"), []string{`"not looked at (lens broken, no lamp)"`}},
		{"yaml-form", record, front("decided:\n  why: good: all within"), []string{`why: "good: all within"`}},
		{"yaml-form", record, front("decided: {why: good: all within}"), []string{`decided: {why: "good: all within"}`}},
		{"yaml-form", record, front("decided: {why: good: all within\"}"), []string{"make line 3 a remark"}}, // one quote more would not do
		{"yaml-form", record, front("assembled:\n  faces: \"dry\nby: m"), []string{`faces: "dry"`, "make line 4 a remark"}},
		{"yaml-form", record, front("assembled:\n  faces: dry\nby: {m: [1, 2\n  x"), nil}, // a remark before the first of two lines cures nothing
		{"date-form", record, front("removed: {date: 02/04/2024 9:05}"), []string{"2024-04-02 09:05", "2024-02-04 09:05"}},
		{"yaml-form", record, front("measured: {lift: 0.76 mm"), []string{"make line 3 a remark"}},
		{"yaml-anchor", record, front("round: &r x"), []string{"make line 3 a remark"}},
		{"yaml-tag", record, front("round: !!str x"), []string{"make line 3 a remark"}},
		{"tab", record, front("as_found:\n\tgauge: PG-1"), []string{"  "}},
		{"second-document", record, front("by: m\n...\nround: x"), []string{"take the line out"}},
		{"front-matter-not-closed", record, "---\nholder: \"H-1\"\nby: m\n\nThe remarks begin.\n", []string{"--- before line 4"}},
		{"front-matter-not-closed", record, "---\nholder: \"H-1\"\nby: m", []string{"--- at the end"}},
		{"no-front-matter", record, "holder: \"H-1\"\n---\n", []string{"--- on the first line"}},
		{"no-front-matter", record, "holder: \"H-1\"\n", []string{"--- before and after"}},
		{"front-matter-delimiter", record, "\n---\nholder: \"H-1\"\n---\n", []string{"take the blank lines out"}},
		{"hidden-character", record, front("by: m\u200b"), []string{"take the character out"}},
		{"repeated-key", record, front("measured:\n  lift: 7,2 mm\n  lift: 0,72 mm"), []string{"keep line 4, make line 5 a remark", "keep line 5, make line 4 a remark"}},
		{"wrong-shape", record, front("measured:\n  - lift"), []string{"make line 4 a remark"}},
		{"table-header", table, "date,counter\n2024-01-01,1\n", []string{"counter_h"}},
		{"table-row", table, "date,counter_h,note\n2024-01-01,1\n", []string{"empty cells at its end"}},
		{"date-form", table, "date,counter_h,note\n04/02/2024,1,\n", []string{"2024-02-04", "2024-04-02"}},
		{"reason-missing", record, front("measured: {lift: not measured}"), nil}, // only the writer knows
	} {
		t.Run(c.slip+" "+strings.ReplaceAll(c.text, "\n", "|"), func(t *testing.T) {
			met := false
			for _, p := range logbook.Problems(c.path, []byte(c.text)) {
				if p.Slip != c.slip {
					continue
				}
				met = true
				var got []string
				for _, x := range edit.Choices(c.path, []byte(c.text), p) {
					got = append(got, x.Type+x.Do)
				}
				if c.want == nil && len(got) > 0 {
					t.Fatalf("%v offers %q, want nothing", p, got)
				}
				at := -1
				for _, w := range c.want {
					i := slices.Index(got, w)
					if i <= at {
						t.Fatalf("%v offers %q, want %q in this order", p, got, c.want)
					}
					at = i
				}
			}
			if !met {
				t.Fatalf("no such slip: %v", logbook.Problems(c.path, []byte(c.text)))
			}
		})
	}
}
