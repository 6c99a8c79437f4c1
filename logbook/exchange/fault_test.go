package exchange

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/index"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook/trace"
)

// faults counts the operations that change a disk. One of them fails; or the program dies there: the
// disk then stays as it is, locks and half-written files and all, whatever the program still tries.
type faults struct {
	at    int64  // the operation that fails, from 1; 0 for none
	err   error  // what it returns; nil for the end of the program
	after bool   // the end comes behind the operation, not before it
	torn  bool   // the end comes in the middle of a write
	lie   bool   // nothing fails: the disk only says that it has written
	reads bool   // what reads is counted, and fails, instead of what changes
	stop  func() // nothing fails: somebody ends the work there
	count int64
	dead  bool
	// writes are the operations that wrote bytes.
	writes []int64
}

var errDead = errors.New("the program is dead")

// do runs one operation, or does not; half is what a write does when it is cut.
func (f *faults) do(op, half func() error) error {
	if f.dead {
		return errDead
	}
	f.count++
	if f.count != f.at {
		return op()
	}
	if f.stop != nil {
		f.stop()
		return op()
	}
	f.meet()
	switch {
	case f.lie:
		return half()
	case f.err != nil: // a full disk takes some
		half()
		return f.err
	case f.after:
		op()
	case f.torn:
		half()
	}
	f.dead = true
	return errDead
}

// look runs an operation that only reads.
func (f *faults) look(op func() error) error {
	switch {
	case f.dead:
		return errDead
	case f.reads:
		f.count++
		if f.count == f.at && f.stop != nil {
			f.stop()
		} else if f.count == f.at {
			f.meet()
			return f.err
		}
	}
	return op()
}

// change runs an operation that changes the disk.
func (f *faults) change(op, half func() error) error {
	if f.reads && !f.dead {
		return op()
	}
	return f.do(op, half)
}

func nothing() error { return nil }

// opened is what half of opening a file is: a disk that lies still opens it.
func (f *faults) opened(open func() error) func() error {
	if f.lie {
		return open
	}
	return nothing
}

// faulty is a disk with faults. It does not wait for the real one: a sync only counts.
type faulty struct {
	billy.Filesystem
	f *faults
}

func (d faulty) OpenFile(name string, flag int, perm fs.FileMode) (file billy.File, err error) {
	open := func() (err error) { file, err = d.Filesystem.OpenFile(name, flag, perm); return }
	if flag&(os.O_WRONLY|os.O_RDWR|os.O_CREATE) == 0 {
		err = d.f.look(open)
	} else if err = d.f.change(open, d.f.opened(open)); err != nil && file != nil {
		file.Close()
	}
	if err != nil {
		return nil, err
	}
	return &faultyFile{file, d.f}, nil
}

func (d faulty) Open(name string) (billy.File, error) { return d.OpenFile(name, os.O_RDONLY, 0) }

func (d faulty) TempFile(dir, prefix string) (file billy.File, err error) {
	open := func() (err error) { file, err = d.Filesystem.TempFile(dir, prefix); return }
	err = d.f.change(open, d.f.opened(open))
	if err != nil {
		return nil, err
	}
	return &faultyFile{file, d.f}, nil
}

func (d faulty) Rename(a, b string) error {
	return d.f.change(func() error { return d.Filesystem.Rename(a, b) }, nothing)
}

func (d faulty) Remove(a string) error {
	return d.f.change(func() error { return d.Filesystem.Remove(a) }, nothing)
}

func (d faulty) MkdirAll(a string, m fs.FileMode) error {
	return d.f.change(func() error { return d.Filesystem.MkdirAll(a, m) }, nothing)
}

func (d faulty) ReadDir(a string) (list []fs.FileInfo, err error) {
	err = d.f.look(func() (err error) { list, err = d.Filesystem.ReadDir(a); return })
	return list, err
}

func (d faulty) Lstat(a string) (info fs.FileInfo, err error) {
	err = d.f.look(func() (err error) { info, err = d.Filesystem.Lstat(a); return })
	return info, err
}

func (d faulty) Stat(a string) (info fs.FileInfo, err error) {
	err = d.f.look(func() (err error) { info, err = d.Filesystem.Stat(a); return })
	return info, err
}

type faultyFile struct {
	billy.File
	f *faults
}

