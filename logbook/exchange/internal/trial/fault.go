// Package trial is what the tests of the packages of exchange share: books of two sides, and disks that fail, lie, fill
// up or lose their power. Nothing but tests uses it.
package trial

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-git/go-billy/v5"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// Faults counts the operations that change a disk. One of them fails; or the program dies there: the
// disk then stays as it is, locks and half-written files and all, whatever the program still tries.
type Faults struct {
	At    int64  // the operation that fails, from 1; 0 for none
	Err   error  // what it returns; nil for the end of the program
	After bool   // the end comes behind the operation, not before it
	Torn  bool   // the end comes in the middle of a write
	Lie   bool   // nothing fails: the disk only says that it has written
	Reads bool   // what reads is counted, and fails, instead of what changes
	Stop  func() // nothing fails: somebody ends the work there
	Count int64
	Dead  bool
	// writes are the operations that wrote bytes.
	Writes []int64
}

var errDead = errors.New("the program is dead")

// do runs one operation, or does not; half is what a write does when it is cut.
func (f *Faults) do(op, half func() error) error {
	if f.Dead {
		return errDead
	}
	f.Count++
	if f.Count != f.At {
		return op()
	}
	if f.Stop != nil {
		f.Stop()
		return op()
	}
	f.meet()
	switch {
	case f.Lie:
		return half()
	case f.Err != nil: // a full disk takes some
		half()
		return f.Err
	case f.After:
		op()
	case f.Torn:
		half()
	}
	f.Dead = true
	return errDead
}

// look runs an operation that only reads.
func (f *Faults) look(op func() error) error {
	switch {
	case f.Dead:
		return errDead
	case f.Reads:
		f.Count++
		if f.Count == f.At && f.Stop != nil {
			f.Stop()
		} else if f.Count == f.At {
			f.meet()
			return f.Err
		}
	}
	return op()
}

// change runs an operation that changes the disk.
func (f *Faults) change(op, half func() error) error {
	if f.Reads && !f.Dead {
		return op()
	}
	return f.do(op, half)
}

func nothing() error { return nil }

// opened is what half of opening a file is: a disk that lies still opens it.
func (f *Faults) opened(open func() error) func() error {
	if f.Lie {
		return open
	}
	return nothing
}

// Faulty is a disk with faults. It does not wait for the real one: a sync only counts.
type Faulty struct {
	billy.Filesystem
	F *Faults
}

func (d Faulty) OpenFile(name string, flag int, perm fs.FileMode) (file billy.File, err error) {
	open := func() (err error) { file, err = d.Filesystem.OpenFile(name, flag, perm); return }
	if flag&(os.O_WRONLY|os.O_RDWR|os.O_CREATE) == 0 {
		err = d.F.look(open)
	} else if err = d.F.change(open, d.F.opened(open)); err != nil && file != nil {
		file.Close()
	}
	if err != nil {
		return nil, err
	}
	return &faultyFile{file, d.F}, nil
}

func (d Faulty) Open(name string) (billy.File, error) { return d.OpenFile(name, os.O_RDONLY, 0) }

func (d Faulty) TempFile(dir, prefix string) (file billy.File, err error) {
	open := func() (err error) { file, err = d.Filesystem.TempFile(dir, prefix); return }
	err = d.F.change(open, d.F.opened(open))
	if err != nil {
		return nil, err
	}
	return &faultyFile{file, d.F}, nil
}

func (d Faulty) Rename(a, b string) error {
	return d.F.change(func() error { return d.Filesystem.Rename(a, b) }, nothing)
}

func (d Faulty) Remove(a string) error {
	return d.F.change(func() error { return d.Filesystem.Remove(a) }, nothing)
}

func (d Faulty) MkdirAll(a string, m fs.FileMode) error {
	return d.F.change(func() error { return d.Filesystem.MkdirAll(a, m) }, nothing)
}

func (d Faulty) ReadDir(a string) (list []fs.FileInfo, err error) {
	err = d.F.look(func() (err error) { list, err = d.Filesystem.ReadDir(a); return })
	return list, err
}

func (d Faulty) Lstat(a string) (info fs.FileInfo, err error) {
	err = d.F.look(func() (err error) { info, err = d.Filesystem.Lstat(a); return })
	return info, err
}

