package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"
	"github.com/go-git/go-git/v5/storage/filesystem"

	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/trace"
)

var (
	// ErrNothing says that a draft changes nothing.
	ErrNothing = errors.New("nothing to commit")
	// ErrEdited says that a file of the folder holds a text that is neither the tip's nor the draft's:
	// writing would lose it. The text of the error names the file.
	ErrEdited = errors.New("file was edited since it was read")
)

// Patience is how long a writer waits for another one to let a lock go.
const Patience = 10 * time.Second

// Write commits a draft on the branch of the book in dir, with the tip as first parent, and brings the
// files of the folder in line. It returns the new commit's id only after the commit and its texts have
// been read back from disk. After an error the branch stands as it was or, when only the reading back
// failed, on the new commit; a file of the folder is always wholly its old or its new text. Beside
// ErrNothing, ErrEdited and ErrLocked it returns the errors of trace.OpenStore.
func Write(dir string, d Draft) (string, error) {
	if err := d.Check(); err != nil {
		return "", err
	}
	r, err := OpenRepository(dir, durable.New)
	if err != nil {
		return "", err
	}
	var commit string
	err = Patiently(func() error {
		commit, err = r.Commit(&d)
		return err
	})
	return commit, err
}

// Patiently tries again while another writer holds a lock.
func Patiently(try func() error) error {
	for deadline := time.Now().Add(Patience); ; time.Sleep(20 * time.Millisecond) {
		if err := try(); !errors.Is(err, durable.ErrLocked) || time.Now().After(deadline) {
			return err
		}
	}
}

// Repository is a book open for writing.
type Repository struct {
	Dir               string
	Git, Common, Work durable.Disk
	Disk              func(dir string) durable.Disk
}

// OpenRepository opens a book for writing, on disks of the caller's making.
func OpenRepository(dir string, disk func(dir string) durable.Disk) (*Repository, error) {
	git, common, err := trace.GitDirs(dir)
	if err != nil {
		return nil, err
	}
	return &Repository{Dir: dir, Git: disk(git), Common: disk(common), Work: disk(dir), Disk: disk}, nil
}

// Store opens the objects for reading, on the disk that is written to.
func (r *Repository) Store() (*trace.Store, error) {
	return StoreOn(r.Dir, r.Disk)
}

// StoreOn opens the objects of a book for reading, on such a disk.
func StoreOn(dir string, disk func(dir string) durable.Disk) (*trace.Store, error) {
	return trace.OpenStoreOn(dir, func(dir string) billy.Filesystem { return disk(dir) })
}

// tree opens the tree of a commit.
func (r *Repository) tree(commit string) (*trace.Tree, error) {
	s, err := r.Store()
	if err != nil {
		return nil, err
	}
	return s.FS(commit)
}

// loose writes new objects into the repository and reads old trees, hashed again, from it.
type loose struct {
	*trace.Store
	storage *filesystem.Storage
	disk    durable.Disk
}

// ObjectsOf are the objects of a repository, read through a store that is open on it.
func (r *Repository) ObjectsOf(store *trace.Store) loose {
	return loose{store, filesystem.NewStorage(r.Common, cache.NewObjectLRU(cache.MiByte)), r.Common}
}

// Put stores an object, unless it is there whole. One that a power cut left behind half written would be
// taken for it by the storage, and is taken away first: its bytes are worth nothing.
func (l loose) Put(kind plumbing.ObjectType, raw []byte) (plumbing.Hash, error) {
	h := plumbing.ComputeHash(kind, raw)
	_, _, err := l.Object(h)
	var broken *trace.BrokenError
	switch {
	case err == nil:
		return h, nil
	case errors.As(err, &broken) && !broken.Missing && !broken.Unread:
		hex := h.String()
		if err := l.disk.Remove("objects/" + hex[:2] + "/" + hex[2:]); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return h, err
		}
	}
	o := l.storage.NewEncodedObject()
	o.SetType(kind)
	o.SetSize(int64(len(raw)))
	w, err := o.Writer()
	if err != nil {
		return plumbing.ZeroHash, err
	}
	if _, err := w.Write(raw); err != nil {
		return plumbing.ZeroHash, err
	}
	return l.storage.SetEncodedObject(o)
}