func (x *faultyFile) Write(b []byte) (n int, err error) {
	x.f.writes = append(x.f.writes, x.f.count+1)
	write := func(part []byte) func() error {
		return func() (err error) { n, err = x.File.Write(part); return }
	}
	if err = x.f.change(write(b), write(b[:len(b)/2])); x.f.lie && err == nil {
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
	if s, ok := x.File.(*spinningFile); ok {
		return x.f.change(s.Sync, nothing)
	}
	return x.f.change(nothing, nothing)
}

var testKey = func() ssh.Signer {
	s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)))
	if err != nil {
		panic(err)
	}
	return s
}()

func draft(n int, changes ...Change) Draft {
	return Draft{Author: Person{"berg", "berg@example.org", time.Unix(1_704_110_400+int64(n)*60, 0).UTC()}, Message: fmt.Sprint("step ", n), Signer: testKey, Changes: changes}
}

const path1, path2, path3 = "overhauls/me1/c1/2024-01-01-h-1.md", "parts/h-1.md", "parts/h-2.md"

// testBook gives a book with three files, and a draft that changes one, makes one and takes one out.
func testBook(t *testing.T) (dir, tip string, d Draft) {
	t.Helper()
	made.Do(func() { // once, since it waits for the disk
		made.dir, made.err = os.MkdirTemp("", "needlebook-test-")
		if made.err != nil {
			return
		}
		var ids []string
		line, _ := trace.SignersLine("berg@chief", []string{"engineer", "chief", "superintendent"}, time.Time{}, time.Time{}, testKey.PublicKey(), "")
		made.signers = line + "\n"
		ids, made.err = Build(made.dir, []Step{{Draft: draft(0, Change{Path: "signers/allowed_signers", Text: []byte(made.signers)},
			Change{Path: path1, Text: []byte("old text\n")}, Change{Path: path3, Text: []byte("third\n")})}})
		made.tip = strings.Join(ids, "")
	})
	if made.err != nil {
		t.Fatal(made.err)
	}
	dir = scratch(t)
	if err := os.CopyFS(dir, os.DirFS(made.dir)); err != nil {
		t.Fatal(err)
	}
	return dir, made.tip, draft(1, Change{Path: path1, Text: []byte("new text, longer\n")}, Change{Path: path2, Text: []byte("part\n")}, Change{Path: path3, Delete: true})
}

