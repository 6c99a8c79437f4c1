package trace

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/format/config"
	"github.com/go-git/go-git/v5/storage/filesystem"
	"github.com/go-git/go-git/v5/storage/filesystem/dotgit"
	"github.com/pjbgf/sha1cd"

	"needlebook/logbook/budget"
)

type id = plumbing.Hash

// cacheSize is the room for decoded objects. Packs keep neighbours together, so a few megabytes read
// as fast as hundreds (measured on 60,000 commits).
const cacheSize = 8 * cache.MiByte

// maxObject bounds what is read into memory for one object: photos are the largest thing in a book.
const maxObject = 64 << 20

// maxText bounds what may be a text: the largest tables of a book.
const maxText = 16 << 20

// maxSmall bounds what is read of a file of git's that is no object: the packed refs of a book are the largest.
const maxSmall = 16 << 20

// A Store reads the objects of one repository raw, hashing each again. It never writes, and is for one
// goroutine.
type Store struct {
	git     billy.Filesystem // HEAD and index; a linked work tree has its own
	common  billy.Filesystem // objects, refs and config
	objects *filesystem.Storage
	trees   treeCache
	known   *facts
	search  search // for the object asked for
	ctx     context.Context

	all, indexed bool   // whether the objects are listed once, and whether the indexes of the packs were read
	packs        string // the packs that were there when the objects were opened
	looks        int    // how often they were opened anew without a change
}

// OpenStore opens the repository whose work tree is dir, for reading only. Its errors are those of
// Read. The caller closes the Store.
func OpenStore(dir string) (*Store, error) {
	return OpenStoreOn(dir, func(dir string) billy.Filesystem { return plain{osfs.New(dir, osfs.WithBoundOS())} })
}

// OpenStoreOn is OpenStore on the disk that gives a folder of git's, which opens as OpenPlain does: whoever writes
// reads through the same one.
func OpenStoreOn(dir string, disk func(dir string) billy.Filesystem) (*Store, error) {
	gitDir, commonDir, err := GitDirs(dir)
	if err != nil {
		return nil, err
	}
	return openStore(gitDir, commonDir, disk)
}

// OpenBareOn opens a repository without a work tree, whose folder is dir.
func OpenBareOn(dir string, disk func(dir string) billy.Filesystem) (*Store, error) {
	return openStore(dir, dir, disk)
}

func openStore(gitDir, commonDir string, disk func(dir string) billy.Filesystem) (*Store, error) {
	s := &Store{git: disk(gitDir), common: disk(commonDir), known: &facts{}, ctx: context.Background()}
	if err := s.refuse(); err != nil {
		return nil, err
	}
	s.open(true)
	return s, nil
}

// Until ends every walk through the repository when the context ends, with an error that is budget.ErrStopped.
func (s *Store) Until(ctx context.Context) { s.ctx = ctx }

// Stopped is nil until the walks through the repository are to end.
func (s *Store) Stopped() error { return budget.Stopped(s.ctx) }

// open opens the objects. All says that most of them will be asked for: then they are listed once.
func (s *Store) open(all bool) {
	s.all, s.indexed, s.packs = all, false, packsNow(s.common)
	layout := dotgit.NewRepositoryFilesystem(s.git, bounded{s.common, &s.search})
	s.objects = filesystem.NewStorageWithOptions(layout, cache.NewObjectLRU(cacheSize),
		filesystem.Options{KeepDescriptors: true, ExclusiveAccess: all, LargeObjectThreshold: maxObject})
}

// Close frees the repository's files.
func (s *Store) Close() error { return s.objects.Close() }

// GitDirs finds the .git folder of a work tree, following the one-line file that a linked work tree
// has in its place, and the folder it shares with others; both are the same otherwise.
func GitDirs(dir string) (git, common string, err error) {
	git = filepath.Join(dir, ".git")
	info, err := os.Stat(git)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", "", fmt.Errorf("%w: %q", ErrNotRepository, dir)
	case err != nil:
		return "", "", err
	case !info.IsDir():
		line, err := budget.Read(git, maxSmall)
		target, ok := strings.CutPrefix(strings.TrimSpace(string(line)), "gitdir: ")
		if err != nil || !ok {
			return "", "", fmt.Errorf("%w: %q is no folder and names none", ErrNotRepository, git)
		}
		git = resolve(dir, target)
	}
	if _, err := os.Stat(filepath.Join(git, "HEAD")); err != nil {
		return "", "", fmt.Errorf("%w: %q has no HEAD", ErrNotRepository, git)
	}
	common = git
	if line, err := budget.Read(filepath.Join(git, "commondir"), maxSmall); err == nil {
		common = resolve(git, strings.TrimSpace(string(line)))
	}
	return git, common, nil
}

func resolve(base, path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(base, filepath.FromSlash(path))
}

