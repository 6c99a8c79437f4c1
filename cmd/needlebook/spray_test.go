package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A photo of a spray paper is read with the number of holes of the record's limits, entered with its squared picture, and asked
// about where another spray was booked. The picture is one of package sprayphoto's simulation: hole 4 blocked, hole 7 at 55 %.
func TestSpray(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	if err := os.CopyFS(dir, os.DirFS("../../checks/testdata/base")); err != nil {
		t.Fatal(err)
	}
	limits := filepath.Join(dir, "limits", "4t20.md")
	text, err := os.ReadFile(limits)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(limits, bytes.Replace(text, []byte("count: 8"), []byte("count: 9"), 1), 0o666); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "overhauls", "me1", "c1", "2020-07-01-h-1.md")
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	record := "---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\n" +
		"removed: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 2800 h, reason: planned}\n" +
		"as_found: {date: 2020-07-01, spray: {open: 9, weak: [], pattern: even}}\nas_left:\n  date: 2020-07-01\n  spray: {open: , weak: , pattern: }\nby: b.three\n---\n"
	if err := os.WriteFile(name, []byte(record), 0o666); err != nil {
		t.Fatal(err)
	}
	ask := func(want int, pattern string, args ...string) {
		t.Helper()
		var out, errs bytes.Buffer
		status := run(append(args, "--book", dir), strings.NewReader(""), &out, &errs)
		if said := out.String() + errs.String(); status != want || !regexp.MustCompile(pattern).MatchString(said) {
			t.Errorf("%v: status %d, want %d and %q:\n%s", args, status, want, pattern, said)
		}
	}
	photo := filepath.Join("testdata", "spray.jpg")
	ask(exitClean, `8 of 9 holes open, uneven\n(?s:.*)4 +missing(?s:.*)7 +weak`, "spray", photo, "2020-07-01-h-1")
	ask(exitUse, `the number of holes is not known; name the record`, "spray", photo)
	ask(exitUse, `is no picture that can be read`, "spray", name, "--holes", "9")
	ask(exitUse, `corner marks were not found`, "spray", "../../example-vessel/photos/2024-05-16-h-113-spray.png", "--holes", "9")
	ask(exitUse, `--enter takes a record`, "spray", photo, "--holes", "9", "--enter")
	ask(exitClean, `spray as left filled in`, "spray", photo, "2020-07-01-h-1", "--enter")
	ask(exitUse, `was entered before`, "spray", photo, "2020-07-01-h-1", "--enter")
	is, err := os.ReadFile(name)
	if want := "spray: {open: 8, weak: [7], pattern: uneven}"; err != nil || !bytes.Contains(is, []byte(want)) ||
		!bytes.Contains(is, []byte("open: 8, missing: [4], weak: [7], pattern: uneven}")) {
		t.Errorf("the record holds\n%s\nwant %s, %v", is, want, err)
	}
	ask(exitClean, `paper named`, "spray", photo, "2020-07-01-h-1", "--found", "--enter")
	ask(exitFindings, `spray as found was booked 9 open, even, its paper shows hole 4 missing, hole 7 weak`, "check", "2020-07-01-h-1")
	// the squared picture with its rings is a picture of the paper still
	ask(exitClean, `8 of 9 holes open`, "spray", filepath.Join(dir, "photos", "2020-07-01-h-1-left-spray.jpg"), "--holes", "9")
}