// scratch is a folder in memory where there is one: the faults come from the test, not from the disk.
func scratch(t *testing.T) string {
	dir, err := os.MkdirTemp("/dev/shm", "needlebook-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

var made struct {
	sync.Once
	dir, tip, signers string
	err               error
}

// A writing is what one verb writes into the test book: each file as it is before and after, empty where
// it is not there.
type writing struct {
	verb  string
	files []wrote
}

type wrote struct{ path, before, after string }

// writings are the shapes of commits that the verbs make. The first is also what testBook's draft does.
func writings() []writing {
	return []writing{
		{"sign", []wrote{{path1, "old text\n", "new text, longer\n"}, {path2, "", "part\n"}, {path3, "third\n", ""}}},
		{"countersign", []wrote{{"countersigned/2024-01-01-h-1.berg.md", "", "---\nseen: as seen\n---\n"}}},
		{"review", []wrote{{"reviews/2024-01-01-h-1.berg.md", "", "---\nseen: remarks\n---\n"}}},
		{"enrol", []wrote{{"signers/allowed_signers", made.signers, made.signers + "# one more\n"}}},
		{"withdraw", []wrote{{"signers/allowed_signers", made.signers, "# nobody\n"}, {"signers/withdrawn", "", "SHA256:x compromised\n"}}},
		{"adopt", []wrote{{"signers/adopted", "", "0123 forgotten\n"}}},
	}
}

func (w writing) draft() Draft {
	d := draft(1)
	for _, f := range w.files {
		if f.after == "" {
			d.Changes = append(d.Changes, Change{Path: f.path, Delete: true})
		} else {
			d.Changes = append(d.Changes, Change{Path: f.path, Text: []byte(f.after)})
		}
	}
	return d
}

func TestMain(m *testing.M) {
	code := m.Run()
	if made.dir != "" {
		os.RemoveAll(made.dir)
	}
	if code == 0 {
		sayMet()
	}
	os.Exit(code)
}

// try makes one commit on a disk with faults.
func try(dir string, d Draft, f *faults) (commit string, err error) {
	if err := d.check(); err != nil {
		return "", err
	}
	r, err := openRepository(dir, func(dir string) durable {
		return durable{faulty{osfs.New(dir, osfs.WithBoundOS()), f}}
	})
	if err != nil {
		return "", err
	}
	return r.commit(&d)
}

// whole fails unless the book opens, stands on the old or the new tip, and every file of the folder is
// wholly old or wholly new; then it takes the locks of a dead program away and commits again.
func whole(t *testing.T, what, dir, tip string, w writing, commit string, failed bool) {
	t.Helper()
	what = w.verb + ", " + what
	tree, err := trace.FS(dir, "")
	if err != nil {
		t.Fatalf("%s: the book does not open: %v", what, err)
	}
	defer tree.Close()
	if !failed && tree.Commit != commit {
		t.Fatalf("%s: reported %s, the tip is %s", what, commit, tree.Commit)
	}
	moved := tree.Commit != tip
	for _, f := range w.files {
		want := f.before
		if moved {
			want = f.after
		}
		got, err := tree.ReadFile(f.path)
		if string(got) != want || err != nil && want != "" {
			t.Fatalf("%s: the tip has %s %q (%v), want %q", what, f.path, got, err, want)
		}
		there, err := os.ReadFile(filepath.Join(dir, f.path))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
		if s := string(there); s != f.before && s != f.after {
			t.Fatalf("%s: the folder has %s %q, want the old or the new text", what, f.path, s)
		}
		if moved && string(there) != f.after {
			t.Fatalf("%s: committed, but the folder has %s %q", what, f.path, there)
		}
	}
	if moved {
		indexed(t, what, dir, w)
	}
	unlock(dir)
	next := w.draft()
	next.Message = "once more"
	next.Changes = append(next.Changes, Change{Path: "parts/h-9.md", Text: []byte("ninth\n")})
	if moved {
		next.Changes = next.Changes[len(next.Changes)-1:]
	}
	if _, err := try(dir, next, &faults{}); err != nil {
		t.Fatalf("%s: the next commit fails: %v", what, err)
	}
}

// indexed fails unless the index goes with the tip: one behind it would undo the commit with the next
// one that git makes.
func indexed(t *testing.T, what, dir string, w writing) {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, ".git/index"))
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	defer f.Close()
	idx := &index.Index{}
	if err := index.NewDecoder(f).Decode(idx); err != nil {
		t.Fatalf("%s: the index is broken: %v", what, err)
	}
	for _, f := range w.files {
		e, err := idx.Entry(f.path)
		switch {
		case f.after == "" && err == nil:
			t.Fatalf("%s: committed, but the index still has %s", what, f.path)
		case f.after != "" && (err != nil || e.Hash != plumbing.ComputeHash(plumbing.BlobObject, []byte(f.after))):
			t.Fatalf("%s: committed, but the index has %v (%v)", what, e, err)
		}
	}
}

// operations counts what one commit does to the disk, and says which of it writes bytes.
func operations(t *testing.T, w writing) (all int64, writes []int64) {
	dir, _, _ := testBook(t)
	var f faults
	if _, err := try(dir, w.draft(), &f); err != nil {
		t.Fatal(err)
	}
	return f.count, f.writes
}

// long says whether all points are tried, or a sample that stands for them.
var long = os.Getenv("NEEDLEBOOK_LONG") == "1"

// points are the operations to try for the n-th writing: every one for the first, and for the others in
// the long run; else every seventh, each writing beginning elsewhere.
func points(n int, all int64) (at []int64) {
	step := int64(7)
	if n == 0 || long {
		step = 1
	}
	for p := 1 + int64(n)%step; p <= all; p += step {
		at = append(at, p)
	}
	return at
}

