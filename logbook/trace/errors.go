package trace

import (
	"errors"
	"fmt"
)

// What Read and FS return when a history cannot be read at all, to be asked with errors.Is. The text
// that comes with them says what to do.
var (
	// ErrNotRepository: the folder has no .git of its own. A book may be a plain folder; nothing is
	// proved then.
	ErrNotRepository = errors.New("not a git repository")
	// ErrUnborn: a repository without a first commit.
	ErrUnborn = errors.New("no commit yet")
	// ErrNoRevision: the revision asked for is not there.
	ErrNoRevision = errors.New("no such revision")
	// ErrWrongRoot: the history does not descend from the founding commit of the proof, or that commit
	// is not signed by the key of the proof.
	ErrWrongRoot = errors.New("not the history of the founding proof")
	// ErrSHA256: the repository names its objects by SHA-256, which is not read here.
	ErrSHA256 = errors.New("a repository with SHA-256 object names is not supported")
	// ErrShallow: a shallow clone, whose history is cut.
	ErrShallow = errors.New("shallow clone, the history is cut")
	// ErrAlternates: the repository borrows objects from another folder.
	ErrAlternates = errors.New("repository borrows objects from another folder")
	// ErrPartial: a partial clone, whose texts are fetched only when needed.
	ErrPartial = errors.New("partial clone, texts are missing")
	// ErrExtension: the repository uses a storage format that is not read here.
	ErrExtension = errors.New("the repository uses a format that is not supported")
)

// A BrokenError says that stored bytes do not match their id, or that an object is missing or not of
// the form it must have. Nothing of that object may be shown.
type BrokenError struct {
	// ID is the object asked for, 40 hexadecimal digits; empty when a ref is broken.
	ID string
	// Why says what is wrong with it.
	Why string
	// Missing is true when the object is not there at all.
	Missing bool
	// Unread is true when the disk did not give the bytes: they may be whole.
	Unread bool

	beyond error // the *budget.ExceededError, where the object goes beyond the bounds
}

// Unwrap is the *budget.ExceededError of a folder that goes beyond the bounds.
func (e *BrokenError) Unwrap() error { return e.beyond }

func (e *BrokenError) Error() string {
	if e.ID == "" {
		return "broken repository: " + e.Why
	}
	return fmt.Sprintf("broken repository: object %s %s", e.ID, e.Why)
}
