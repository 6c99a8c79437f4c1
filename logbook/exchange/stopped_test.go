package exchange

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// Work that somebody ends while it reads, at whatever call, is not finished, and has no other answer: the book stands as it was. Work
// that already writes goes through, so that nobody is told that it was not done.
func TestStoppedAtEveryCall(t *testing.T) {
	both, ids := meetingBook(t, side1([]int{0}, set1(recordPath, replaced1("0.76", "0.75"), "parts/n-3.md", "3\n")...), side1([]int{0}, set1("parts/n-1.md", "")...))
	in := waiting(t)
	stepped := filepath.Join(scratch(t), "book")
	if err := os.CopyFS(stepped, os.DirFS(in.from)); err != nil {
		t.Fatal(err)
	}
	if err := in.again(stepped, &faults{}); err != nil {
		t.Fatal(err)
	}
	take := func(tip string) func(context.Context, *repository) error {
		return func(ctx context.Context, r *repository) error {
			d := Draft{Author: draft(9).Author, Message: "merge", Signer: testKey}
			_, err := r.takeIn(ctx, hashes([]string{tip})[0], &d, anyPath)
			return err
		}
	}
	for _, w := range []struct {
		name, at string
		do       func(context.Context, *repository) error
	}{
		{"a merge", both, take(ids[1])},
		{"a step", stepped, take(in.tip)},
		{"a bundle", in.from, func(ctx context.Context, r *repository) error {
			_, err := r.openBundle(ctx, bytes.NewReader(in.bundle))
			return err
		}},
	} {
		stopped, finished := 0, 0
		for _, reads := range []bool{true, false} {
			run := func(at int64) (dir string, f *faults, err error) {
				dir = filepath.Join(scratch(t), "book")
				if err := os.CopyFS(dir, os.DirFS(w.at)); err != nil {
					t.Fatal(err)
				}
				ctx, stop := context.WithCancelCause(t.Context())
				f = &faults{reads: reads, at: at, stop: func() { stop(errors.New("the time is up")) }}
				return dir, f, on(dir, f, func(r *repository) error { return w.do(ctx, r) })
			}
			_, clean, err := run(0)
			if err != nil {
				t.Fatalf("%s, undisturbed: %v", w.name, err)
			}
			step := max(1, clean.count/12)
			if long {
				step = 1
			}
			for n := int64(1); n <= clean.count; n += step {
				dir, _, err := run(n)
				var broken *trace.BrokenError
				var form *packs.FormError
				switch {
				case err == nil:
					finished++
				case !errors.Is(err, budget.ErrStopped) || errors.As(err, &broken) || errors.As(err, &form):
					t.Errorf("%s, ended at call %d: %v", w.name, n, err)
				default:
					if stopped++; head(t, dir) != head(t, w.at) {
						t.Errorf("%s, ended at call %d: not finished, and the branch has moved", w.name, n)
					}
				}
				trail, err := trace.Read(dir, trace.Options{EveryText: true})
				if err != nil || len(trail.Broken)+len(trail.WorkTree) > 0 {
					t.Errorf("%s, ended at call %d: %v, %v", w.name, n, err, trail)
				}
				os.RemoveAll(filepath.Dir(dir))
			}
		}
		if stopped == 0 || finished == 0 {
			t.Errorf("%s: not finished %d times, finished %d times", w.name, stopped, finished)
		}
		t.Logf("%s: not finished %d times, finished %d times", w.name, stopped, finished)
	}
}
