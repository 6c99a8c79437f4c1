package trace

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/budget"
)

// A Tree is the tree of one commit as a file system: what a book was at that commit. Every byte it
// gives out has been hashed against its id; a mismatch is a *BrokenError. Only plain files and folders
// are in it. Several goroutines may use it.
type Tree struct {
	// Commit is the id of the commit read, 40 hexadecimal digits.
	Commit string

	mu      sync.Mutex
	store   *Store
	stated  time.Time
	folders map[string][]entry
	root    id
	left    *budget.Budget
	listed  int
	beyond  error // once it was found to go beyond the bounds
}

var _ interface {
	fs.ReadFileFS
	fs.ReadDirFS
	fs.StatFS
} = (*Tree)(nil)

// FS opens the tree of one commit of the repository whose work tree is dir. An empty rev means the
// tip; otherwise it is a branch, a tag, a full or shortened commit id, each with ~n behind it if
// wanted. The errors are those of Read. The caller closes the Tree.
func FS(dir, rev string) (*Tree, error) {
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	return s.FS(rev)
}

// FS is the tree of one commit, as the function FS opens it. The store is the tree's then, and is closed with it.
func (s *Store) FS(rev string) (*Tree, error) {
	if rev == "" {
		rev = "HEAD"
	}
	t := &Tree{store: s, folders: map[string][]entry{}, left: budget.New(s.ctx)}
	h, err := s.revision(rev)
	if err == nil {
		var c *rawCommit
		if c, err = s.commit(h); err == nil {
			t.Commit, t.stated, t.root = h.String(), c.committer.at, c.tree
			t.folders["."], err = s.folder(c.tree)
		}
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return t, nil
}

// Close frees the repository's files.
func (t *Tree) Close() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.store.Close()
}

// folder reads one tree whole, leaving out what is neither a plain file nor a folder, and names that
// no path may have.
func (s *Store) folder(h id) ([]entry, error) {
	r, err := s.tree(h)
	if err != nil {
		return nil, err
	}
	list := []entry{}
	for {
		e, err := r.next()
		if err != nil {
			return nil, err
		}
		if e.mode == "" {
			slices.SortFunc(list, func(a, b entry) int { return bytes.Compare(a.name, b.name) })
			return list, nil
		}
		if name := string(e.name); (e.isTree() || e.mode == modeFile || e.mode == modeExec) &&
			fs.ValidPath(name) && path.Base(name) == name && name != "." {
			list = append(list, e)
		}
	}
}

// list returns the entries of a folder, the caller holding the lock.
func (t *Tree) list(dir string) ([]entry, error) {
	if l, ok := t.folders[dir]; ok {
		return l, nil
	}
	e, err := t.find(dir)
	if err != nil {
		return nil, err
	}
	if !e.isTree() {
		return nil, errNotFolder
	}
	l, err := t.store.folder(e.id)
	if err != nil {
		return nil, err
	}
	if t.beyond == nil {
		t.beyond = beyond(e.id, t.take(dir, l))
	}
	if t.beyond != nil {
		return nil, t.beyond
	}
	t.folders[dir] = l
	return l, nil
}

// take counts a folder that is listed for the first time.
func (t *Tree) take(dir string, l []entry) error {
	bytes := 0
	for _, e := range l {
		bytes += len(e.name) + 28
	}
	if len(l) > 0 {
		if err := t.left.Path(strings.Count(dir, "/") + 1); err != nil {
			return err
		}
	}
	before := t.listed
	if t.listed += len(l); before < looksAhead && t.listed >= looksAhead {
		if err := t.store.inBounds(t.root); err != nil {
			return err
		}
	}
	return t.left.Add(int64(len(l)), int64(bytes))
}

var errNotFolder = errors.New("not a folder")

func (t *Tree) find(name string) (entry, error) {
	if name == "." {
		return entry{mode: modeTree}, nil
	}
	l, err := t.list(path.Dir(name))
	if err != nil {
		return entry{}, err
	}
	base := path.Base(name)
	for _, e := range l {
		if string(e.name) == base {
			return e, nil
		}
	}
	return entry{}, fs.ErrNotExist
}

