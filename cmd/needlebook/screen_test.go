package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"needlebook/checks"
	"needlebook/checks/paper"
)

// Lines are broken at blanks within the width, what goes on is indented, and nothing of the text is lost.
func TestLinesWrap(t *testing.T) {
	for text, want := range map[string]string{
		"short enough\n": "short enough\n",
		"leak-down as left 3.1 s is below the limit\n":   "leak-down as left 3.1 s is\n    below the limit\n",
		"    write why: as_found: not done (why it was)": "    write why: as_found: not\n        done (why it was)",
		"overhauls/me1/c3/2024-06-11-h-119.md is long\n": "overhauls/me1/c3/2024-06-11-h-119.md\n    is long\n",
		"  needlebook verify --book here --proof 123\n":  "  needlebook verify --book here --proof 123\n",
		"one\n\nöl öl öl öl öl öl öl öl öl öl\n":         "one\n\nöl öl öl öl öl öl öl öl öl öl\n",
	} {
		var b bytes.Buffer
		if fmt.Fprint(terminal{Writer: &b, width: 30}, text); b.String() != want {
			t.Errorf("%q is shown as %q, want %q", text, b.String(), want)
		}
		b.Reset()
		if fmt.Fprint(terminal{Writer: &b}, text); b.String() != text {
			t.Errorf("%q becomes %q in a pipe", text, b.String())
		}
	}
}

// The word of a grade is coloured on a terminal, whatever stands before it, and nothing that a book says is.
func TestGradesAreColoured(t *testing.T) {
	show := func(width int, colour bool, before string, g checks.Grade, after string) string {
		var b bytes.Buffer
		terminal{Writer: &b, width: width, colour: colour}.graded(before, g, after)
		return b.String()
	}
	for _, x := range []struct{ got, want string }{
		{show(0, false, "a.md:1: ", checks.Stop, ": worn"), "a.md:1: stop: worn\n"},
		{show(0, true, "a.md:1: ", checks.Stop, ": worn"), "a.md:1: \x1b[1;31mstop\x1b[0m: worn\n"},
		{show(0, true, "stop stopped.md:1: ", checks.Stop, ": stop"), "stop stopped.md:1: \x1b[1;31mstop\x1b[0m: stop\n"},
		{show(0, true, "", checks.Note, ": as it is"), "note: as it is\n"},
		{show(20, true, "a/very/long/path.md:1:1: ", checks.Action, ": worn"),
			"a/very/long/path.md:1:1:\n    \x1b[33maction\x1b[0m: worn\n"},
		{show(0, true, "a.md: ", checks.Stop, ": \x1b[31mred"), "a.md: \x1b[1;31mstop\x1b[0m: \\x1b[31mred\n"},
	} {
		if x.got != x.want {
			t.Errorf("%q, want %q", x.got, x.want)
		}
	}
}

// A table that fits stands in columns; one that is wider than the terminal is a list of its rows, and no line is broken.
func TestTablesDoNotBreak(t *testing.T) {
	rows := "  record\ttest\tshown\n  2024-06-11-h-119\tas found\t318 bar\n  2024-06-11-h-120\t\t320 bar\n"
	for width, want := range map[int]string{
		80: "  record            test      shown\n  2024-06-11-h-119  as found  318 bar\n  2024-06-11-h-120            320 bar\n",
		30: "  2024-06-11-h-119\n      test: as found\n      shown: 318 bar\n  2024-06-11-h-120\n      shown: 320 bar\n",
	} {
		var b bytes.Buffer
		p := &program{out: terminal{Writer: &b, width: width}}
		w := p.headed()
		fmt.Fprint(w, rows)
		if w.Flush(); b.String() != want {
			t.Errorf("%d columns wide:\n%s\nwant\n%s", width, b.String(), want)
		}
	}
	sheet := paper.Paper{Title: "Due", Tables: []paper.Table{{Columns: []string{"when", "what", "left"},
		Rows: [][]paper.Cell{{paper.Text("2024-08-16"), paper.Text("valve H-108 / N-2039"), paper.Text("784 h")}}}}}
	for width, widest := range map[int]int{0: 45, 60: 45, 32: 32} {
		var b strings.Builder
		if err := sheet.WriteText(&b, width); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			if n := utf8.RuneCountInString(line); n > widest+1 {
				t.Errorf("%d columns wide: a line of %d: %q", width, n, line)
			}
		}
		if !strings.Contains(b.String(), "784 h") || (width == 32) == strings.Contains(b.String(), "when  ") {
			t.Errorf("%d columns wide:\n%s", width, b.String())
		}
	}
}

// What is no terminal gets the plain lines, however its environment is set.
func TestNoScreenNoColour(t *testing.T) {
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	env := func(string) string { return "" }
	if s := screen(null, env); s.colour || s.width != 0 {
		t.Errorf("%s is taken for a screen: %+v", os.DevNull, s)
	}
	if s := screen(&bytes.Buffer{}, env); s.colour || s.width != 0 {
		t.Errorf("a text in memory is taken for a screen: %+v", s)
	}
}
