package judging

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Within a safety limit but in doubt is accepted once it was measured at three places with a second instrument, and all of them are
// within: common practice, no source. 0.87 and 0.02 mm of at most 0.90 mm, with a dial gauge of ±0.01 mm.
func TestMeasuredAgain(t *testing.T) {
	for _, c := range []struct {
		name, again string
		accepted    bool
		why         string
	}{
		{"not yet", "", false, ""},
		{"three places, a second gauge", ", again: [0.87 mm, 0.86 mm, 0.88 mm], again_with: DG-2", true, "measured again at 3 places with DG-2: all within"},
		{"two places", ", again: [0.87 mm, 0.86 mm], again_with: DG-2", false, ""},
		{"the same gauge", ", again: [0.87 mm, 0.86 mm, 0.88 mm], again_with: DG-1", false, ""},
		{"no gauge named", ", again: [0.87 mm, 0.86 mm, 0.88 mm]", false, ""},
		{"a gauge out of date", ", again: [0.87 mm, 0.86 mm, 0.88 mm], again_with: DG-3", false, ""},
		{"one of them beyond with the wear", ", again: [0.87 mm, 0.86 mm, 0.89 mm], again_with: DG-2", false, "0.91 mm is beyond"},
	} {
		files := fstest.MapFS{
			"book.md":             {Data: []byte(bookText)},
			"limits/x.md":         {Data: []byte(strings.ReplaceAll(limitsText, "%s", "simple"))},
			"instruments/dg-1.md": {Data: []byte("---\nid: DG-1\nkind: dial gauge\nrange: 0 to 10 mm\ndivision: 0.01 mm\nerror: 0.01 mm\n---\n")},
			"instruments/dg-2.md": {Data: []byte("---\nid: DG-2\nkind: dial gauge\nrange: 0 to 10 mm\ndivision: 0.01 mm\nerror: 0.01 mm\n---\n")},
			"instruments/dg-3.md": {Data: []byte("---\nid: DG-3\nkind: dial gauge\nrange: 0 to 10 mm\ndivision: 0.01 mm\nerror: 0.01 mm\ncalibrated_until: 2020-12-31\n---\n")},
			"overhauls/me1/c1/2021-06-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\nas_found: {date: 2021-06-01}\n" +
				"measured: {lift: {value: 0.87 mm, with: DG-1" + c.again + "}, holder_wear: {value: 0.02 mm, with: DG-1}}\n---\n")},
		}
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		v := Judge(b).Find(b.Overhauls[0], "effective_lift")
		if v.Result != WithinDoubt || v.Accepted != c.accepted || v.Unaccepted() == c.accepted || !strings.Contains(v.Why, c.why) {
			t.Errorf("%s: %s, accepted %v (%s)", c.name, v.Result, v.Accepted, v.Why)
		}
		if v.Chance != 0 {
			t.Errorf("%s: a chance of %v beside a safety limit", c.name, v.Chance)
		}
	}
	j, o := judged(t, "simple", "as_found: {date: 2021-06-01, gauge: PG-2, opening_pressure: [285 bar]}")
	if v := j.Find(o, "as_found.opening_pressure/look"); v.Chance != 0.5 {
		t.Errorf("on a limit that is none of safety the chance is %v", v.Chance)
	}
}

// What is measured on the bench is decided by the rule of the limits of the bench's day, where they changed since the
// valve came out: 0.045 mm of at most 0.05 mm, with a dial gauge of ±0.01 mm, is accepted by the simple rule alone.
// Outside source: JCGM 106:2012, 8.2 and 8.3.2.
func TestRuleOfTheBenchDay(t *testing.T) {
	later := "  - from: 2021-06-01\n    source: manual B\n    rule: guarded\n    holder_wear: {max: 0.05 mm}\n---\n"
	for left, accepted := range map[string]bool{"2021-05-20": true, "2021-06-15": false} {
		b, err := logbook.Read(fstest.MapFS{
			"book.md": {Data: []byte(bookText)},
			"limits/x.md": {Data: []byte(strings.TrimSuffix(strings.NewReplacer("%s", "simple", "%%", "%").Replace(limitsText),
				"---\n") + later)},
			"instruments/dg-1.md": {Data: []byte("---\nid: DG-1\nkind: dial gauge\nrange: 0 to 10 mm\ndivision: 0.01 mm\nerror: 0.01 mm\n---\n")},
			"overhauls/me1/c1/2021-05-15-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\n" +
				"removed: {engine: ME1, cylinder: 1, date: 2021-05-15, counter: 900 h, reason: planned}\n" +
				"measured: {holder_wear: {value: 0.045 mm, with: DG-1}}\nas_left: {date: " + left + "}\n---\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		if v := Judge(b).Find(b.Overhauls[0], keys.MeasuredHolderWear); v.Result != WithinDoubt || v.Accepted != accepted {
			t.Errorf("on the bench on %s: %s, accepted %v (%s), want %v", left, v.Result, v.Accepted, v.Why, accepted)
		}
	}
}
