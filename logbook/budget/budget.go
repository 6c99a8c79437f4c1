package budget

import (
	"context"
	"errors"
	"fmt"
)

// The bounds of one tree. A book of fifty thousand overhauls with their photos has two hundred thousand paths, four
// deep.
const (
	Paths = 2_000_000
	Depth = 16      // folders upon one another
	Bytes = 1 << 30 // of what lists the files
)

// pathsOfCommit is how many changes each commit of a history may add to the bound, beside what one tree may hold.
const pathsOfCommit = 50

// A Budget is what is left of the bounds of one walk. It is for one goroutine.
type Budget struct {
	ctx          context.Context
	paths, bytes int64
	steps        int
}

// New is the budget of one tree. The walk ends when the context does.
func New(ctx context.Context) *Budget {
	return &Budget{ctx: ctx, paths: Paths, bytes: Bytes}
}

// OfHistory is the budget of what the commits of a history change together; each is compared with a budget of its own.
func OfHistory(ctx context.Context, commits int) *Budget {
	return &Budget{ctx: ctx, paths: Paths + pathsOfCommit*int64(commits), bytes: Bytes}
}

// An ExceededError says which bound a tree goes beyond.
type ExceededError struct{ Why string }

func (e *ExceededError) Error() string { return e.Why }

// ErrStopped is behind the error of a walk that was stopped, or whose time was up. It is no answer.
var ErrStopped = errors.New("not finished")

// Path takes one more path; depth is how many folders it lies in.
func (b *Budget) Path(depth int) error {
	if depth > Depth {
		return &ExceededError{fmt.Sprintf("has folders more than %d deep", Depth)}
	}
	return b.Add(1, 0)
}

// Add takes paths and bytes of a listing at once.
func (b *Budget) Add(paths, bytes int64) error {
	switch {
	case paths > b.paths:
		return &ExceededError{fmt.Sprintf("has more than %d files and folders", Paths)}
	case bytes > b.bytes:
		return &ExceededError{fmt.Sprintf("lists its files in more than %d MiB", Bytes>>20)}
	}
	b.paths, b.bytes = b.paths-paths, b.bytes-bytes
	if b.steps++; b.steps%256 != 0 && bytes < 64<<10 {
		return nil
	}
	return Stopped(b.ctx)
}

// Stopped is nil while a context goes on, and then says why it ended.
func Stopped(ctx context.Context) error {
	if cause := context.Cause(ctx); cause != nil {
		return fmt.Errorf("%w: %w", ErrStopped, cause)
	}
	return nil
}
