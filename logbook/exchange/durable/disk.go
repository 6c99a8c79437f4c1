// Package durable writes files so that a power cut or a kill leaves each wholly old or wholly new: beside, synced,
// renamed, under the locks that git takes too. It knows no git objects.
package durable

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"

	"needlebook/logbook/budget"
	"needlebook/logbook/trace"
)

// ErrLocked says that another program holds, or left behind, the lock of a file in .git. The text
// names the lock.
var ErrLocked = errors.New("locked by another program")

// Disk is the file system through which everything in .git is written. go-git writes the branch
// file and the index in place, without sync and without git's locks; a power cut then leaves them
// empty. Here every file is synced before it counts, and the files that are replaced are written as
// NAME.lock first, which also keeps git out. It is built on the bound OS file system because go-git's
// default one hides Sync.
type Disk struct{ billy.Filesystem }

// New is the disk below a folder.
func New(dir string) Disk { return Disk{osfs.New(dir, osfs.WithBoundOS())} }

// replaced reports whether a file of .git is one that is replaced as a whole, under its lock.
func replaced(name string) bool {
	name = filepath.ToSlash(filepath.Clean(name))
	switch name {
	case "HEAD", "ORIG_HEAD", "FETCH_HEAD", "index", "config", "packed-refs", "shallow":
		return true
	}
	return strings.HasPrefix(name, "refs/")
}

func (d Disk) Create(name string) (billy.File, error) {
	return d.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o666)
}

func (d Disk) Open(name string) (billy.File, error) { return d.OpenFile(name, os.O_RDONLY, 0) }

func (d Disk) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	if flag&(os.O_WRONLY|os.O_RDWR|os.O_CREATE) == 0 {
		return trace.OpenPlain(d.Filesystem, name, flag, perm)
	}
	if replaced(name) {
		return d.Lock(name, flag&os.O_TRUNC != 0)
	}
	if err := d.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return nil, err
	}
	f, err := trace.OpenPlain(d.Filesystem, name, flag, perm)
	if err != nil {
		return nil, err
	}
	return &syncedFile{File: f, dir: d, name: name}, nil
}

// ReadDir lists a folder; of the packs only those that are whole.
func (d Disk) ReadDir(dir string) ([]fs.FileInfo, error) {
	files, err := d.Filesystem.ReadDir(dir)
	if trace.PackFolder(dir) {
		files = trace.WholePacks(files)
	}
	return files, err
}

func (d Disk) TempFile(dir, prefix string) (billy.File, error) {
	f, err := d.Filesystem.TempFile(dir, prefix)
	if err != nil {
		return nil, err
	}
	return &syncedFile{File: f}, nil
}

func (d Disk) Rename(from, to string) error {
	if err := d.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return err
	}
	if err := d.Filesystem.Rename(from, to); err != nil {
		return err
	}
	return d.SyncDir(filepath.Dir(to))
}

func (d Disk) Remove(name string) error {
	if err := d.Filesystem.Remove(name); err != nil {
		return err
	}
	return d.SyncDir(filepath.Dir(name))
}

