package exchange

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/storer"
	"github.com/go-git/go-git/v5/plumbing/transport"
	"github.com/go-git/go-git/v5/storage"
	"github.com/go-git/go-git/v5/storage/filesystem"
)

// served hands out a repository that lies in a folder, where no git is installed to do it. It writes the durable way, and moves a branch
// only from where the pusher saw it: go-git's own server writes branches in place and whatever they stand on, so that of two who push at
// once one is lost, and a reader between the two meets half a file.
type served struct {
	writes bool
	saw    plumbing.Hash // where the pusher saw the branch
}

// Load opens the repository. A folder in which somebody works takes no push: its files would no longer be those of its branch.
func (f served) Load(ep *transport.Endpoint) (storer.Storer, error) {
	dir := filepath.FromSlash(ep.Path)
	if info, err := os.Stat(filepath.Join(dir, ".git")); err == nil && info.IsDir() {
		if f.writes {
			return nil, inUse(dir)
		}
		dir = filepath.Join(dir, ".git")
	}
	if _, err := os.Stat(filepath.Join(dir, "HEAD")); err != nil {
		return nil, transport.ErrRepositoryNotFound
	}
	return seen{filesystem.NewStorage(newDurable(dir), cache.NewObjectLRUDefault()), f.saw}, nil
}

func inUse(dir string) error {
	return fmt.Errorf("%q is a folder that somebody works in; push to a bare one (git init --bare)", dir)
}

// seen moves a reference only from where it was seen.
type seen struct {
	*filesystem.Storage
	saw plumbing.Hash
}

func (s seen) SetReference(to *plumbing.Reference) error {
	var from *plumbing.Reference
	if !s.saw.IsZero() {
		from = plumbing.NewHashReference(to.Name(), s.saw)
	}
	err := patiently(func() error { return s.CheckAndSetReference(to, from) })
	if errors.Is(err, storage.ErrReferenceHasChanged) {
		return ErrBehind
	}
	return err
}
