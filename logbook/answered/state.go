package answered

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"needlebook/logbook/budget"
)

type digest = [sha256.Size]byte

// State is what a folder holds, as digests.
type State struct {
	Git   digest // of every byte below .git
	Files digest // of every byte beside it
	times digest // of the times of all files, which are believed for nothing but to doubt
}

// most is how many bytes of a folder are hashed.
const most = 256 << 20

// errNotAll says that a folder is more than the bytes below it.
var errNotAll = errors.New("is not all that the book depends on")

// stateOf reads all that lies below a folder, so many bytes at most.
func stateOf(dir string, most int64) (s State, err error) {
	w := walker{dir: dir, left: most, times: sha256.New(), buf: make([]byte, 64<<10)}
	git, files := sha256.New(), sha256.New()
	err = filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if rel == ".git" || strings.HasPrefix(rel, ".git/") {
			return w.add(git, rel, e)
		}
		return w.add(files, rel, e)
	})
	return State{sum(git), sum(files), sum(w.times)}, err
}

func sum(h hash.Hash) digest { return digest(h.Sum(nil)) }

type walker struct {
	dir   string
	left  int64
	times hash.Hash
	buf   []byte
}

// add takes in one file or folder: its name, its rights, and its bytes with their number.
func (w *walker) add(to hash.Hash, rel string, e fs.DirEntry) error {
	info, err := e.Info()
	switch {
	case err != nil:
		return err
	case !info.IsDir() && !info.Mode().IsRegular(), rel == ".git" && !info.IsDir(),
		rel == ".git/objects/info/alternates", rel == ".git/commondir":
		return fmt.Errorf("%q %w", rel, errNotAll)
	}
	fmt.Fprintf(to, "%d %s %v ", len(rel), rel, info.Mode())
	if info.IsDir() {
		return nil
	}
	fmt.Fprintf(w.times, "%s %d ", rel, info.ModTime().UnixNano())
	if w.left -= info.Size(); w.left < 0 {
		return fmt.Errorf("%q and more %w", rel, errNotAll)
	}
	f, err := budget.Open(filepath.Join(w.dir, filepath.FromSlash(rel)), most)
	if err != nil {
		return err
	}
	defer f.Close()
	n, err := io.CopyBuffer(struct{ io.Writer }{to}, struct{ io.Reader }{f}, w.buf)
	var length [8]byte
	binary.BigEndian.PutUint64(length[:], uint64(n))
	to.Write(length[:]) // behind the bytes: a file may have grown since it was looked at
	return err
}
