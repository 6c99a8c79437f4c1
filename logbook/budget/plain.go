package budget

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// MaxFile is how many bytes of one file are read: photos are the largest thing in a book.
const MaxFile = 64 << 20

// A refused file is no plain one, or too large. It is fs.ErrInvalid.
type refused string

func (r refused) Error() string { return string(r) }

func (r refused) Is(target error) bool { return target == fs.ErrInvalid }

// Check refuses what is neither a folder nor a plain file of at most so many bytes.
func Check(name string, info fs.FileInfo, most int64) error {
	switch {
	case info.IsDir():
		return nil // reading it says so
	case !info.Mode().IsRegular():
		return &fs.PathError{Op: "open", Path: name, Err: refused("is not a plain file")}
	case info.Size() > most:
		return TooLarge(name, most)
	}
	return nil
}

// TooLarge is the error of a file that is larger than so many bytes.
func TooLarge(name string, most int64) error {
	return &fs.PathError{Op: "read", Path: name, Err: refused(fmt.Sprintf("is larger than %d bytes", most))}
}

// Silent says that a plain file states no length. Some of the system's own are such, and reading them may never end.
func Silent(info fs.FileInfo) bool { return info.Mode().IsRegular() && info.Size() == 0 }

// nothing is a file without a byte in it, which is not asked for one.
type nothing struct{ fs.File }

func (nothing) Read([]byte) (int, error) { return 0, io.EOF }

// Open opens a plain file of at most so many bytes, or a folder. It is looked at before, because opening a device may
// do something, and again when it is open, because another one may lie there by then.
func Open(name string, most int64) (fs.File, error) {
	return open(name, most, os.Stat, func(name string) (fs.File, error) { return os.OpenFile(name, NeverWait, 0) })
}

// OpenIn is Open for a file below a folder, which no link leads out of.
func OpenIn(root *os.Root, name string, most int64) (fs.File, error) {
	return open(name, most, root.Stat, func(name string) (fs.File, error) { return root.OpenFile(name, NeverWait, 0) })
}

func open(name string, most int64, stat func(string) (fs.FileInfo, error),
	open func(string) (fs.File, error)) (fs.File, error) {
	if info, err := stat(name); err == nil { // what is not there, opening says
		if err := Check(name, info, most); err != nil {
			return nil, err
		}
	}
	f, err := open(name)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil {
		err = Check(name, info, most)
	}
	switch {
	case err != nil:
		return nil, errors.Join(err, f.Close())
	case Silent(info):
		return nothing{f}, nil
	}
	return f, nil
}

// Read reads a plain file of at most so many bytes.
func Read(name string, most int64) ([]byte, error) {
	f, err := Open(name, most)
	return read(f, err, name, most)
}

// ReadIn is Read for a file below a folder, which no link leads out of.
func ReadIn(root *os.Root, name string, most int64) ([]byte, error) {
	f, err := OpenIn(root, name, most)
	return read(f, err, name, most)
}

// In gives the folders below one, and of its files those that are plain and not too large to be read.
func In(root *os.Root) fs.FS { return Plain(below{root.FS(), root}) }

// below opens the files below a folder without waiting.
type below struct {
	fs.FS
	root *os.Root
}

func (b below) Open(name string) (fs.File, error) { return b.root.OpenFile(name, NeverWait, 0) }

// Plain gives the folders of a file system, and of its files those that are plain and not too large to be read. Of a
// folder on a disk, In gives them.
func Plain(fsys fs.FS) fs.FS { return plain{fsys} }

type plain struct{ fs.FS }

func (p plain) Open(name string) (fs.File, error) { return open(name, MaxFile, p.Stat, p.FS.Open) }

func (p plain) ReadFile(name string) ([]byte, error) { return ReadFile(p, name, MaxFile) }

func (p plain) Stat(name string) (fs.FileInfo, error) { return fs.Stat(p.FS, name) }

func (p plain) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(p.FS, name) }

// ReadFile reads a file of at most so many bytes. One that is larger is refused, also when somebody writes into it
// meanwhile; one that states no length has nothing in it.
func ReadFile(fsys fs.FS, name string, most int64) ([]byte, error) {
	f, err := fsys.Open(name)
	return read(f, err, name, most)
}

func read(f fs.File, err error, name string, most int64) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err == nil && Silent(info) {
		return nil, nil
	}
	if err == nil && info.Mode().IsRegular() && info.Size() > most {
		return nil, TooLarge(name, most)
	}
	var text bytes.Buffer
	if err == nil && info.Size() <= most {
		text.Grow(int(info.Size()) + bytes.MinRead)
	}
	if _, err := text.ReadFrom(io.LimitReader(f, most+1)); err != nil {
		return nil, err
	}
	if int64(text.Len()) > most {
		return nil, TooLarge(name, most)
	}
	return text.Bytes(), nil
}

// Chmod sets who may read a file of ours, where the disk knows that: FAT says that nobody may change it, or that it
// cannot.
func Chmod(name string, mode fs.FileMode) error { return Modeless(os.Chmod(name, mode)) }

// Modeless is the error of a chmod, nil where it only says that the disk knows no modes.
func Modeless(err error) error {
	if errors.Is(err, errors.ErrUnsupported) || errors.Is(err, fs.ErrPermission) {
		return nil
	}
	return err
}
