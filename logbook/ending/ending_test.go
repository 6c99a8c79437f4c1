package ending

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/budget"
)

// told is a test that notes what it is told, and goes on.
type told struct {
	testing.TB
	said []string
}

func (t *told) Errorf(format string, a ...any) { t.said = append(t.said, fmt.Sprintf(format, a...)) }
func (t *told) Fatalf(format string, a ...any) { t.Errorf(format, a...) }

// Work that walks on, work that hangs and work that falls over are each told by their name; work that ends is not.
func TestWithin(t *testing.T) {
	never := make(chan error)
	for name, k := range map[string]struct {
		do       func(context.Context) error
		patience time.Duration
		says     string
		err      error
	}{
		"ends":       {func(ctx context.Context) error { return budget.Stopped(ctx) }, time.Minute, "", nil},
		"refuses":    {func(context.Context) error { return os.ErrInvalid }, time.Minute, "", os.ErrInvalid},
		"hangs":      {func(context.Context) error { return <-never }, time.Millisecond, "hangs: it hangs\ngoroutine", nil},
		"falls over": {func(context.Context) error { panic("at once") }, time.Minute, "", nil},
		"walks on": {func(ctx context.Context) error {
			for {
				if err := budget.Stopped(ctx); err != nil {
					return err
				}
			}
		}, time.Minute, "walks on: it goes beyond its budget", budget.ErrStopped},
	} {
		n := &told{TB: t}
		err := within(n, name, 100, k.patience, k.do)
		if all := strings.Join(n.said, "\n"); !strings.HasPrefix(all, k.says) || (k.says == "") != (all == "") {
			t.Errorf("%s: told %q, want %q", name, all, k.says)
		}
		if name == "falls over" && err == nil || name != "falls over" && !errors.Is(err, k.err) {
			t.Errorf("%s: %v, want %v", name, err, k.err)
		}
	}
}

// Every verb that reads is asked: a folder that is no book has an answer from none of them.
func TestAnswers(t *testing.T) {
	n := &told{TB: t}
	Answers(n, "nothing", filepath.Join(t.TempDir(), "none"))
	if len(n.said) != len(readers) {
		t.Errorf("%d of %d verbs have no answer: %q", len(n.said), len(readers), n.said)
	}
}
