package joining_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
)

// Both ways to carry lead to the same book on both sides, and git finds nothing amiss.
func TestTwoSidesMeet(t *testing.T) {
	for _, plain := range []bool{false, true} {
		t.Run(fmt.Sprintf("plain %v", plain), func(t *testing.T) {
			ship, shore, between := trial.Apart(t, 12)
			trial.Write(t, ship, 20, trial.File("overhauls/me1/c1/2024-03-01-h-50.md", trial.Overhaul(50, "325")))
			trial.Write(t, ship, 21, trial.File("photos/h-50.jpg", bytes.Repeat([]byte{0xff, 0xd8, 1, 2, 3}, 999)))
			trial.Write(t, shore, 22, trial.File("limits/6qz31.md", []byte("---\ntype: 6QZ31\n---\n")))
			for n, dir := range []string{ship, shore, ship} {
				if _, err := trial.ExchangeOnce(t, dir, 30+n, plain); err != nil {
					t.Fatal(err)
				}
			}
			a, b, c := trial.Run(t, ship, "rev-parse", "HEAD"), trial.Run(t, shore, "rev-parse", "HEAD"), trial.Run(t, between, "rev-parse", "main")
			if a != b || b != c {
				t.Errorf("ship %s, shore %s, between %s", a, b, c)
			}
			for _, f := range []string{"limits/6qz31.md", "photos/h-50.jpg", "overhauls/me1/c1/2024-03-01-h-50.md"} {
				x, err := os.ReadFile(filepath.Join(ship, f))
				y, err2 := os.ReadFile(filepath.Join(shore, f))
				if err != nil || err2 != nil || !bytes.Equal(x, y) {
					t.Errorf("%s: %v %v", f, err, err2)
				}
			}
			trial.Sound(t, ship, shore, between)
		})
	}
}

// One record changed on both sides: all else goes through, the record waits in git's own state.
func TestOneRecordOnBothSides(t *testing.T) {
	ship, shore, between := trial.Apart(t, 4)
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	trial.Write(t, ship, 20, trial.File(rec, trial.Overhaul(1, "315")))
	trial.Write(t, ship, 21, trial.File("parts/n-2001.md", []byte("---\nserial: \"N-2001\"\n---\n")))
	trial.Write(t, shore, 22, trial.File(rec, trial.Overhaul(1, "330")))
	if _, err := trial.ExchangeOnce(t, ship, 30, false); err != nil {
		t.Fatal(err)
	}
	k, err := trial.ExchangeOnce(t, shore, 31, false)
	if err != nil || len(k.Conflicts) != 1 || k.Conflicts[0].Sides.Path != rec {
		t.Fatalf("%+v, %v", k, err)
	}
	if got := trial.Run(t, shore, "status", "--porcelain"); got != "UU "+rec+"\nA  parts/n-2001.md" {
		t.Errorf("git status: %s", got)
	}
	if got := trial.Run(t, shore, "rev-parse", "MERGE_HEAD"); got != trial.Run(t, ship, "rev-parse", "HEAD") {
		t.Errorf("MERGE_HEAD is %s", got)
	}
	for stage, want := range []string{"320", "330", "315"} {
		if got := trial.Run(t, shore, "show", fmt.Sprintf(":%d:%s", stage+1, rec)); !strings.Contains(got, want) {
			t.Errorf("stage %d: %s", stage+1, got)
		}
	}
	if _, err := exchange.Write(shore, trial.Draft(40, trial.File("book.md", []byte("x\n")))); err == nil {
		t.Error("a commit was made in the middle of a merge")
	}
	if _, err := joining.TakeIn(t.Context(), shore, trial.Run(t, ship, "rev-parse", "HEAD"), trial.Draft(41), trial.AllTheirs); !errors.Is(err, exchange.ErrUnfinished) {
		t.Errorf("a second merge was begun: %v", err)
	}
	// Plain git finishes it.
	if err := os.WriteFile(filepath.Join(shore, rec), trial.Overhaul(1, "315"), 0o666); err != nil {
		t.Fatal(err)
	}
	trial.Run(t, shore, "-c", "commit.gpgsign=false", "commit", "-qam", "decided")
	for n, dir := range []string{shore, ship} {
		if _, err := trial.ExchangeOnce(t, dir, 50+n, false); err != nil {
			t.Fatal(err)
		}
	}
	trial.Sound(t, ship, shore, between)
}