func TestErrorAtEveryOperation(t *testing.T) {
	testBook(t)
	kinds := []error{syscall.ENOSPC}
	if long {
		kinds = append(kinds, syscall.EIO, syscall.EACCES, syscall.EMFILE, syscall.EROFS, syscall.EDQUOT)
	}
	tried := 0
	for i, w := range writings() {
		all, _ := operations(t, w)
		for _, errno := range kinds {
			refused := 0
			at := points(i, all)
			for _, n := range at {
				dir, tip, _ := testBook(t)
				commit, err := try(dir, w.draft(), &faults{at: n, err: errno})
				if err != nil {
					refused++
					if commit != "" {
						t.Errorf("%s, operation %d: an error and a commit", w.verb, n)
					}
				}
				whole(t, fmt.Sprintf("%v at operation %d of %d", errno, n, all), dir, tip, w, commit, err != nil)
			}
			tried += len(at)
			if refused < len(at)/2 {
				t.Errorf("%s: %d of %d errors were seen: the faults do not reach the writer", w.verb, refused, len(at))
			}
		}
	}
	t.Logf("%d errors", tried)
}

// The disk gives no bytes at any one read of a commit, or takes only a part of any one write.
func TestReadErrorAtEveryOperation(t *testing.T) {
	testBook(t)
	for _, w := range writings() {
		dir, _, _ := testBook(t)
		reads := &faults{reads: true}
		if _, err := try(dir, w.draft(), reads); err != nil {
			t.Fatal(err)
		}
		_, writes := operations(t, w)
		var tries []*faults
		for _, n := range spread(reads.count) {
			tries = append(tries, &faults{at: n, err: syscall.EIO, reads: true})
		}
		for _, i := range spread(int64(len(writes))) {
			n := writes[i-1]
			tries = append(tries, &faults{at: n, err: io.ErrShortWrite})
		}
		for _, f := range tries {
			dir, tip, _ := testBook(t)
			commit, err := try(dir, w.draft(), f)
			whole(t, fmt.Sprintf("%v at operation %d, told %v", f.err, f.at, err), dir, tip, w, commit, err != nil)
		}
	}
}

func TestKillAtEveryOperation(t *testing.T) {
	testBook(t)
	killed := 0
	for i, w := range writings() {
		all, writes := operations(t, w)
		kill := func(f *faults) {
			dir, tip, _ := testBook(t)
			commit, err := try(dir, w.draft(), f)
			if !f.dead {
				t.Errorf("%s: not killed at operation %d", w.verb, f.at)
			}
			killed++
			whole(t, fmt.Sprintf("killed (after %v, torn %v) at operation %d of %d", f.after, f.torn, f.at, all), dir, tip, w, commit, err != nil)
		}
		for _, n := range points(i, all) {
			kill(&faults{at: n}) // which is also behind the one before
			if slices.Contains(writes, n) {
				kill(&faults{at: n, torn: true})
			}
			if long {
				kill(&faults{at: n, after: true})
			}
		}
		kill(&faults{at: all, after: true})
	}
	t.Logf("%d ends", killed)
}

// A disk that says it has written, and has not, is found out before the commit is reported.
func TestLyingDisk(t *testing.T) {
	found := 0
	testBook(t)
	_, writes := operations(t, writings()[0])
	for _, n := range writes {
		dir, _, d := testBook(t)
		commit, err := try(dir, d, &faults{at: n, lie: true})
		if err != nil {
			found++
			continue
		}
		tree, err := trace.FS(dir, "")
		if err != nil || tree.Commit != commit {
			t.Errorf("operation %d: reported %s, the book says %v", n, commit, err)
			continue
		}
		for path, want := range map[string]string{path1: "new text, longer\n", path2: "part\n"} {
			got, err := tree.ReadFile(path)
			there, _ := os.ReadFile(filepath.Join(dir, path))
			if err != nil || string(got) != want || string(there) != want {
				t.Errorf("operation %d: reported, but %s holds %q, in the folder %q (%v)", n, path, got, there, err)
			}
		}
	}
	if found == 0 {
		t.Error("no lie was found out")
	}
}

// unsynced is a disk that remembers which files and folders were changed and not synced.
type unsynced struct {
	billy.Filesystem
	root  string
	dirty map[string]bool
}

func (d unsynced) key(name string) string {
	if !filepath.IsAbs(name) {
		name = filepath.Join(d.root, name)
	}
	return filepath.Clean(name)
}

func (d unsynced) names(changed ...string) {
	for _, n := range changed {
		d.dirty[filepath.Dir(d.key(n))+"/"] = true
	}
}

