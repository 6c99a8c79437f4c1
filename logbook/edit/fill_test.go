package edit_test

import (
	"errors"
	"strings"
	"testing"

	"needlebook/logbook/edit"
)

const begun = `---
# mine
holder: "H-1"   # read
nozzle: {found: "N-1", left: }
removed:
  engine: ME1
  counter:          # last 100 h

as_found:
  opening_pressure:
  seat: {at: , for: 10 s, state: dry}  # limit
measured:
  lift: 0.72 mm
stripped: not done (why not)
by:
---

Text.
`

// A value comes where nothing stands, and every other byte stays. No outside source.
func TestFill(t *testing.T) {
	order := []string{"holder", "nozzle", "removed", "as_found", "stripped", "measured", "stored", "fitted", "by"}
	for _, c := range []struct{ key, value, was, is string }{
		{"removed.counter", "120 h", "  counter:          # last", "  counter: 120 h         # last"},
		{"nozzle.left", `"N-2"`, "left: }", `left: "N-2"}`},
		{"nozzle.marking", `"9x"`, "left: }", `left: , marking: "9x"}`},
		{"as_found.opening_pressure", "[300 bar, 301 bar]", "  opening_pressure:\n", "  opening_pressure: [300 bar, 301 bar]\n"},
		{"as_found.seat.at", "270 bar", "at: , for", "at: 270 bar, for"},
		{"as_found.leak_down.time", "9.5 s", "state: dry}  # limit\n", "state: dry}  # limit\n  leak_down: {time: 9.5 s}\n"},
		{"removed.rings_out", "1", "last 100 h\n", "last 100 h\n  rings_out: 1\n"},
		{"by", "a.b", "by:\n", "by: a.b\n"},
		{"fitted.clamp_nuts.torque", "120 N·m", "by:\n", "fitted:\n  clamp_nuts:\n    torque: 120 N·m\nby:\n"},
	} {
		for _, eol := range []string{"\n", "\r\n"} {
			ends := func(s string) string { return strings.ReplaceAll(s, "\n", eol) }
			got, err := edit.Fill("overhauls/me1/c1/x.md", []byte(ends(begun)), c.key, c.value, order)
			if want := strings.Replace(ends(begun), ends(c.was), ends(c.is), 1); err != nil || string(got) != want {
				t.Errorf("%s, %q: %v\n%s\nwant\n%s", c.key, eol, err, got, want)
			}
		}
	}
	for key, want := range map[string]error{"holder": edit.ErrThere, "as_found.seat.for": edit.ErrThere, "measured.lift.with": edit.ErrOneValue,
		"stripped.needle": edit.ErrOneValue, "removed.engine": edit.ErrThere} {
		if got, err := edit.Fill("overhauls/me1/c1/x.md", []byte(begun), key, "x", order); !errors.Is(err, want) || got != nil {
			t.Errorf("%s: %v, want %v", key, err, want)
		}
	}
	if got, err := edit.Fill("overhauls/me1/c1/x.md", []byte(begun), "removed.counter", "1,2,3 h", order); err == nil {
		t.Errorf("what cannot be read was written: %s", got)
	}
}

// A remark goes to the end of its line, behind one that is there. No outside source.
func TestRemark(t *testing.T) {
	for key, want := range map[string]string{"as_found.seat.at": "  # limit; so\n", "by": "by:  # so\n", "nozzle.left": "left: }  # so\n"} {
		if got := edit.Remark([]byte(begun), key, "so"); !strings.Contains(string(got), want) || len(got) > len(begun)+6 {
			t.Errorf("%s: %s", key, got)
		}
	}
	if got := edit.Remark([]byte(begun), "fitted.date", "so"); string(got) != begun {
		t.Errorf("a key that is not there: %s", got)
	}
	if got := edit.Remark([]byte(begun), "by", "a\nb: c"); !strings.Contains(string(got), "by:  # a b: c\n") {
		t.Errorf("a remark broke its line: %s", got)
	}
}
