package repair_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"needlebook/logbook/budget"
	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// Work that somebody ends while it reads, at whatever call, is not finished, and has no other answer: the book stands as it was. Work
// that already writes goes through, so that nobody is told that it was not done.
func TestStoppedAtEveryCall(t *testing.T) {
	both, ids := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"), "parts/n-3.md", "3\n")...), trial.Side([]int{0}, trial.Set("parts/n-1.md", "")...))
	in := waiting(t)
	stepped := filepath.Join(trial.Scratch(t), "book")
	if err := os.CopyFS(stepped, os.DirFS(in.from)); err != nil {
		t.Fatal(err)
	}
	if err := in.again(stepped, &trial.Faults{}); err != nil {
		t.Fatal(err)
	}
	take := func(tip string) func(context.Context, *exchange.Repository) error {
		return func(ctx context.Context, r *exchange.Repository) error {
			d := exchange.Draft{Author: trial.Draft(9).Author, Message: "merge", Signer: trial.Key}
			_, err := joining.TakeInOn(ctx, r, graph.Hashes([]string{tip})[0], &d, trial.AnyPath)
			return err
		}
	}
	for _, w := range []struct {
		name, at string
		do       func(context.Context, *exchange.Repository) error
	}{
		{"a merge", both, take(ids[1])},
		{"a step", stepped, take(in.tip)},
		{"a bundle", in.from, func(ctx context.Context, r *exchange.Repository) error {
			_, err := mail.OpenBundleOn(ctx, r, bytes.NewReader(in.bundle))
			return err
		}},
	} {
		stopped, finished := 0, 0
		for _, reads := range []bool{true, false} {
			run := func(at int64) (dir string, f *trial.Faults, err error) {
				dir = filepath.Join(trial.Scratch(t), "book")
				if err := os.CopyFS(dir, os.DirFS(w.at)); err != nil {
					t.Fatal(err)
				}
				ctx, stop := context.WithCancelCause(t.Context())
				f = &trial.Faults{Reads: reads, At: at, Stop: func() { stop(errors.New("the time is up")) }}
				return dir, f, on(dir, f, func(r *exchange.Repository) error { return w.do(ctx, r) })
			}
			_, clean, err := run(0)
			if err != nil {
				t.Fatalf("%s, undisturbed: %v", w.name, err)
			}
			step := max(1, clean.Count/12)
			if trial.Long {
				step = 1
			}
			for n := int64(1); n <= clean.Count; n += step {
				dir, _, err := run(n)
				var broken *trace.BrokenError
				var form *packs.FormError
				switch {
				case err == nil:
					finished++
				case !errors.Is(err, budget.ErrStopped) || errors.As(err, &broken) || errors.As(err, &form):
					t.Errorf("%s, ended at call %d: %v", w.name, n, err)
				default:
					if stopped++; trial.Head(t, dir) != trial.Head(t, w.at) {
						t.Errorf("%s, ended at call %d: not finished, and the branch has moved", w.name, n)
					}
				}
				trail, err := trace.Read(dir, trace.Options{EveryText: true})
				if err != nil || len(trail.Broken)+len(trail.WorkTree) > 0 {
					t.Errorf("%s, ended at call %d: %v, %v", w.name, n, err, trail)
				}
				ending.Answers(t, fmt.Sprintf("%s, ended at call %d", w.name, n), dir)
				os.RemoveAll(filepath.Dir(dir))
			}
		}
		if stopped == 0 || finished == 0 {
			t.Errorf("%s: not finished %d times, finished %d times", w.name, stopped, finished)
		}
		t.Logf("%s: not finished %d times, finished %d times", w.name, stopped, finished)
	}
}
