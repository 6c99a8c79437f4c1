package trace

import (
	"errors"
	"io/fs"
	"strings"

	"github.com/go-git/go-billy/v5"
)

// maxReads bounds how often a pack is read for one object. The largest object in the longest chain of
// differences that git makes needs a fifth of it.
const maxReads = 100_000

var errEndless = errors.New("its pack leads on and on: a difference that rests on itself")

// bounded is a file system on which one object cannot be looked for without end. The storage follows
// differences by calling itself, so that one that rests on itself would end the whole program.
type bounded struct {
	billy.Filesystem
	left *int // reads that are left for the object asked for
}

func (b bounded) Open(name string) (billy.File, error) {
	f, err := b.Filesystem.Open(name)
	return b.bind(f, name), err
}

func (b bounded) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	f, err := b.Filesystem.OpenFile(name, flag, perm)
	return b.bind(f, name), err
}

func (b bounded) bind(f billy.File, name string) billy.File {
	if f == nil || !strings.HasSuffix(name, ".pack") {
		return f
	}
	return boundedFile{f, b.left}
}

type boundedFile struct {
	billy.File
	left *int
}

func (f boundedFile) Read(p []byte) (int, error) {
	if *f.left--; *f.left < 0 {
		return 0, errEndless
	}
	return f.File.Read(p)
}

func (f boundedFile) ReadAt(p []byte, at int64) (int, error) {
	if *f.left--; *f.left < 0 {
		return 0, errEndless
	}
	return f.File.ReadAt(p, at)
}
