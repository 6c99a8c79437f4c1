package logbook_test

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/logbook"
)

// hugeFront are front matters near as large as a record may be, of the shapes that cost the most.
func hugeFront() map[string]string {
	repeat := func(s string) string { return strings.Repeat(s, 100<<10/len(s)) }
	keys, deep, anchors := strings.Builder{}, strings.Builder{}, strings.Builder{}
	for n := 0; keys.Len() < 100<<10; n++ {
		fmt.Fprintf(&keys, "k%d: 1\n", n)
	}
	for n := 0; deep.Len() < 90<<10; n++ {
		fmt.Fprintf(&deep, "%sa:\n", strings.Repeat(" ", n))
	}
	anchors.WriteString("a0: &a0 [x, x]\n")
	for n := 1; anchors.Len() < 100<<10; n++ {
		fmt.Fprintf(&anchors, "a%d: &a%d [*a%d, *a%d]\n", n, n, n-1, n-1)
	}
	return map[string]string{
		"brackets": "a: " + repeat("["), "braces": "a: " + repeat("{a: "), "closed": "a: " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000) + "\n",
		"keys": keys.String(), "deep": deep.String(), "aliases": anchors.String(), "one key": repeat("a: 1\n"), "items": "a:\n" + repeat("- 1\n"),
		"readings": "as_left:\n  opening_pressure: [" + repeat("1 bar, ") + "2 bar]\n", "unknown": repeat("as_left: {x: 1}\n"),
		"marks": repeat("<<<<<<< a\n=======\n>>>>>>> b\n"), "tabs": repeat("\ta: 1\n"), "hidden": "a: \"" + repeat("\u202e") + "\"\n",
		"errors": repeat("a: ]\n"), "comments": repeat("#\n"), "flow": "a: {" + repeat("b: c, ") + "}\n",
	}
}

// What is near as large as a record may be, of whatever shape, is read in time that its length bounds. Nothing here is timed: a test that
// takes minutes has found a shape whose cost grows with the square.
func TestHugeFront(t *testing.T) {
	for name, front := range hugeFront() {
		src := []byte("---\n" + front + "---\n")
		if _, problems := logbook.ReadOverhaul("overhauls/me1/c1/a.md", src); len(problems) > 200_000 {
			t.Errorf("%s: %d problems", name, len(problems))
		}
		logbook.Values(src)
		logbook.TreeOf(src)
	}
}

// The same of a table; what is said of it is bounded, and says that the rest was not read.
func TestHugeTable(t *testing.T) {
	const many = 400_000
	for name, c := range map[string]struct{ text, says string }{
		"columns":  {strings.Repeat("a,", 2000) + "b\n", "at most 1000"},
		"wide":     {strings.Repeat("a,", many) + "b\n", "the rest was not read"},
		"open":     {"date,counter\n1,\"" + strings.Repeat("a\n", many), "each quote closed"},
		"lines":    {"date,counter\n" + strings.Repeat("x\n", many), "the rest was not read"},
		"empty":    {"date,counter\n" + strings.Repeat(",\n", many), "the rest was not read"},
		"quotes":   {"date,counter\n" + strings.Repeat("\"\n", many), "the rest was not read"},
		"hidden":   {"date,counter\n" + strings.Repeat("\u202ea", many), ""},
		"one line": {"date,counter\n" + strings.Repeat("x,", many), "the rest was not read"},
		"a few":    {"date,counter\n" + strings.Repeat("x,", 1000) + "\n", "as many cells"},
	} {
		problems := logbook.Problems("hours/me1.csv", []byte(c.text))
		said := false
		for _, p := range problems {
			said = said || strings.Contains(p.Expected, c.says)
		}
		if !said || len(problems) > 10_100 {
			t.Errorf("%s: %d problems, none says %q", name, len(problems), c.says)
		}
	}
}
