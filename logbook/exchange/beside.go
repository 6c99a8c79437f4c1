package exchange

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/trace"
)

// A Beside is a book on its way: it is made in a hidden folder beside the one that it will be, and renamed into place
// once it is whole. What breaks off leaves nothing; what was killed leaves the hidden folder, which the next one that
// makes the same book takes away.
type Beside struct {
	// Dir is the hidden folder.
	Dir    string
	to     string
	branch string
	disk   func(dir string) durable.Disk
}

// beside begins where dir does not exist yet, or is an empty folder.
func beside(dir string, disk func(dir string) durable.Disk) (*Beside, error) {
	if left, err := os.ReadDir(dir); err == nil && len(left) > 0 {
		return nil, fmt.Errorf("folder %q is not empty: %w", dir, fs.ErrExist)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	parent := filepath.Dir(full)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return nil, err
	}
	b := &Beside{Dir: filepath.Join(parent, ".needlebook-"+filepath.Base(full)+".new"), to: full, disk: disk}
	return b, durable.Begin(b.Dir, func() error { return errors.Join(os.RemoveAll(b.Dir), os.Mkdir(b.Dir, 0o700)) })
}

// Abandon takes away what was made.
func (b *Beside) Abandon() error {
	return durable.End(b.Dir, func() error { return os.RemoveAll(b.Dir) })
}

// move renames the finished folder into place, and reads its tip there. An empty folder in its place is taken away
// first, because not every system renames over one.
func (b *Beside) move(tip plumbing.Hash) error {
	parent := b.disk(filepath.Dir(b.to))
	if err := budget.Chmod(b.Dir, 0o755); err != nil {
		return err
	}
	if err := parent.Filesystem.Remove(filepath.Base(b.to)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := parent.Rename(filepath.Base(b.Dir), filepath.Base(b.to)); err != nil {
		return err
	}
	if err := b.Abandon(); err != nil { // it is elsewhere now
		return err
	}
	back, err := trace.FS(b.to, "HEAD")
	if err != nil {
		return fmt.Errorf("wrote %q, but could not read it back: %w", b.to, err)
	}
	defer back.Close()
	if back.Commit != tip.String() {
		return fmt.Errorf("wrote %q, but its tip is %s", b.to, back.Commit)
	}
	return nil
}

// Join begins a copy of a book in dir, which must not exist yet or be an empty folder: a repository without a commit,
// into which a fetch or a bundle brings the objects.
func Join(dir, branch string) (*Beside, error) {
	b, err := beside(dir, durable.New)
	if err != nil {
		return nil, err
	}
	b.branch = branch
	w := newLayer(b.disk(b.Dir))
	w.unborn(branch)
	if err := w.sync(); err != nil {
		return nil, errors.Join(err, b.Abandon())
	}
	return b, nil
}

// Settle checks a tip out whose objects have come, adds to the settings, and puts the book in its place.
func (b *Beside) Settle(tip, settings string) error {
	id := plumbing.NewHash(tip)
	idx := &index.Index{Version: 2}
	w := newLayer(b.disk(b.Dir))
	if err := b.checkOut(w, id, idx); err != nil {
		return err
	}
	if err := w.disk.Filesystem.Remove(".git/config"); err != nil {
		return err
	}
	w.file(".git/config", []byte(config+settings))
	if err := w.born(b.branch, id, idx); err != nil {
		return err
	}
	return b.move(id)
}

// checkOut writes the files of a commit. A link, or another repository, is left out: no book has one, and verify marks
// the commit that brought it.
func (b *Beside) checkOut(w *layer, tip plumbing.Hash, idx *index.Index) error {
	store, err := StoreOn(b.Dir, b.disk)
	if err != nil {
		return err
	}
	defer store.Close()
	tree, _, err := store.Commit(tip)
	if err != nil {
		return err
	}
	files, err := store.Differences(plumbing.ZeroHash, tree)
	if err != nil {
		return err
	}
	for _, f := range files {
		mode := filemode.Regular
		switch f.Mode {
		case "100644":
		case "100755":
			mode = filemode.Executable
		default:
			continue
		}
		text, err := store.Blob(f.Is)
		if err == nil {
			err = w.enter(idx, f.Path, text, f.Is, mode)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