func (d Faulty) Stat(a string) (info fs.FileInfo, err error) {
	err = d.F.look(func() (err error) { info, err = d.Filesystem.Stat(a); return })
	return info, err
}

type faultyFile struct {
	billy.File
	f *Faults
}

func (x *faultyFile) Write(b []byte) (n int, err error) {
	x.f.Writes = append(x.f.Writes, x.f.Count+1)
	write := func(part []byte) func() error {
		return func() (err error) { n, err = x.File.Write(part); return }
	}
	if err = x.f.change(write(b), write(b[:len(b)/2])); x.f.Lie && err == nil {
		n = len(b)
	}
	return n, err
}

func (x *faultyFile) Read(b []byte) (n int, err error) {
	err = x.f.look(func() (err error) { n, err = x.File.Read(b); return })
	return n, err
}

func (x *faultyFile) ReadAt(b []byte, at int64) (n int, err error) {
	err = x.f.look(func() (err error) { n, err = x.File.ReadAt(b, at); return })
	return n, err
}

func (x *faultyFile) Truncate(n int64) error {
	return x.f.change(func() error { return x.File.Truncate(n) }, nothing)
}

func (x *faultyFile) Sync() error {
	if s, ok := x.File.(*SpinningFile); ok {
		return x.f.change(s.Sync, nothing)
	}
	return x.f.change(nothing, nothing)
}

var Key = func() ssh.Signer {
	s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)))
	if err != nil {
		panic(err)
	}
	return s
}()

func Draft(n int, changes ...exchange.Change) exchange.Draft {
	return exchange.Draft{Author: exchange.Person{Name: "berg", Email: "berg@example.org",
		When: time.Unix(1_704_110_400+int64(n)*60, 0).UTC()}, Message: fmt.Sprint("step ", n), Signer: Key, Changes: changes}
}

const Path1, Path2, Path3 = "overhauls/me1/c1/2024-01-01-h-1.md", "parts/h-1.md", "parts/h-2.md"

const vessel = "---\nvessel: Aurinda\n---\n"

// Book gives a book with three files, and a draft that changes one, makes one and takes one out.
func Book(t *testing.T) (dir, tip string, d exchange.Draft) {
	t.Helper()
	Made.Do(func() { // once, since it waits for the disk
		Made.Dir, Made.err = os.MkdirTemp("", "needlebook-test-")
		if Made.err != nil {
			return
		}
		var ids []string
		line, _ := trace.SignersLine("berg@chief", []string{"engineer", "chief", "superintendent"}, time.Time{}, time.Time{},
			Key.PublicKey(), "")
		Made.Signers = line + "\n"
		ids, Made.err = exchange.Build(Made.Dir,
			[]exchange.Step{{Draft: Draft(0, exchange.Change{Path: "signers/allowed_signers", Text: []byte(Made.Signers)},
				exchange.Change{Path: "book.md", Text: []byte(vessel)},
				exchange.Change{Path: Path1, Text: []byte("old text\n")}, exchange.Change{Path: Path3, Text: []byte("third\n")})}})
		Made.Tip = strings.Join(ids, "")
	})
	if Made.err != nil {
		t.Fatal(Made.err)
	}
	dir = Scratch(t)
	if err := os.CopyFS(dir, os.DirFS(Made.Dir)); err != nil {
		t.Fatal(err)
	}
	return dir, Made.Tip, Draft(1, exchange.Change{Path: Path1, Text: []byte("new text, longer\n")},
		exchange.Change{Path: Path2, Text: []byte("part\n")}, exchange.Change{Path: Path3, Delete: true})
}

// Scratch is a folder in memory where there is one: the faults come from the test, not from the disk.
func Scratch(t testing.TB) string {
	dir, err := os.MkdirTemp("/dev/shm", "needlebook-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

var Made struct {
	sync.Once
	Dir, Tip, Signers string
	err               error
}

// Long says whether all points are tried, or a sample that stands for them.
var Long = os.Getenv("NEEDLEBOOK_LONG") == "1"

// Main runs the tests of a package, clears up, and says what faults they met.
func Main(m *testing.M) {
	code := m.Run()
	if Made.Dir != "" {
		os.RemoveAll(Made.Dir)
	}
	if code == 0 {
		sayMet()
	}
	os.Exit(code)
}