// ReadFile returns a file's bytes.
func (t *Tree) ReadFile(name string) ([]byte, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "read", Path: name, Err: fs.ErrInvalid}
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	e, err := t.find(name)
	if err == nil && e.isTree() {
		err = errors.New("is a folder")
	}
	var text []byte
	if err == nil {
		text, err = t.store.read(e.id, plumbing.BlobObject)
	}
	if err != nil {
		return nil, &fs.PathError{Op: "read", Path: name, Err: err}
	}
	return text, nil
}

// ReadDir returns a folder's entries by name.
func (t *Tree) ReadDir(name string) ([]fs.DirEntry, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "readdir", Path: name, Err: fs.ErrInvalid}
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	l, err := t.list(name)
	if err != nil {
		return nil, &fs.PathError{Op: "readdir", Path: name, Err: err}
	}
	out := make([]fs.DirEntry, len(l))
	for i, e := range l {
		out[i] = &fileInfo{tree: t, entry: e, path: path.Join(name, string(e.name))}
	}
	return out, nil
}

// Stat describes a file or folder; its time is the commit's stated one.
func (t *Tree) Stat(name string) (fs.FileInfo, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrInvalid}
	}
	t.mu.Lock()
	e, err := t.find(name)
	t.mu.Unlock()
	if err != nil {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: err}
	}
	return (&fileInfo{tree: t, entry: e, path: name}).Info()
}

// Open opens a file or folder.
func (t *Tree) Open(name string) (fs.File, error) {
	info, err := t.Stat(name)
	if err != nil {
		return nil, err
	}
	f := &openFile{info: info.(*fileInfo)}
	if info.IsDir() {
		f.list, err = t.ReadDir(name)
		return f, err
	}
	text, err := t.ReadFile(name)
	f.Reader = bytes.NewReader(text)
	return f, err
}

// fileInfo is one entry, as DirEntry and as FileInfo; the size is read when it is asked for.
type fileInfo struct {
	tree  *Tree
	entry entry
	path  string
	size  int64
}

func (i *fileInfo) Name() string       { return path.Base(i.path) }
func (i *fileInfo) IsDir() bool        { return i.entry.isTree() }
func (i *fileInfo) Size() int64        { return i.size }
func (i *fileInfo) ModTime() time.Time { return i.tree.stated }
func (i *fileInfo) Sys() any           { return nil }
func (i *fileInfo) Type() fs.FileMode  { return i.Mode().Type() }

func (i *fileInfo) Mode() fs.FileMode {
	if i.IsDir() {
		return fs.ModeDir | 0o555
	}
	return 0o444
}

func (i *fileInfo) Info() (fs.FileInfo, error) {
	if i.IsDir() {
		return i, nil
	}
	text, err := i.tree.ReadFile(i.path)
	i.size = int64(len(text))
	return i, err
}

type openFile struct {
	info *fileInfo
	*bytes.Reader
	list []fs.DirEntry
}

func (f *openFile) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f *openFile) Close() error               { return nil }

func (f *openFile) Read(b []byte) (int, error) {
	if f.Reader == nil {
		return 0, &fs.PathError{Op: "read", Path: f.info.path, Err: errors.New("is a folder")}
	}
	return f.Reader.Read(b)
}

// ReadDir returns the next n entries, all that are left when n is not positive.
func (f *openFile) ReadDir(n int) ([]fs.DirEntry, error) {
	if f.Reader != nil {
		return nil, &fs.PathError{Op: "readdir", Path: f.info.path, Err: errNotFolder}
	}
	if n <= 0 {
		n = len(f.list)
	} else if len(f.list) == 0 {
		return nil, io.EOF
	}
	n = min(n, len(f.list))
	part := f.list[:n]
	f.list = f.list[n:]
	return part, nil
}
