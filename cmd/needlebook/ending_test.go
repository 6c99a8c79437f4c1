package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook/ending"
)

// A verb that reads is ended wherever it looks whether it is to end: it says so, and gives no verdict and no page. Where it was no longer
// asked, it has answered as if nobody had ended it.
func TestEndedAnywhere(t *testing.T) {
	from := surroundings(t)
	dir := filepath.Join(from, "book")
	otherSide(t, from, "there")
	out := filepath.Join(t.TempDir(), "pages")
	for _, args := range [][]string{{"check"}, {"check", "--format", "json"}, {"check", "--since", "HEAD~1"}, {"verify"}, {"show", recordStem}, {"due"}, {"stores"}, {"recurring"}, {"mailbag", "pack", "--dry-run"},
		{"pages", "-o", out}} {
		t.Run(strings.Join(args[:min(len(args), 3)], " "), func(t *testing.T) {
			ask := func(ctx context.Context) (status int, said, amiss string) {
				var o, e bytes.Buffer
				p := &program{ctx: ctx}
				status = p.run(append(args, "--book", dir), strings.NewReader(""), &o, &e)
				return status, o.String(), e.String()
			}
			whole := ending.After(t, 1<<40)
			status, said, amiss := ask(whole)
			if status > exitFindings {
				t.Fatalf("undisturbed: %d, %s", status, amiss)
			}
			if args[0] == "pages" {
				if err := os.RemoveAll(out); err != nil {
					t.Fatal(err)
				}
			}
			looks := whole.Asked()
			if looks < 5 {
				t.Fatalf("it looks only %d times whether it is to end", looks)
			}
			stopped := 0
			for n := int64(0); n < looks; n += 1 + looks/12 {
				s, o, e := ask(ending.After(t, n))
				switch {
				case s == exitFailed && o == "" && strings.Contains(e, "not finished: stopped by the test"):
					stopped++
				case s != status || args[0] != "pages" && o != said:
					t.Errorf("ended at look %d of %d: %d, %q, %q", n, looks, s, o, e)
				}
				left, err := filepath.Glob(filepath.Join(out, "*.*ml"))
				if staged, _ := os.Stat(filepath.Join(out, ".needlebook-new")); s == exitFailed && (err != nil || len(left) > 0 || staged != nil) {
					t.Errorf("ended at look %d of %d: there is left %v: %v", n, looks, left, err)
				} else if s != exitFailed {
					os.RemoveAll(out)
				}
			}
			if stopped == 0 {
				t.Error("nothing ended it")
			}
			t.Logf("%d looks, ended at %d of them", looks, stopped)
		})
	}
}

// An exchange that is stopped has not failed: it says so, whichever way it goes, and takes nothing in.
func TestStoppedExchange(t *testing.T) {
	from := surroundings(t)
	dir, there := filepath.Join(from, "book"), filepath.Join(from, "there")
	otherSide(t, from, "there")
	tip := tipOf(dir)
	for _, args := range [][]string{{"sync", there}, {"sync", "--built-in", there}, {"sync", "--dry-run", there},
		{"mailbag", "pack", "-o", filepath.Join(from, "out")}} {
		ctx, stop := context.WithCancelCause(t.Context())
		stop(errInterrupted)
		var o, e bytes.Buffer
		status := (&program{ctx: ctx}).run(append(args, "--book", dir), strings.NewReader(""), &o, &e)
		if status != exitFailed || o.Len() > 0 || !strings.Contains(e.String(), "not finished: interrupted") || tipOf(dir) != tip {
			t.Errorf("%q: %d, %s%s", args, status, &o, &e)
		}
	}
	if left, err := os.ReadDir(filepath.Join(from, "out")); len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
}
