package mail_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/ending"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// bomb makes a folder that lists the same folder under ten names, and so on for some levels: few bytes, 10^levels files.
func (c *crafted) bomb(levels int) plumbing.Hash {
	at, mode := c.put(plumbing.BlobObject, []byte("x\n")), "100644"
	for range levels {
		var lines []Line
		for n := range 10 {
			lines = append(lines, Line{mode, fmt.Sprint("a", n), at})
		}
		at, mode = c.tree(lines...), "40000"
	}
	return at
}

// A folder of a thousand million files in a bundle of a thousand bytes is refused before anything is let in; one that is in the book,
// because git brought it, is broken for every reader, by its name.
func TestBombs(t *testing.T) {
	dir := trial.Founded(t, 2)
	tip := trial.Head(t, dir)
	before := every(t, dir)
	deep := func(folders int) func(c *crafted) plumbing.Hash {
		return func(c *crafted) plumbing.Hash {
			at := c.tree(Line{"100644", "a", c.put(plumbing.BlobObject, []byte("x"))})
			for range folders - 1 {
				at = c.tree(Line{"40000", "a", at})
			}
			return at
		}
	}
	long := func(c *crafted) plumbing.Hash {
		at := c.tree(Line{"100644", "a", c.put(plumbing.BlobObject, []byte("x"))})
		for range 6 {
			at = c.tree(Line{"40000", strings.Repeat("a", 200), at})
		}
		return at
	}
	for name, b := range map[string]struct {
		tree func(c *crafted) plumbing.Hash
		says string
		git  bool // also tried as brought by git
	}{
		"files":   {func(c *crafted) plumbing.Hash { return c.bomb(9) }, "more than 2000000 files", true},
		"depth":   {deep(budget.Depth + 1), "more than 16 deep", true},
		"deepest": {deep(budget.Depth), "", false},
		"a path":  {long, "more than 1000 bytes", false},
		"allowed": {func(c *crafted) plumbing.Hash { return c.bomb(3) }, "", false},
	} {
		t.Run(name, func(t *testing.T) {
			c := newCrafted(t)
			id := c.commit(c.tree(Line{"100644", "book.md", c.put(plumbing.BlobObject, []byte("---\nvessel: Aurinda\n---\n"))},
				Line{"40000", "overhauls", b.tree(c)}), tip)
			text := c.bundle(fmt.Sprintf("# v2 git bundle\n-%s\n%s refs/heads/main\n\n", tip, id))
			if b.says == "" {
				in := trial.Founded(t, 2)
				if err := opened(t, name, in, text); err != nil {
					t.Error(err)
				}
				if _, err := joining.TakeIn(t.Context(), in, id.String(), trial.Draft(9), trial.AnyPath); err != nil {
					t.Error(err)
				}
				ending.Answers(t, name, in)
				return
			}
			err := opened(t, name, dir, text)
			var hostile *transfer.HostileError
			if !errors.As(err, &hostile) || !strings.Contains(err.Error(), b.says) {
				t.Errorf("%v, want one that says %q", err, b.says)
			}
			if every(t, dir) != before {
				t.Error("something was written")
			}
			if b.git {
				broughtByGit(t, name, text, id.String())
			}
		})
	}
}

// broughtByGit lets git take a bundle in, and asks every reader.
func broughtByGit(t *testing.T, name string, bundle []byte, id string) {
	t.Helper()
	dir := trial.Founded(t, 2)
	file := filepath.Join(t.TempDir(), "b")
	if err := os.WriteFile(file, bundle, 0o666); err != nil {
		t.Fatal(err)
	}
	trial.Run(t, dir, "-c", "transfer.fsckObjects=false", "-c", "fetch.fsckObjects=false", "fetch", "-q", file, "main:bomb")
	trial.Run(t, dir, "symbolic-ref", "HEAD", "refs/heads/bomb")
	for what, ask := range map[string]func() error{
		"the history": func() error { _, err := trace.Read(dir, trace.Options{EveryText: true}); return err },
		"the files of a commit": func() error {
			tree, err := trace.FS(dir, id)
			if err != nil {
				return err
			}
			defer tree.Close()
			_, err = logbook.Read(tree)
			if name == "files" && (err == nil || !strings.Contains(err.Error(), "more than")) {
				t.Errorf("reading the book gives %v", err)
			}
			_, err = trace.Read(dir, trace.Options{Rev: id})
			return err
		},
		"what a step changes": func() error {
			s, err := trace.OpenStore(dir)
			if err != nil {
				return err
			}
			defer s.Close()
			tree, _, err := s.Commit(plumbing.NewHash(id))
			if err != nil {
				return err
			}
			_, err = s.Differences(plumbing.ZeroHash, tree)
			return err
		},
		"a merge": func() error {
			_, err := joining.TakeIn(t.Context(), dir, id, trial.Draft(9), trial.AnyPath)
			return err
		},
	} {
		err := ask()
		var broken *trace.BrokenError
		if what != "a merge" && (!errors.As(err, &broken) || broken.ID == "") {
			t.Errorf("%s: %v, want broken", what, err)
		}
	}
	if err := ending.Ends(t, name, dir)["repair"]; err != nil {
		t.Errorf("mend: %v", err)
	}
	if bag, err := mail.PackBag(t.Context(), dir, nil, "", false); err == nil && bag == nil {
		t.Error("nothing was packed")
	}
}

// Whoever stops a reading, or lets its time run out, gets no verdict.
func TestStoppedReading(t *testing.T) {
	dir := trial.Founded(t, 3)
	ctx, stop := context.WithCancelCause(context.Background())
	stop(errors.New("the time is up"))
	_, err := trace.Read(dir, trace.Options{EveryText: true, Context: ctx})
	var broken *trace.BrokenError
	if !errors.Is(err, budget.ErrStopped) || errors.As(err, &broken) {
		t.Errorf("%v, want %v", err, budget.ErrStopped)
	}
	if _, err := (&remote.Remote{URL: trial.Founded(t, 4), Branch: "main", Plain: true, Own: "x"}).Fetch(ctx, dir); err == nil || errors.As(err, &broken) {
		t.Errorf("a fetch: %v", err)
	}
}