// Commit makes one try. The locks of branch and index are held, as git holds them, from before the tip
// is read until the branch stands on the new commit: whoever else writes waits or is told.
func (r *Repository) Commit(d *Draft) (commit string, err error) {
	branch, err := r.Branch()
	if err != nil {
		return "", err
	}
	ref, err := r.Common.Lock("refs/heads/"+branch, false)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, ref.Release()) }()
	staged, err := r.Git.Lock("index", false)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, staged.Release()) }()

	store, err := r.Store()
	if err != nil {
		return "", err
	}
	defer store.Close()
	tip, still, err := store.Head()
	if err != nil {
		return "", err
	}
	if still != branch {
		return "", fmt.Errorf("%w: the branch was changed meanwhile", durable.ErrLocked)
	}
	if err := r.Unfinished(store, tip); err != nil {
		return "", err
	}
	idx, err := readIndex(staged)
	if err != nil {
		return "", err
	}
	made, edits, err := r.objects(store, tip, d)
	if err != nil {
		return "", err
	}
	if err := r.files(store, tip, d, edits, idx); err != nil {
		return "", err
	}
	var text bytes.Buffer
	if err := index.NewEncoder(&text).Encode(idx); err != nil {
		return "", fmt.Errorf("could not write the index: %w", err)
	}
	if err := errors.Join(staged.Replace(text.Bytes()), staged.Close()); err != nil {
		return "", fmt.Errorf("could not write the index: %w", err)
	}
	subject, _, _ := strings.Cut(d.Message, "\n")
	if err := r.Reflog(branch, tip, made, d.Committer, "commit: "+subject); err != nil {
		return "", fmt.Errorf("could not write the log of the branch: %w", err)
	}
	if err := errors.Join(ref.Replace([]byte(made.String()+"\n")), ref.Close()); err != nil {
		return "", fmt.Errorf("could not move the branch %s: %w", branch, err)
	}
	if err := r.ReadBack(made, edits); err != nil {
		return "", fmt.Errorf("wrote commit %s, but could not read it back: %w", made, err)
	}
	return made.String(), nil
}

// Branch is the branch HEAD stands on; a book is written on a branch only, and only after its founding
// commit.
func (r *Repository) Branch() (string, error) {
	store, err := r.Store()
	if err != nil {
		return "", err
	}
	defer store.Close()
	_, branch, err := store.Head()
	if err == nil && branch == "" {
		if err = r.ByGit(); err == nil {
			err = fmt.Errorf("HEAD stands on no branch in %q; go back to one with git switch", r.Dir)
		}
	}
	return branch, err
}

// readIndex reads the index whose lock is held.
func readIndex(f *durable.Locked) (*index.Index, error) {
	idx, err := DecodeIndex(f)
	if errors.Is(err, ErrIndexForm) {
		return nil, err
	} else if err != nil {
		return nil, fmt.Errorf("%w; needlebook repair says how it is made again", err)
	}
	for _, e := range idx.Entries {
		if e.Stage != 0 {
			return nil, fmt.Errorf("%w: a merge is open at %q", ErrUnfinished, e.Name)
		}
	}
	return idx, nil
}

// ErrIndexForm is about an index that is whole, in one of git's two forms that lead elsewhere for some of its files.
var ErrIndexForm = errors.New("git keeps the index split or sparse here, which is not supported" +
	"\n    git update-index --no-split-index, or git sparse-checkout reapply --no-sparse-index")

// DecodeIndex reads an index in git's plain form.
func DecodeIndex(f io.Reader) (*index.Index, error) {
	idx := &index.Index{}
	switch err := index.NewDecoder(f).Decode(idx); {
	case errors.Is(err, index.ErrUnknownExtension):
		return nil, ErrIndexForm
	case err != nil:
		return nil, fmt.Errorf("git's list of the files cannot be read: %w", err)
	}
	return idx, nil
}

// objects writes the texts, the trees and the signed commit. Nothing refers to them yet.
func (r *Repository) objects(store *trace.Store, tip plumbing.Hash, d *Draft) (plumbing.Hash, []Edit, error) {
	o := r.ObjectsOf(store)
	before, _, err := store.Commit(tip)
	if err != nil {
		return tip, nil, err
	}
	parents := []plumbing.Hash{tip}
	for _, m := range d.Merge {
		p := plumbing.NewHash(m)
		if _, _, err := store.Commit(p); err != nil {
			return tip, nil, err
		}
		parents = append(parents, p)
	}
	tree, edits, err := apply(o, before, d.Changes)
	if err != nil {
		return tip, nil, err
	}
	if tree == before && len(d.Merge) == 0 {
		return tip, nil, ErrNothing
	}
	raw, err := d.Encode(tree, parents)
	if err != nil {
		return tip, nil, err
	}
	commit, err := o.Put(plumbing.CommitObject, raw)
	return commit, edits, err
}

