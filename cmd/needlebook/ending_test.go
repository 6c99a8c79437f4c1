package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook/ending"
)

// A verb that reads is ended wherever it looks whether it is to end: it says so, and gives no verdict and no page. Where it was no longer
// asked, it has answered as if nobody had ended it.
func TestEndedAnywhere(t *testing.T) {
	dir := filepath.Join(surroundings(t), "book")
	out := filepath.Join(t.TempDir(), "pages")
	for _, args := range [][]string{{"check"}, {"check", "--format", "json"}, {"check", "--since", "HEAD~1"}, {"verify"}, {"show", recordStem}, {"due"}, {"pages", "-o", out}} {
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
				if _, err := os.Stat(filepath.Join(out, "index.html")); s == exitFailed && !errors.Is(err, os.ErrNotExist) {
					t.Errorf("ended at look %d of %d: there are pages: %v", n, looks, err)
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
