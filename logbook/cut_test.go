package logbook

import (
	"strings"
	"testing"
)

// A leak-down that was cut off is written in plain words and read as at least so long; other words for it are told the plain ones, and a
// slip in its number is where it stands. A time that cannot be cut off takes none of them.
func TestReadingCutOff(t *testing.T) {
	for _, c := range []struct {
		key, written string
		more         bool
		value, typed string
		column       int
	}{
		{"leak_down: {time: %}", "more than 60 s", true, "more than 60 s", "", 0},
		{"leak_down: {time: %}", "More than 60.5 s", true, "more than 60.5 s", "", 0},
		{"leak_down: {time: %}", "60 s", false, "60 s", "", 0},
		{"leak_down: {time: %}", `"> 60 s"`, false, "> 60 s", "more than 60 s", 21},
		{"leak_down: {time: %}", "over 60 s", false, "over 60 s", "more than 60 s", 21},
		{"leak_down: {time: %}", "longer than 60 s", false, "longer than 60 s", "more than 60 s", 21},
		{"leak_down: {time: %}", `"more than 60,5 s"`, true, "more than 60.5 s", "more than 60.5 s", 21},
		{"leak_down: {time: %}", "more than 60", true, "more than 60", "more than 60 s", 21},
		{"seat: {for: %}", "more than 60 s", false, "more than 60 s", "", 15},
	} {
		src := "---\nas_found:\n  " + strings.Replace(c.key, "%", c.written, 1) + "\n---\n"
		o, problems := ReadOverhaul("x", []byte(src))
		a := o.AsFound.LeakDown.Time
		if strings.HasPrefix(c.key, "seat") {
			a = o.AsFound.Seat.For
		}
		if a.More != (c.more && a.Quantity.Valid()) || a.String() != c.value {
			t.Errorf("%s: read as %q, more %v", c.written, a.String(), a.More)
		}
		if (c.column > 0) != (len(problems) > 0) {
			t.Errorf("%s: %v", c.written, problems)
			continue
		}
		if c.column > 0 && (problems[0].Type != c.typed || problems[0].Place.Line != 3 || problems[0].Place.Column < c.column) {
			t.Errorf("%s: %+v at %v, want column %d and to type %q", c.written, problems[0].Type, problems[0].Place, c.column, c.typed)
		}
	}
}