// files brings the changed files of the folder, and their index entries, in line with the commit.
func (r *Repository) files(store *trace.Store, tip plumbing.Hash, d *Draft, edits []Edit, idx *index.Index) error {
	texts := map[string][]byte{}
	for _, c := range d.Changes {
		texts[c.Path] = c.Text
	}
	old, err := r.tree(tip.String())
	if err != nil {
		return err
	}
	defer old.Close()
	// All are looked at before the first is written.
	now := map[string][]byte{}
	for _, e := range edits {
		was, err := ReadIfThere(old.ReadFile, e.Path)
		if err != nil {
			return err
		}
		if e.Blob.IsZero() {
			texts[e.Path] = nil
		} else if texts[e.Path] == nil { // moved as it is
			if texts[e.Path], err = old.ReadFile(d.from(e.Path)); err != nil {
				return err
			}
		}
		now[e.Path], err = ReadIfThere(r.Read, e.Path)
		if err != nil {
			return err
		}
		if there := now[e.Path]; there != nil && !Same(there, was) && !Same(there, texts[e.Path]) {
			return fmt.Errorf("%w: %q", ErrEdited, e.Path)
		}
	}
	for _, e := range edits {
		idx.Entries = slices.DeleteFunc(idx.Entries, func(x *index.Entry) bool { return x.Name == e.Path })
		if e.Blob.IsZero() {
			if err := r.Remove(e.Path, now[e.Path] != nil); err != nil {
				return err
			}
			continue
		}
		if now[e.Path] == nil || !Same(now[e.Path], texts[e.Path]) {
			if err := r.write(e.Path, texts[e.Path]); err != nil {
				return err
			}
		}
		info, err := r.Work.Lstat(e.Path)
		if err != nil {
			return err
		}
		entry := idx.Add(e.Path)
		entry.Hash, entry.Mode = e.Blob, filemode.Regular
		Stamp(entry, info)
	}
	return nil
}

func (d *Draft) from(path string) string {
	for _, c := range d.Changes {
		if c.Path == path {
			return c.From
		}
	}
	return ""
}

// Same compares a file of the folder with a stored text; an editor's carriage returns do not count.
func Same(there, text []byte) bool {
	if text == nil {
		return false
	}
	return bytes.Equal(there, text) || bytes.Equal(bytes.ReplaceAll(there, []byte("\r\n"), []byte("\n")), text)
}

// ReadIfThere reads a file; nil where there is none.
func ReadIfThere(read func(string) ([]byte, error), path string) ([]byte, error) {
	text, err := read(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err == nil && text == nil {
		text = []byte{}
	}
	return text, err
}

// Read reads a plain file of the folder.
func (r *Repository) Read(path string) ([]byte, error) {
	info, err := r.Work.Lstat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q is no plain file", path)
	}
	return durable.ReadPlain(r.Work, path)
}

func (r *Repository) write(path string, text []byte) error {
	f, err := r.Work.Lock(path, true)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}

// Remove takes a file out of the folder, and the folders that are empty then.
func (r *Repository) Remove(path string, there bool) error {
	if there {
		if err := r.Work.Remove(path); err != nil {
			return err
		}
	}
	for dir := filepath.Dir(path); dir != "."; dir = filepath.Dir(dir) {
		if left, err := r.Work.ReadDir(dir); err != nil || len(left) > 0 {
			break
		}
		if err := r.Work.Remove(dir); err != nil {
			return err
		}
	}
	return nil
}

// Reflog adds the line that git would, so that a lost commit can be found again.
func (r *Repository) Reflog(branch string, was, is plumbing.Hash, who Person, what string) error {
	line := fmt.Sprintf("%s %s %s\t%s\n", was, is, who, what)
	for _, log := range []struct {
		disk durable.Disk
		name string
	}{{r.Common, "logs/refs/heads/" + branch}, {r.Git, "logs/HEAD"}} {
		f, err := log.disk.OpenFile(log.name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o666)
		if err != nil {
			return err
		}
		if _, err := f.Write([]byte(line)); err != nil {
			return errors.Join(err, f.Close())
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	return nil
}

// ReadBack reads the commit, the texts it brought and their files from disk, through nothing that was
// used to write them. Every byte is hashed on the way.
func (r *Repository) ReadBack(commit plumbing.Hash, edits []Edit) error {
	store, err := r.Store()
	if err != nil {
		return err
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err != nil {
		return err
	}
	if err := Holds(store, tip, commit); err != nil {
		return err
	}
	tree, err := r.tree(commit.String())
	if err != nil {
		return err
	}
	defer tree.Close()
	for _, e := range edits {
		if e.Blob.IsZero() {
			continue
		}
		stored, err := tree.ReadFile(e.Path)
		if err != nil {
			return err
		}
		if tip != commit {
			continue // somebody else has written since, the folder is his
		}
		text, err := r.Read(e.Path)
		if err != nil {
			return err
		}
		if !Same(text, stored) {
			return fmt.Errorf("the folder holds another text of %q", e.Path)
		}
	}
	return nil
}

// Holds returns an error unless a commit is the tip or in its past. Others may have written since the
// lock was let go, so the tip is only looked behind when it is not the commit itself.
func Holds(store *trace.Store, tip, commit plumbing.Hash) error {
	seen := map[plumbing.Hash]bool{}
	for next := []plumbing.Hash{tip}; len(next) > 0; next = next[1:] {
		if next[0] == commit {
			return nil
		}
		_, parents, err := store.Commit(next[0])
		if err != nil {
			return err
		}
		for _, p := range parents {
			if !seen[p] {
				seen[p] = true
				next = append(next, p)
			}
		}
	}
	return fmt.Errorf("the branch stands on %s, which does not hold it", tip)
}

var _ billy.File = (*durable.Locked)(nil)