// RemoveNew takes away what a step that failed may have left; not what was there before.
func (d Disk) RemoveNew(name string, was bool) error {
	if was {
		return nil
	}
	if err := d.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// MkdirAll makes the folders that are missing and syncs the folder each new one stands in.
func (d Disk) MkdirAll(dir string, perm fs.FileMode) error {
	if info, err := d.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	parent := filepath.Dir(dir)
	if parent != dir {
		if err := d.MkdirAll(parent, perm); err != nil {
			return err
		}
	}
	if err := d.Filesystem.MkdirAll(dir, perm); err != nil {
		return err
	}
	return d.SyncDir(parent)
}

// Chmod lets go-git make objects readable for everybody, as git does.
func (d Disk) Chmod(name string, mode fs.FileMode) error {
	if c, ok := d.Filesystem.(billy.Chmod); ok {
		return budget.Modeless(c.Chmod(name, mode))
	}
	return nil
}

func (d Disk) Chroot(dir string) (billy.Filesystem, error) {
	f, err := d.Filesystem.Chroot(dir)
	return Disk{f}, err
}

// IsThere reports whether a file or folder is there; a disk that does not say so is an error.
func IsThere(d Disk, name string) (bool, error) {
	_, err := d.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// Full is a file's name outside this file system.
func (d Disk) Full(name string) string { return filepath.Join(d.Root(), filepath.FromSlash(name)) }

// SyncDir makes names in a folder last. Windows keeps them in its journal and cannot sync a folder.
func (d Disk) SyncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := d.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(SyncFile(f), f.Close())
}

// SyncFile waits until the bytes of a file are on the disk.
func SyncFile(f billy.File) error {
	s, ok := f.(interface{ Sync() error })
	if !ok {
		return fmt.Errorf("file %q cannot be synced", f.Name())
	}
	return s.Sync()
}

// syncedFile syncs when it is closed, and its folder when it was made under its own name.
type syncedFile struct {
	billy.File
	dir  Disk
	name string // empty for a temporary file, which is renamed later
}

func (f *syncedFile) Close() error {
	if err := errors.Join(SyncFile(f.File), f.File.Close()); err != nil || f.name == "" {
		return err
	}
	return f.dir.SyncDir(filepath.Dir(f.name))
}

// Locked is the new text of a file while NAME.lock is held. Close puts it in place; when nothing
// was written or a write failed, Close only lets the lock go and the old text stays.
type Locked struct {
	billy.File
	dir    Disk
	name   string
	dirty  bool
	failed error
	closed bool
}

// Lock takes the lock of a file. Unless empty is set the handle begins with the file's present text;
// a file that does not exist begins empty.
func (d Disk) Lock(name string, empty bool) (*Locked, error) {
	return d.lockAs(name, empty, 0o666)
}

func (d Disk) lockAs(name string, empty bool, perm fs.FileMode) (*Locked, error) {
	if err := d.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return nil, err
	}
	var f billy.File
	err := Begin(d.Full(name+".lock"), func() (err error) {
		f, err = d.Filesystem.OpenFile(name+".lock", os.O_RDWR|os.O_CREATE|os.O_EXCL, perm)
		return err
	})
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%w: %s.lock is there", ErrLocked, name)
	} else if err != nil {
		return nil, err
	}
	l := &Locked{File: f, dir: d, name: name, dirty: empty}
	if !empty {
		if err := l.load(); err != nil {
			return nil, errors.Join(err, l.Release())
		}
	}
	return l, nil
}

func (l *Locked) load() error {
	old, err := l.dir.Open(l.name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	defer old.Close()
	if info, err := l.dir.Stat(l.name); err == nil {
		if err := budget.Check(l.name, info, budget.MaxFile); err != nil {
			return err
		}
	}
	if _, err := io.Copy(l.File, io.LimitReader(old, budget.MaxFile)); err != nil {
		return err
	}
	_, err = l.File.Seek(0, io.SeekStart)
	return err
}

func (l *Locked) Write(b []byte) (int, error) {
	l.dirty = true
	n, err := l.File.Write(b)
	l.failed = errors.Join(l.failed, err)
	return n, err
}

func (l *Locked) Truncate(size int64) error {
	l.dirty = true
	err := l.File.Truncate(size)
	l.failed = errors.Join(l.failed, err)
	return err
}

// Lock and Unlock do nothing: the lock is NAME.lock, as git has it.
func (l *Locked) Lock() error   { return nil }
func (l *Locked) Unlock() error { return nil }

func (l *Locked) Close() error {
	if l.closed {
		return fs.ErrClosed
	}
	if !l.dirty || l.failed != nil {
		return errors.Join(l.failed, l.Release())
	}
	if err := SyncFile(l.File); err != nil {
		return errors.Join(err, l.Release())
	}
	l.closed = true
	if err := l.File.Close(); err != nil {
		return errors.Join(err, l.removeLock())
	}
	rename := func() error { return l.dir.Filesystem.Rename(l.name+".lock", l.name) }
	if err := End(l.dir.Full(l.name+".lock"), rename); err != nil {
		return errors.Join(err, l.removeLock())
	}
	return l.dir.SyncDir(filepath.Dir(l.name))
}

// Release lets the lock go and leaves the file as it was. It may be called after Close, then without
// effect.
func (l *Locked) Release() error {
	if l.closed {
		return nil
	}
	l.closed = true
	return errors.Join(l.File.Close(), l.removeLock())
}

func (l *Locked) removeLock() error {
	return End(l.dir.Full(l.name+".lock"), func() error { return l.dir.Filesystem.Remove(l.name + ".lock") })
}

// Replace writes a file's whole new text through its lock.
func (l *Locked) Replace(text []byte) error {
	if _, err := l.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if err := l.Truncate(0); err != nil {
		return err
	}
	_, err := l.Write(text)
	return err
}

// ReadPlain reads a plain file whole.
func ReadPlain(d Disk, name string) ([]byte, error) { return trace.ReadPlain(d, name, budget.MaxFile) }