// refuse returns an error for repositories in which objects may be missing, borrowed or named in
// another way: whatever was shown of them could be incomplete without a sign.
func (s *Store) refuse() error {
	if info, err := s.common.Stat("shallow"); err == nil && info.Size() > 0 {
		return fmt.Errorf("%w: fetch the rest with git fetch --unshallow", ErrShallow)
	}
	if info, err := s.common.Stat("objects/info/alternates"); err == nil && info.Size() > 0 {
		return fmt.Errorf("%w: make it whole with git repack -a -d, then remove .git/objects/info/alternates", ErrAlternates)
	}
	text, err := readAll(s.common, "config")
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	cfg := config.New()
	if err := config.NewDecoder(strings.NewReader(text)).Decode(cfg); err != nil {
		return fmt.Errorf("could not read the repository's config: %w", err)
	}
	for _, o := range cfg.Section("extensions").Options {
		switch key := strings.ToLower(o.Key); {
		case key == "objectformat" && !strings.EqualFold(o.Value, "sha1"):
			return fmt.Errorf("%w: a book is begun in one made with git init --object-format=sha1", ErrSHA256)
		case key == "partialclone":
			return fmt.Errorf("%w: clone it again without --filter", ErrPartial)
		case key != "objectformat" && key != "worktreeconfig" && key != "noop" && key != "preciousobjects":
			return fmt.Errorf("%w: its config has extensions.%s = %s", ErrExtension, o.Key, o.Value)
		}
	}
	for _, remote := range cfg.Section("remote").Subsections {
		if strings.EqualFold(remote.Option("promisor"), "true") {
			return fmt.Errorf("%w: clone it again without --filter", ErrPartial)
		}
	}
	return nil
}

// read returns the bytes of an object after hashing them again: neither git nor the storage does, and
// a text swapped under its old id would be shown as signed.
func (s *Store) read(h id, want plumbing.ObjectType) ([]byte, error) {
	kind, raw, err := s.Object(h)
	if err == nil && kind != want {
		return nil, &BrokenError{ID: h.String(), Why: fmt.Sprintf("is a %s, wanted a %s", kind, want)}
	}
	return raw, err
}

// Object returns an object of any kind by its id, hashed again. The error is a *BrokenError when it is not there or not
// what its id says. Where one copy is damaged and another is good, the good one is returned; DamagedCopies names the
// other.
func (s *Store) Object(h plumbing.Hash) (kind plumbing.ObjectType, raw []byte, err error) {
	if err := s.Stopped(); err != nil {
		return plumbing.InvalidObject, nil, err
	}
	err = s.looking(func() error {
		kind, raw, err = s.found(h)
		if err = whole(h, kind, raw, err); err == nil {
			return nil
		}
		k, r, alone := s.looseBytes(h)
		if whole(h, k, r, alone) != nil {
			return err
		}
		kind, raw = k, r
		return nil
	})
	if err != nil {
		return plumbing.InvalidObject, nil, err
	}
	return kind, raw, nil
}

var errTooLarge = fmt.Errorf("is larger than %d MiB", maxObject>>20)

// found reads an object as the storage finds it, in the packs first, as git does.
func (s *Store) found(h id) (kind plumbing.ObjectType, raw []byte, err error) {
	if !s.indexed { // before the indexes are read the storage looks elsewhere first
		s.indexed = true
		if _, err := s.objects.EncodedObjectSize(id{}); err != nil && !errors.Is(err, plumbing.ErrObjectNotFound) {
			return kind, nil, err
		}
	}
	obj, err := s.objects.EncodedObject(plumbing.AnyObject, h)
	if err != nil {
		return kind, nil, err
	}
	if obj.Size() > maxObject {
		return kind, nil, errTooLarge
	}
	r, err := obj.Reader()
	if err != nil {
		return kind, nil, err
	}
	defer r.Close()
	raw = make([]byte, obj.Size())
	_, err = io.ReadFull(r, raw)
	return obj.Type(), raw, err
}

// whole says of what was read for an id whether it is that object.
func whole(h id, kind plumbing.ObjectType, raw []byte, err error) error {
	switch {
	case errors.Is(err, plumbing.ErrObjectNotFound):
		return &BrokenError{ID: h.String(), Why: "is missing", Missing: true}
	case err == errTooLarge:
		return &BrokenError{ID: h.String(), Why: err.Error()}
	case passing(err):
		return fmt.Errorf("could not read object %s: %w", h, err)
	case err != nil:
		return &BrokenError{ID: h.String(), Why: "cannot be read: " + err.Error(), Unread: unread(err)}
	}
	if sum, collision := objectID(kind, raw); collision {
		return &BrokenError{ID: h.String(), Why: "bears the marks of a SHA-1 collision attack"}
	} else if sum != h {
		return &BrokenError{ID: h.String(), Why: "holds other bytes: they hash to " + sum.String()}
	}
	return nil
}

// objectID hashes an object as git names it, and says whether the bytes look like a collision attack.
func objectID(t plumbing.ObjectType, raw []byte) (sum id, collision bool) {
	sum, collision, _ = streamID(t, bytes.NewReader(raw), int64(len(raw)))
	return sum, collision
}

// streamID is objectID for the bytes of a stream that has so many.
func streamID(t plumbing.ObjectType, raw io.Reader, size int64) (sum id, collision bool, err error) {
	d := sha1cd.New().(sha1cd.CollisionResistantHash)
	fmt.Fprintf(d, "%s %d\x00", t, size)
	_, err = io.Copy(d, raw)
	b, collision := d.CollisionResistantSum(nil)
	return id(b), collision, err
}
