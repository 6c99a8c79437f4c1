package main

import (
	"bytes"
	"fmt"
	"testing"

	"needlebook/logbook"
)

// What a stranger wrote cannot do anything to the reader's terminal; what an engineer writes stands as he wrote it.
func TestTerminal(t *testing.T) {
	for text, want := range map[string]string{
		"ø 4.7 mm ± 0.1\tN·m — Øvergård, 機関\n": "ø 4.7 mm ± 0.1\tN·m — Øvergård, 機関\n",
		"3.1 s\x1b[2K\x1b[1A9.1 s":             `3.1 s\x1b[2K\x1b[1A9.1 s`,
		"over\rwritten\a\x7f":                  `over\rwritten\a\x7f`,
		"\u009b31m":                            `\u009b31m`,
		"\x9b31m \xff":                         `\x9b31m \xff`,
		"sb 3\u202e1.":                         `sb 3\u202e1.`,
	} {
		var b bytes.Buffer
		if n, err := fmt.Fprint(terminal{Writer: &b}, text); b.String() != want || n != len(text) || err != nil {
			t.Errorf("%q is shown as %q, %d bytes, %v; want %q", text, b.String(), n, err, want)
		}
	}
}

// A commit that changed no value, only line ends or a mode, is not said to have been overtaken.
func TestTouchesNothing(t *testing.T) {
	at := "overhauls/me1/c1/a.md"
	r := &logbook.RecordTrail{Path: at, Current: 1, Versions: []logbook.Version{{Commit: 0, Path: at}, {Commit: 1, Path: at}}, Values: map[string]logbook.Setting{"holder": {Commit: 0, Written: "H-1"}}}
	trail := &logbook.Trail{UnderGit: true, Commits: make([]logbook.Commit, 3), Records: map[string]*logbook.RecordTrail{at: r}}
	for commit, want := range []string{"holder: H-1", "the text stands, no value in it was changed", "nothing that it wrote stands any more"} {
		if got := touches(trail, at, commit); len(got) != 1 || got[0] != want {
			t.Errorf("commit %d touches %q, want %q", commit, got, want)
		}
	}
}

// Of remarks only the line that differs is told, each value on one line.
func TestBecame(t *testing.T) {
	for _, c := range [][3]string{
		{"3.1 s", "9.1 s", "x: 3.1 s → 9.1 s"},
		{"", "dry", "x: – → dry"},
		{"dry", "", "x: dry → –"},
		{"one", "one\ntwo", "x, line 2: – → two"},
		{"one", "one\ntwo\nthree", "x, line 2: – → two …"},
		{"one\ntwo", "one", "x, line 2: two → –"},
		{"one\ntwo\nthree", "one\n2\nthree", "x, line 2: two → 2"},
		{"one\ntwo\nthree", "1\ntwo\n3", "x: one → 1 …"},
	} {
		if got := became("x", c[0], c[1]); got != c[2] {
			t.Errorf("became(%q, %q) is %q, want %q", c[0], c[1], got, c[2])
		}
	}
}
