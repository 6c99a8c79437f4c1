package budget

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
)

// MaxFile is how many bytes of one file are read: photos are the largest thing in a book.
const MaxFile = 64 << 20

// Plain gives the folders of a file system, and of its files those that are plain and not too large to be read.
// Whatever lies in a folder, reading it ends: nobody may ever write into a pipe, and a device goes on for ever.
func Plain(fsys fs.FS) fs.FS { return plain{fsys} }

type plain struct{ fs.FS }

func (p plain) Open(name string) (fs.File, error) {
	if err := p.check(name); err != nil {
		return nil, err
	}
	f, err := p.FS.Open(name)
	if err == nil && hasNothing(f) {
		f = nothing{f}
	}
	return f, err
}

func (p plain) ReadFile(name string) ([]byte, error) {
	return ReadFile(p, name, MaxFile)
}

func (p plain) Stat(name string) (fs.FileInfo, error) { return fs.Stat(p.FS, name) }

func (p plain) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(p.FS, name) }

func (p plain) check(name string) error {
	info, err := fs.Stat(p.FS, name)
	switch {
	case err != nil || info.IsDir():
		return nil // opening says what there is to say
	case !info.Mode().IsRegular():
		return &fs.PathError{Op: "open", Path: name, Err: fmt.Errorf("no plain file: %w", fs.ErrInvalid)}
	case info.Size() > MaxFile:
		return tooLarge(name, MaxFile)
	}
	return nil
}

// hasNothing says that a plain file states no length. Some of the system's own are such, and reading them may never
// end.
func hasNothing(f fs.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode().IsRegular() && info.Size() == 0
}

// nothing is a file without a byte in it, which is not asked for one.
type nothing struct{ fs.File }

func (nothing) Read([]byte) (int, error) { return 0, io.EOF }

// ReadFile reads a file of at most so many bytes. One that is larger is refused, also when somebody writes into it
// meanwhile; one that states no length has nothing in it.
func ReadFile(fsys fs.FS, name string, most int64) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if hasNothing(f) {
		return nil, nil
	}
	var text bytes.Buffer
	if info, err := f.Stat(); err == nil && info.Size() <= most {
		text.Grow(int(info.Size()) + bytes.MinRead)
	}
	if _, err = text.ReadFrom(io.LimitReader(f, most+1)); err == nil && int64(text.Len()) > most {
		err = tooLarge(name, most)
	}
	return text.Bytes(), err
}

func tooLarge(name string, most int64) error {
	return &fs.PathError{Op: "read", Path: name, Err: fmt.Errorf("larger than %d bytes: %w", most, fs.ErrInvalid)}
}