// What the user has not signed yet is never written over: it is named, and all stays as it was until it is out of the way.
func TestUsersFilesAreKept(t *testing.T) {
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	for _, c := range []struct {
		name  string
		make  func(t *testing.T, dir string)
		named func(*joining.InTheWayError) []string
		path  string
	}{
		{"edited", func(t *testing.T, dir string) { trial.Put(t, dir, rec, "mine\n") }, func(e *joining.InTheWayError) []string { return e.Edited }, rec},
		{"untracked", func(t *testing.T, dir string) { trial.Put(t, dir, "parts/n-1.md", "mine\n") }, func(e *joining.InTheWayError) []string { return e.Untracked }, "parts/n-1.md"},
		{"ignored", func(t *testing.T, dir string) {
			trial.Put(t, dir, ".git/info/exclude", "parts/\n")
			trial.Put(t, dir, "parts/n-1.md", "mine\n")
		}, func(e *joining.InTheWayError) []string { return e.Untracked }, "parts/n-1.md"},
		{"a folder in its place", func(t *testing.T, dir string) { trial.Put(t, dir, "parts/n-1.md/x", "mine\n") }, func(e *joining.InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"a link on the way", func(t *testing.T, dir string) {
			out := t.TempDir()
			if err := os.Symlink(out, filepath.Join(dir, "parts")); err != nil {
				t.Skip(err)
			}
		}, func(e *joining.InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"a link in its place", func(t *testing.T, dir string) {
			trial.Put(t, dir, "parts/other", "mine\n")
			if err := os.Symlink("other", filepath.Join(dir, "parts/n-1.md")); err != nil {
				t.Skip(err)
			}
		}, func(e *joining.InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"staged only", func(t *testing.T, dir string) {
			trial.Put(t, dir, rec, "mine\n")
			trial.Run(t, dir, "add", rec)
			trial.Put(t, dir, rec, string(trial.Overhaul(1, "320")))
		}, func(e *joining.InTheWayError) []string { return e.Edited }, rec},
	} {
		t.Run(c.name, func(t *testing.T) {
			ship, shore, _ := trial.Apart(t, 4)
			trial.Write(t, ship, 20, trial.File(rec, trial.Overhaul(1, "315")), trial.File("parts/n-1.md", []byte("theirs\n")))
			if _, err := trial.ExchangeOnce(t, ship, 30, false); err != nil {
				t.Fatal(err)
			}
			c.make(t, shore)
			before := trial.Snapshot(t, shore)
			_, err := trial.ExchangeOnce(t, shore, 31, false)
			var way *joining.InTheWayError
			if !errors.As(err, &way) || len(c.named(way)) != 1 || c.named(way)[0] != c.path {
				t.Fatalf("%v, want one that names %s", err, c.path)
			}
			if after := trial.Snapshot(t, shore); after != before {
				t.Errorf("changed:\n%s\nwas\n%s", after, before)
			}
		})
	}
}

// A folder whose lines end as on Windows, a file that somebody made read-only, a file that is gone: none is a difference.
func TestNoFalseDifference(t *testing.T) {
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	ship, shore, _ := trial.Apart(t, 4)
	trial.Write(t, ship, 20, trial.File(rec, trial.Overhaul(1, "315")), trial.File("book.md", []byte("---\nvessel: Aurinda II\n---\n")), trial.File("parts/n-1.md", []byte("theirs\n")),
		exchange.Change{Path: "overhauls/me2/c1/2024-01-03-h-2.md", From: "overhauls/me1/c3/2024-01-03-h-2.md"})
	if _, err := trial.ExchangeOnce(t, ship, 30, false); err != nil {
		t.Fatal(err)
	}
	trial.Put(t, shore, rec, strings.ReplaceAll(string(trial.Overhaul(1, "320")), "\n", "\r\n"))
	trial.Put(t, shore, "parts/n-1.md", "theirs\r\n")
	if err := errors.Join(os.Chmod(filepath.Join(shore, "book.md"), 0o444), os.Remove(filepath.Join(shore, "overhauls/me1/c3/2024-01-03-h-2.md"))); err != nil {
		t.Fatal(err)
	}
	if _, err := trial.ExchangeOnce(t, shore, 31, false); err != nil {
		t.Fatal(err)
	}
	trial.Sound(t, ship, shore)
}

// A hook, a filter, a monitor, a helper of the book's own settings: none is run.
func TestNothingOfTheBooksIsRun(t *testing.T) {
	ship, shore, _ := trial.Apart(t, 4)
	trial.Write(t, ship, 20, trial.File("book.md", []byte("---\nvessel: Aurinda II\n---\n")))
	proof := filepath.Join(t.TempDir(), "ran")
	script := "#!/bin/sh\necho $0 >> " + proof + "\n"
	for _, dir := range []string{ship, shore} {
		for _, h := range []string{"pre-push", "post-merge", "post-checkout", "pre-commit", "reference-transaction", "post-index-change", "post-commit", "commit-msg"} {
			trial.Put(t, dir, ".git/hooks/"+h, script)
			if err := os.Chmod(filepath.Join(dir, ".git/hooks", h), 0o777); err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.OpenFile(filepath.Join(dir, ".git/config"), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(f, "[core]\n\tfsmonitor = echo m >> %[1]s\n\tsshCommand = echo s >> %[1]s\n\talternateRefsCommand = echo a >> %[1]s\n\tpager = echo p >> %[1]s\n[filter \"x\"]\n\tclean = echo c >> %[1]s\n\tsmudge = echo c >> %[1]s\n[remote \"origin\"]\n\tuploadpack = echo u >> %[1]s;\n\treceivepack = echo r >> %[1]s;\n\tvcs = x\n[credential]\n\thelper = !echo h >> %[1]s\n[url \"ext::echo\"]\n\tinsteadOf = /\n", proof)
		f.Close()
		trial.Put(t, dir, ".git/info/attributes", "* filter=x\n")
	}
	t.Setenv("GIT_DIR", "/nowhere")
	t.Setenv("GIT_INDEX_FILE", "/nowhere")
	t.Setenv("GIT_EXTERNAL_DIFF", "false")
	for n, dir := range []string{ship, shore} {
		if _, err := trial.ExchangeOnce(t, dir, 30+n, false); err != nil {
			t.Fatal(err)
		}
	}
	if ran, err := os.ReadFile(proof); err == nil {
		t.Errorf("ran: %s", ran)
	}
	if a, b := trial.Head(t, ship), trial.Head(t, shore); a != b {
		t.Errorf("ship %s, shore %s", a, b)
	}
}

var _ = time.Second
