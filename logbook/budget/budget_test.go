package budget_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"needlebook/logbook/budget"
)

func TestBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		take func(b *budget.Budget) error
		says string
	}{
		{"all that is allowed", func(b *budget.Budget) error { return b.Add(budget.Paths, budget.Bytes) }, ""},
		{"a path more", func(b *budget.Budget) error { b.Add(budget.Paths, 0); return b.Path(1) }, "more than 2000000 files"},
		{"a byte more", func(b *budget.Budget) error { b.Add(0, budget.Bytes); return b.Add(0, 1) }, "more than 1024 MiB"},
		{"as deep as is allowed", func(b *budget.Budget) error { return b.Path(budget.Depth) }, ""},
		{"a folder deeper", func(b *budget.Budget) error { return b.Path(budget.Depth + 1) }, "more than 16 deep"},
	} {
		err := c.take(budget.New(context.Background()))
		var exceeded *budget.ExceededError
		if c.says == "" && err != nil || c.says != "" && (!errors.As(err, &exceeded) || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
	}
}

// A history of many commits may change more than one tree holds.
func TestOfHistory(t *testing.T) {
	b := budget.OfHistory(context.Background(), 1000)
	if err := b.Add(budget.Paths+50_000, 0); err != nil {
		t.Error(err)
	}
	if err := b.Path(1); err == nil {
		t.Error("no bound")
	}
}

// A walk that is stopped ends soon, and with no answer.
func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancelCause(context.Background())
	b := budget.New(ctx)
	stop(errors.New("the time is up"))
	for n := range 1000 {
		if err := b.Path(1); err != nil {
			var exceeded *budget.ExceededError
			if !errors.Is(err, budget.ErrStopped) || errors.As(err, &exceeded) || !strings.Contains(err.Error(), "not finished: the time is up") {
				t.Error(err)
			}
			if n > 300 {
				t.Errorf("it went on for %d paths", n)
			}
			return
		}
	}
	t.Error("it went on")
}
