package trace

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"strings"

	"github.com/go-git/go-billy/v5"

	"needlebook/logbook/budget"
)

// What is read of the packs for one object is bounded. The largest object in the longest chain of differences
// that git makes needs a fifth of maxReads, and does not come to one place twice: one that rests on itself does.
const (
	maxReads = 100_000
	maxComes = 16
)

// A search is what is left of the bounds while one object is looked for.
type search struct {
	reads int
	comes map[place]int
}

// place is where an object lies in a pack.
type place struct {
	pack *boundedFile
	at   int64
}

func (s *search) begin() {
	s.reads = maxReads
	if s.comes == nil {
		s.comes = map[place]int{}
	}
	clear(s.comes)
}

var errEndless = errors.New("its pack leads on and on: a difference that rests on itself")

// plain is a file system of which only plain files are opened.
type plain struct{ billy.Filesystem }

func (p plain) Open(name string) (billy.File, error) { return p.OpenFile(name, os.O_RDONLY, 0) }

func (p plain) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	return OpenPlain(p.Filesystem, name, flag, perm)
}

// OpenPlain opens a plain file on a disk for reading or writing, or a folder: what budget.Open is for the file systems
// of go-git. A pipe in the place of a file would be waited for without end, and a device has none.
func OpenPlain(disk billy.Filesystem, name string, flag int, perm fs.FileMode) (billy.File, error) {
	info, err := disk.Stat(name)
	if err == nil { // what is not there, opening says
		if err := budget.Check(name, info, math.MaxInt64); err != nil {
			return nil, err
		}
	}
	f, err := disk.OpenFile(name, flag|budget.NeverWait, perm)
	if err != nil {
		return nil, err
	}
	if s, ok := f.(interface{ Stat() (fs.FileInfo, error) }); ok { // another one may lie there by now
		if info, err = s.Stat(); err == nil {
			err = budget.Check(name, info, math.MaxInt64)
		}
		if err != nil {
			return nil, errors.Join(err, f.Close())
		}
	}
	if reads := flag&(os.O_WRONLY|os.O_RDWR) == 0; reads && info != nil && budget.Silent(info) {
		return nothing{f}, nil
	}
	return f, nil
}

// nothing is a file that states no length, and is not asked for a byte.
type nothing struct{ billy.File }

func (nothing) Read([]byte) (int, error) { return 0, io.EOF }

func (nothing) ReadAt([]byte, int64) (int, error) { return 0, io.EOF }

// ReadPlain reads a file of at most so many bytes, from a disk that opens as OpenPlain does.
func ReadPlain(disk billy.Filesystem, name string, most int64) ([]byte, error) {
	f, err := disk.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(text)) > most {
		err = budget.TooLarge(name, most)
	}
	return text, err
}

// bounded is a file system on which one object cannot be looked for without end. The storage follows
// differences by calling itself, so that one that rests on itself would end the whole program.
type bounded struct {
	billy.Filesystem
	search *search
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
	if s, ok := f.(stated); ok && strings.HasSuffix(name, ".idx") {
		return &indexFile{stated: s, ahead: bufio.NewReaderSize(f, 1<<16)}
	}
	if f == nil || !strings.HasSuffix(name, ".pack") {
		return f
	}
	size := int64(0)
	if info, err := b.Filesystem.Stat(name); err == nil {
		size = info.Size()
	}
	return &boundedFile{File: f, name: name, search: b.search, size: size}
}

// A pack that is read often is held in memory, unless it is too large: the storage goes to the file for
// every few bytes, and each time costs more than what it reads.
const (
	maxHeld   = 32 << 20
	heldAfter = 500 // reads
)

// stated is a file of which the storage asks the length.
type stated interface {
	billy.File
	Stat() (fs.FileInfo, error)
}

// indexFile is the index of a pack, which the storage reads once from its begin to its end, four bytes at a time: it is
// read ahead.
type indexFile struct {
	stated
	ahead *bufio.Reader
}

func (f *indexFile) Read(p []byte) (int, error) { return f.ahead.Read(p) }

// boundedFile is a pack, held in memory where text is set.
type boundedFile struct {
	billy.File
	name   string
	search *search
	size   int64
	reads  int
	text   *bytes.Reader
}

// Name is the name as the repository has it. The storage opens a pack again by its name, and of a linked work tree only
// such a name leads to the folder that it shares.
func (f *boundedFile) Name() string { return f.name }

// hold reads the pack into memory. Any trouble leaves it to the file.
func (f *boundedFile) hold() {
	at, err := f.File.Seek(0, io.SeekCurrent)
	if err != nil || f.size == 0 || f.size > maxHeld {
		return
	}
	text := make([]byte, f.size)
	if _, err := f.File.ReadAt(text, 0); err == nil {
		f.text = bytes.NewReader(text)
		f.text.Seek(at, io.SeekStart)
	}
}

func (f *boundedFile) Read(p []byte) (int, error) {
	if f.reads++; f.reads == heldAfter {
		f.hold()
	}
	switch f.search.reads--; {
	case f.search.reads < 0:
		return 0, errEndless
	case f.text != nil:
		return f.text.Read(p)
	}
	return f.File.Read(p)
}

func (f *boundedFile) ReadAt(p []byte, at int64) (int, error) {
	switch f.search.reads--; {
	case f.search.reads < 0:
		return 0, errEndless
	case f.text != nil:
		return f.text.ReadAt(p, at)
	}
	return f.File.ReadAt(p, at)
}

func (f *boundedFile) Seek(offset int64, whence int) (int64, error) {
	if whence == io.SeekStart {
		here := place{f, offset}
		if f.search.comes[here]++; f.search.comes[here] > maxComes {
			return 0, errEndless
		}
	}
	if f.text != nil {
		return f.text.Seek(offset, whence)
	}
	return f.File.Seek(offset, whence)
}
