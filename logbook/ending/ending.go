// Package ending is for tests of work that has to come to its end. It counts how often the work asks whether it is to
// go on, so that the same work takes as much on every machine; a clock is asked only about what asks no more.
//
// Begin with Answers, which asks every reader of a book, with Within for other work, and with After for work that is to
// be stopped.
package ending

import (
	"context"
	"errors"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// Looks is how often work on a small book may ask: a walk asks once for 256 paths, and this is four of the largest.
const Looks = 4 * budget.Paths / 256

// patience ends what hangs. The work of a test takes a thousandth of it.
const patience = time.Minute

// ErrStopped is why a Count ended.
var ErrStopped = errors.New("stopped by the test")

// A Count is a context that ends when it has been asked often enough.
type Count struct {
	context.Context
	asked, most atomic.Int64
	end         context.CancelFunc
}

// After is a context that ends when it is asked once more than so many times.
func After(t testing.TB, looks int64) *Count {
	ctx, end := context.WithCancel(t.Context())
	c := &Count{Context: ctx, end: end}
	c.most.Store(looks)
	return c
}

// Err counts.
func (c *Count) Err() error {
	if c.asked.Add(1) <= c.most.Load() {
		return nil
	}
	c.end()
	return ErrStopped
}

// Value hides the context within, which has a cause of its own.
func (c *Count) Value(any) any { return nil }

// Asked is how often it was asked.
func (c *Count) Asked() int64 { return c.asked.Load() }

// Within does work that may take as much as a few whole budgets, and gives its answer. It fails by the name of the
// work when that takes more, or hangs.
func Within(t testing.TB, what string, do func(context.Context) error) error {
	t.Helper()
	return within(t, what, Looks, patience, do)
}

func within(t testing.TB, what string, looks int64, patience time.Duration, do func(context.Context) error) error {
	t.Helper()
	ctx, answer := After(t, looks), make(chan error, 1)
	fault.Go(what, func() error { answer <- do(ctx); return nil }, func(err error) { answer <- err })
	late := time.NewTimer(patience)
	defer late.Stop()
	select {
	case err := <-answer:
		if ctx.Asked() > looks {
			t.Errorf("%s: it goes beyond its budget: %v", what, err)
		}
		return err
	case <-late.C:
		stacks := make([]byte, 1<<20)
		t.Fatalf("%s: it hangs\n%s", what, stacks[:runtime.Stack(stacks, true)])
		return nil
	}
}
