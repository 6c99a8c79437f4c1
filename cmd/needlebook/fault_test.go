package main

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"needlebook/logbook/fault"
)

// A verb that panics, itself or beside itself, says what to report and where, in lines that anybody can copy, and never as a crash.
func TestNeverDown(t *testing.T) {
	var none []string
	for name, run := range map[string]func() error{
		"in the verb": func() error { return errors.New(none[0]) },
		"beside it": func() error {
			var g fault.Group
			g.Go(func() { none[0] = "" })
			g.Wait()
			return nil
		},
	} {
		var out, errs bytes.Buffer
		p := &program{in: strings.NewReader(""), out: terminal{Writer: &out}, err: terminal{Writer: &errs}, data: &out}
		root := p.root()
		root.AddCommand(&cobra.Command{Use: "falls", RunE: func(*cobra.Command, []string) error { return run() }})
		if status := p.execute(root, []string{"falls"}); status != exitFailed {
			t.Errorf("%s: exit status %d, want %d", name, status, exitFailed)
		}
		want := regexp.MustCompile(`^needlebook: could not finish: index out of range \[0\] with length 0 at cmd/needlebook/fault_test\.go:\d+
needlebook: this is a fault of the program, not of the book; please report the line above with this one:
    needlebook falls, needlebook \S+, commit [^,]+, \w+/\w+, program SHA-256 [0-9a-f]{12}
$`)
		if !want.MatchString(errs.String()) {
			t.Errorf("%s: it says\n%s", name, errs.String())
		}
	}
}

// A round of check --watch or view that fails is told, and the next one comes.
func TestRoundThatFails(t *testing.T) {
	var errs bytes.Buffer
	p := &program{err: terminal{Writer: &errs}}
	ctx, stop := context.WithCancel(context.Background())
	rounds := 0
	book := t.TempDir()
	write(t, filepath.Join(book, "book.md"), "---\nvessel: Ostrevane\n---\n")
	err := p.afterChanges(ctx, book, "", "", func(o *opened, changed []string) error {
		if rounds++; rounds == 1 {
			write(t, filepath.Join(book, "overhauls/new.md"), "---\nholder: H-1\n---\n")
			panic("the first round")
		}
		stop()
		return nil
	})
	if err != nil || rounds != 2 || !strings.Contains(errs.String(), "could not finish this round: the first round at cmd/needlebook/fault_test.go:") {
		t.Errorf("%d rounds, %v:\n%s", rounds, err, errs.String())
	}
}
