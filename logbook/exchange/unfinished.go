package exchange

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/trace"
)

// Unfinished refuses to go on in the middle of something that git, or a merge here, has begun. Of a merge that is in
// the tip's past only git's notes were left, by a program that was stopped: they are cleared.
func (r *Repository) Unfinished(store *trace.Store, tip plumbing.Hash) error {
	theirs, begun, err := r.MergeHead()
	if err != nil {
		return err
	}
	if begun && !theirs.IsZero() && Holds(store, tip, theirs) == nil {
		if err := r.Forget(); err != nil {
			return err
		}
	}
	if there, err := durable.IsThere(r.Git, "MERGE_HEAD"); err != nil {
		return err
	} else if there {
		return fmt.Errorf("%w: a merge is unfinished", ErrUnfinished)
	}
	return r.ByGit()
}

// ByGit refuses to go on in the middle of what only git can finish.
func (r *Repository) ByGit() error {
	for _, s := range []struct{ file, what string }{
		{"CHERRY_PICK_HEAD", "cherry-pick"}, {"REVERT_HEAD", "revert"}, {"rebase-merge", "rebase"},
		{"rebase-apply", "rebase"},
	} {
		if there, err := durable.IsThere(r.Git, s.file); err != nil {
			return err
		} else if there {
			return fmt.Errorf("%w: a %s; git status says how to go on with it, or take it back", ErrByGit, s.what)
		}
	}
	return nil
}

// ErrUnfinished says that a merge waits to be finished first, ErrByGit that something else does that was begun with
// git.
var (
	ErrUnfinished = errors.New("something is left to finish first")
	ErrByGit      = errors.New("something that was begun with git is left to finish first")
)

// MergeHead reads the tip that is being merged; begun says that a merge was begun, though its tip may not be noted any
// more.
func (r *Repository) MergeHead() (theirs plumbing.Hash, begun bool, err error) {
	text, err := ReadIfThere(r.ReadGit, "MERGE_HEAD")
	if err != nil {
		return theirs, false, err
	}
	heads := strings.Fields(string(text))
	switch {
	case len(heads) > 1:
		return theirs, true, fmt.Errorf("%w: git merges %d tips at once; finish it with git", ErrUnfinished, len(heads))
	case len(heads) == 1 && plumbing.IsHash(heads[0]):
		return plumbing.NewHash(heads[0]), true, nil
	case text != nil:
		return theirs, true, nil
	}
	begun, err = durable.IsThere(r.Git, "MERGE_MODE")
	return theirs, begun, err
}

// ReadGit reads a file of .git.
func (r *Repository) ReadGit(name string) ([]byte, error) { return durable.ReadPlain(r.Git, name) }

// Forget clears what is noted of a merge, the tip first: without it nobody takes the book for being in the middle of
// one.
func (r *Repository) Forget() error {
	for _, name := range []string{"MERGE_HEAD", "MERGE_MSG", "AUTO_MERGE", "MERGE_MODE"} {
		if err := r.Git.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
