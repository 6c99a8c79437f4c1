package ending

import (
	"context"
	"errors"
	"os"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

// readers are what the verbs that read a book do, by the names of the verbs.
var readers = []struct {
	verb string
	ask  func(ctx context.Context, dir string) error
}{
	{"verify", func(ctx context.Context, dir string) error {
		trail, err := trace.Read(dir, trace.Options{EveryText: true, Context: ctx})
		if err == nil && len(trail.Broken) > 0 {
			err = errors.New(trail.Broken[0].Path + " is broken")
		}
		return err
	}},
	{"check", func(ctx context.Context, dir string) error {
		root, err := os.OpenRoot(dir)
		if err != nil {
			return err
		}
		defer root.Close()
		_, err = logbook.ReadUntil(ctx, budget.In(root), 0)
		return err
	}},
	{"check --at HEAD", func(ctx context.Context, dir string) error {
		tree, err := trace.FS(dir, "")
		if err != nil {
			return err
		}
		defer tree.Close()
		_, err = logbook.ReadUntil(ctx, tree, 0)
		return err
	}},
	{"sync --dry-run", func(ctx context.Context, dir string) error {
		from, err := remote.Find(dir, dir)
		if err != nil {
			return err
		}
		from.Plain = true
		came, err := from.Look(ctx, dir)
		if err != nil {
			return err
		}
		_, err = from.Outgoing(ctx, dir, came.Tip)
		return err
	}},
	{"mailbag pack", func(ctx context.Context, dir string) error {
		_, err := mail.PackBag(ctx, dir, nil, "", true)
		return err
	}},
	{"mailbag pack without photos", func(ctx context.Context, dir string) error {
		_, err := mail.WithoutPhotos(ctx, dir, nil)
		return err
	}},
	{"repair", func(_ context.Context, dir string) error {
		_, err := repair.Troubles(dir)
		return err
	}},
}

// Answers asks every reader of the book in a folder, and fails by the verb where one has no answer or no end. That a
// history is none of a book is an answer.
func Answers(t testing.TB, what, dir string) {
	t.Helper()
	for verb, err := range Ends(t, what, dir) {
		if err != nil && !errors.Is(err, logbook.ErrNoBook) {
			t.Errorf("%s, then %s: %v", what, verb, err)
		}
	}
}

// Ends asks every reader of the book in a folder, and fails by the verb where one has no end. What they answer is for
// the test to judge.
func Ends(t testing.TB, what, dir string) map[string]error {
	t.Helper()
	said := map[string]error{}
	for _, r := range readers {
		said[r.verb] = Within(t, what+", then "+r.verb, func(ctx context.Context) error { return r.ask(ctx, dir) })
	}
	return said
}
