package logbook_test

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// A line that is no YAML is put right by what is said of it: the line at fault, and what to type in its place.
func TestSlipsOfTyping(t *testing.T) {
	for _, c := range []struct {
		what, front string
		line        int
		expected    string
		typed       string
	}{
		{"no blank behind the colon", "holder: \"H-1\"\nremoved:\n  engine:ME1\n  cylinder: 3\n", 4, "a blank behind the colon", "engine: ME1"},
		{"an item without the blank", "tries:\n  - date:2024-04-02\n    why: x\n", 3, "a blank behind the colon", "- date: 2024-04-02"},
		{"no colon", "holder: \"H-1\"\nminutes 75\nby: a\n", 3, "a colon behind the key", "minutes: 75"},
		{"a quote for the colon", "as_left:\n  seat:\n    at' 300 bar\n    state: dry\n", 4, "a colon behind the key", "at: 300 bar"},
		{"a dash alone", "holder: \"H-1\"\nminutes: -\nby: a\n", 3, "a value, nothing, or why", ""},
		{"a remark in brackets", "nozzle: {found: #2, left: \"N-1\"}\nby: a\n", 2, "quotes around a value that begins with #", "nozzle: {found: \"#2\", left: \"N-1\"}"},
		{"a spreadsheet's nothing", "measured: {lift: #N/A, seat_band: 1 mm}\nby: a\n", 2, "what a spreadsheet shows for none", ""},
		{"an open quote", "holder: \"H-1\nby: a\nminutes: 75\n", 2, "the quote that closes it", "holder: \"H-1\""},
		{"an open quote before a remark", "holder: \"H-1 # so\nby: a\nminutes: 75\n", 2, "the quote that closes it", ""},
		{"deeper than the key above", "as_found:\n  gauge: PG-1\n    bench: B-1\n", 4, "2 blanks before it, as many as before gauge above", ""},
		{"a colon in a text", "by: pulled: smoke\n", 2, "quotes around a text that holds a colon", "by: \"pulled: smoke\""},
		{"a quote in it", "by: pulled: a \"bad\" one\n", 2, "quotes around a text that holds a colon", `by: "pulled: a \"bad\" one"`},
		{"a key in it", "by: a minutes: 75\n", 2, "a line of its own for minutes", ""},
		{"a key behind two blanks", "as_found:  date: 2024-04-02\n", 2, "a line of its own for date", ""},
		{"a colon in brackets", "decided: {why: pulled: smoke, holder: clean}\n", 2, "quotes around a text that holds a colon", "decided: {why: \"pulled: smoke\", holder: clean}"},
		{"no comma in brackets", "decided: {why: smoke holder: clean}\n", 2, "a comma before holder", ""},
		{"two documents", "holder: \"H-1\"\n...\nby: a\n", 3, "one block of keys", ""},
		{"a directive", "%YAML 1.2\nby: a\n", 2, "no % line", ""},
	} {
		src := "---\n" + c.front + "---\n"
		said := false
		for _, p := range logbook.Problems("overhauls/me1/c3/2024-04-02-h-1.md", []byte(src)) {
			said = said || p.Place.Line == c.line && strings.Contains(p.Expected, c.expected) && p.Type == c.typed
		}
		if !said {
			t.Errorf("%s: %q: no line %d with %q and %q in\n%v", c.what, c.front, c.line, c.expected, c.typed, logbook.Problems("overhauls/me1/c3/2024-04-02-h-1.md", []byte(src)))
		}
	}
}