func (d unsynced) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	if _, err := d.Lstat(name); flag&os.O_CREATE != 0 && err != nil {
		d.names(name)
	}
	f, err := d.Filesystem.OpenFile(name, flag, perm)
	return &unsyncedFile{f, d, d.key(name)}, err
}

func (d unsynced) Open(name string) (billy.File, error) {
	f, err := d.Filesystem.Open(name)
	if err != nil {
		return nil, err
	}
	return &unsyncedFile{f, d, d.key(name)}, nil
}

func (d unsynced) TempFile(dir, prefix string) (billy.File, error) {
	f, err := d.Filesystem.TempFile(dir, prefix)
	return &unsyncedFile{f, d, d.key(f.Name())}, err
}

func (d unsynced) Rename(a, b string) error {
	d.names(b)
	if d.dirty[d.key(a)] {
		d.dirty[d.key(b)] = true
	}
	delete(d.dirty, d.key(a))
	return d.Filesystem.Rename(a, b)
}

func (d unsynced) MkdirAll(a string, m fs.FileMode) error {
	if _, err := d.Stat(a); err != nil {
		d.names(a)
	}
	return d.Filesystem.MkdirAll(a, m)
}

type unsyncedFile struct {
	billy.File
	d    unsynced
	name string
}

func (f *unsyncedFile) Write(b []byte) (int, error) {
	f.d.dirty[f.name] = true
	return f.File.Write(b)
}

func (f *unsyncedFile) Sync() error {
	delete(f.d.dirty, f.name)
	delete(f.d.dirty, f.name+"/")
	return f.File.(interface{ Sync() error }).Sync()
}

