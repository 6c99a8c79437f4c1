package remote

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/storer"
	"github.com/go-git/go-git/v5/plumbing/transport"
	"github.com/go-git/go-git/v5/storage/filesystem"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/fault"
	"needlebook/logbook/trace"
)

// served hands out one branch of a repository that lies in a folder, for reading, where no git is installed to do it.
type served struct{ branch string }

// Load opens the repository.
func (s served) Load(ep *transport.Endpoint) (storer.Storer, error) {
	dir := filepath.FromSlash(ep.Path)
	if worksIn(dir) {
		dir = filepath.Join(dir, ".git")
	}
	if _, err := os.Stat(filepath.Join(dir, "HEAD")); err != nil {
		return nil, transport.ErrRepositoryNotFound
	}
	all := filesystem.NewStorage(durable.New(dir), cache.NewObjectLRUDefault())
	return oneBranch{all, dir, plumbing.NewBranchReferenceName(s.branch)}, nil
}

// oneBranch is a repository that tells of no other branch: go-git reads whatever lies there as one, the lock of a dead
// program too, and takes a branch that has lost its text for one that is not there.
type oneBranch struct {
	*filesystem.Storage
	dir  string
	name plumbing.ReferenceName
}

// IterReferences lists the branch, where there is one.
func (b oneBranch) IterReferences() (storer.ReferenceIter, error) {
	store, err := openThere(b.dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	tip, err := standingIn(store, b.name.String())
	if err != nil || tip.IsZero() {
		return storer.NewReferenceSliceIter(nil), err
	}
	return storer.NewReferenceSliceIter([]*plumbing.Reference{plumbing.NewHashReference(b.name, tip)}), nil
}

// worksIn says that a folder is one in which somebody works.
func worksIn(dir string) bool {
	info, err := os.Stat(filepath.Join(dir, ".git"))
	return err == nil && info.IsDir()
}

// pushInto carries into a repository that lies in a folder, such as a stick or a share, as a bundle is let into a book:
// pack and index are written and synced beside it, take their names only when they are whole, and the branch moves
// behind them, under its lock, from where it was seen. Go-git's server for folders names an index before its pack is
// there, keeps a half one, and builds on it the next time; it moves branches in place and whatever they stand on. A
// folder in which somebody works takes no push: its files would no longer be those of its branch.
func pushInto(ctx context.Context, store *trace.Store, l *Remote, old, tip plumbing.Hash) (int64, error) {
	ep, err := transport.NewEndpoint(l.URL)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrNoRemote, err)
	}
	dir := filepath.FromSlash(ep.Path)
	if worksIn(dir) {
		return 0, wire(inUse(dir))
	}
	disk := durable.New(dir)
	r := &exchange.Repository{Dir: dir, Git: disk, Common: disk, Disk: durable.New}
	there, err := openThere(dir)
	if err != nil {
		return 0, wire(err)
	}
	defer there.Close()
	there.Until(ctx)
	ref := "refs/heads/" + l.Branch
	if now, err := standingIn(there, ref); err != nil {
		return 0, wire(err)
	} else if now != old {
		return 0, ErrBehind
	}
	size, err := receive(r, store, there, old, tip)
	if err != nil {
		return size, wire(err)
	}
	return size, exchange.Patiently(func() error { return moveFrom(r, there, ref, old, tip) })
}

// openThere opens a repository of the other side, in its folder without a work tree.
func openThere(dir string) (*trace.Store, error) {
	return trace.OpenBareOn(dir, func(dir string) billy.Filesystem { return durable.New(dir) })
}

func inUse(dir string) error {
	return fmt.Errorf("%q is a folder that somebody works in; push to a bare one (git init --bare)", dir)
}

// standingIn is where a branch is; zero when there is none.
func standingIn(store *trace.Store, ref string) (plumbing.Hash, error) {
	now, err := store.Ref(ref)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return now, err
}

// receive lets in what leads from one commit to another. Nothing refers to it yet.
func receive(r *exchange.Repository, from, there *trace.Store, old, tip plumbing.Hash) (int64, error) {
	load, err := transfer.ContentOf(from, tip, held(old))
	if err != nil {
		return 0, err
	}
	in, out := io.Pipe()
	fault.Go("pack what is sent", func() error {
		_, err := load.Write(out, false, 9)
		out.CloseWithError(err)
		return nil
	}, func(err error) { out.CloseWithError(err) })
	defer in.Close()
	p, err := transfer.ReadIncoming(r, there, in)
	if err != nil {
		return 0, err
	}
	return p.Pack.Size, p.LetIn()
}

// moveFrom moves a branch from where it was seen; ErrBehind says that somebody else was faster.
func moveFrom(r *exchange.Repository, store *trace.Store, ref string, old, tip plumbing.Hash) error {
	l, err := r.Common.Lock(ref, false)
	if err != nil {
		return err
	}
	now, err := standingIn(store, ref)
	if err == nil && now != old {
		err = ErrBehind
	}
	if err != nil {
		return errors.Join(err, l.Release())
	}
	return errors.Join(l.Replace([]byte(tip.String()+"\n")), l.Close())
}