// Nothing that a reported commit rests on is still on its way to the disk.
func TestEverythingIsSynced(t *testing.T) {
	dir, _, d := testBook(t)
	if err := d.check(); err != nil {
		t.Fatal(err)
	}
	dirty := map[string]bool{}
	r, err := openRepository(dir, func(root string) durable {
		return durable{unsynced{osfs.New(root, osfs.WithBoundOS()), root, dirty}}
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.commit(&d); err != nil {
		t.Fatal(err)
	}
	for name := range dirty {
		if _, err := os.Lstat(strings.TrimSuffix(name, "/")); err == nil {
			t.Errorf("not synced: %s", name)
		}
	}
}

// Many at once: whoever is told that his commit is in, is in.
func TestManyWriters(t *testing.T) {
	dir, _, _ := testBook(t)
	const writers = 24
	each := 1
	if long {
		each = 90 // more than two thousand in all
	}
	type answer struct {
		id  string
		err error
	}
	answers := make(chan answer)
	for w := range writers {
		go func() {
			for n := range each {
				id, err := Write(dir, draft(1+n, Change{Path: fmt.Sprintf("parts/w%d-%d.md", w, n), Text: []byte("x\n")}))
				answers <- answer{id, err}
			}
		}()
	}
	told := map[string]bool{}
	for range writers * each {
		a := <-answers
		if a.err != nil && !errors.Is(a.err, ErrLocked) {
			t.Errorf("%v", a.err)
		}
		if a.err == nil {
			told[a.id] = true
		}
	}
	trail, err := trace.Read(dir, trace.Options{EveryText: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range trail.Commits {
		delete(told, c.ID)
	}
	if len(told) > 0 || len(trail.WorkTree) > 0 {
		t.Errorf("%d commits were reported and are not in the history; folder %v", len(told), trail.WorkTree)
	}
	if len(trail.Commits) < writers {
		t.Errorf("only %d commits", len(trail.Commits))
	}
}

// Git and this program keep out of each other's way.
func TestGitWritesToo(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			t.Fatal(err)
		}
		t.Skip("git is not installed")
	}
	dir, _, _ := testBook(t)
	done := make(chan int)
	go func() {
		in := 0
		for n := range 6 {
			name := fmt.Sprintf("parts/git-%d.md", n)
			os.WriteFile(filepath.Join(dir, name), []byte("x\n"), 0o666)
			for _, args := range [][]string{{"add", name}, {"-c", "user.name=x", "-c", "user.email=x", "commit", "-q", "--no-gpg-sign", "-m", name, "--", name}} {
				cmd := exec.Command("git", args...)
				cmd.Dir = dir
				if cmd.Run() == nil && args[0] != "add" {
					in++
				}
			}
		}
		done <- in
	}()
	ours := 0
	for n := range 6 {
		if _, err := Write(dir, draft(1+n, Change{Path: fmt.Sprintf("parts/w-%d.md", n), Text: []byte("x\n")})); err == nil {
			ours++
		} else if !errors.Is(err, ErrLocked) {
			t.Error(err)
		}
	}
	theirs := <-done
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(trail.Commits) != 1+ours+theirs {
		t.Errorf("%d commits, told of %d by us and %d by git", len(trail.Commits)-1, ours, theirs)
	}
	cmd := exec.Command("git", "fsck", "--strict")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("git fsck: %s", out)
	}
}

func TestRefusals(t *testing.T) {
	dir, tip, _ := testBook(t)
	ok := Change{Path: path2, Text: []byte("x\n")}
	for _, c := range []struct {
		name string
		d    Draft
		want string
	}{
		{"nothing changed", draft(1, Change{Path: path1, Text: []byte("old text\n")}), "nothing to commit"},
		{"no changes", draft(1), "nothing to commit"},
		{"a path with capitals", draft(1, Change{Path: "parts/H-1.md", Text: []byte("x\n")}), "no name for a file of a book"},
		{"a path that climbs", draft(1, Change{Path: "../x.md", Text: []byte("x\n")}), "no name for a file of a book"},
		{"a path into .git", draft(1, Change{Path: ".git/config", Text: []byte("x\n")}), "no name for a file of a book"},
		{"one path twice", draft(1, ok, ok), "stands in two changes"},
		{"carriage returns", draft(1, Change{Path: path2, Text: []byte("a\nb\r\n")}), "line 2: a carriage return"},
		{"no such file to take out", draft(1, Change{Path: "parts/none.md", Delete: true}), `file "parts/none.md" is not in the book`},
		{"no such file to move", draft(1, Change{Path: "parts/new.md", From: "parts/none.md"}), `file "parts/none.md" is not in the book`},
		{"a file where a folder is", draft(1, Change{Path: "overhauls/me1", Text: []byte("x\n")}), "is a folder, not a file"},
		{"a folder where a file is", draft(1, Change{Path: path1 + "/x.md", Text: []byte("x\n")}), "is a file, it cannot hold"},
		{"angle brackets in a name", Draft{Author: Person{"a<b", "x", time.Unix(1, 0)}, Changes: []Change{ok}}, "angle brackets"},
		{"the date 0", Draft{Author: Person{"a", "x", time.Unix(0, 0)}, Changes: []Change{ok}}, "cannot stand in a commit"},
		{"a parent that is not there", Draft{Author: Person{"a", "x", time.Unix(1, 0)}, Changes: []Change{ok}, Merge: []string{strings.Repeat("1", 40)}}, "is missing"},
	} {
		if _, err := Write(dir, c.d); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	os.WriteFile(filepath.Join(dir, path1), []byte("edited meanwhile\n"), 0o666)
	if _, err := Write(dir, draft(1, Change{Path: path1, Text: []byte("x\n")})); !errors.Is(err, ErrEdited) {
		t.Errorf("a file edited meanwhile: %v, want %v", err, ErrEdited)
	}
	if _, err := Write(dir, draft(1, Change{Path: path1, Delete: true})); !errors.Is(err, ErrEdited) {
		t.Errorf("taking out a file edited meanwhile: %v, want %v", err, ErrEdited)
	}
	tree, err := trace.FS(dir, "")
	if err != nil || tree.Commit != tip {
		t.Errorf("the refused drafts left a mark: %v", err)
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".git", "*.lock"))
	if len(left) > 0 {
		t.Errorf("locks left behind: %v", left)
	}
}

// A branch file or HEAD that cannot be read stops the writer; go-git takes it for a first commit.
func TestUnreadableBranchIsNoFirstCommit(t *testing.T) {
	for _, name := range []string{"HEAD", "refs/heads/main"} {
		dir, _, d := testBook(t)
		file := filepath.Join(dir, ".git", name)
		os.WriteFile(file, nil, 0o666)
		if id, err := Write(dir, d); err == nil {
			t.Errorf("%s empty: wrote %s", name, id)
		}
	}
}
