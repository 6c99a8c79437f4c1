package exchange_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/trace"
)

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
		{"sign", []wrote{{trial.Path1, "old text\n", "new text, longer\n"}, {trial.Path2, "", "part\n"}, {trial.Path3, "third\n", ""}}},
		{"countersign", []wrote{{"countersigned/2024-01-01-h-1.berg.md", "", "---\nseen: as seen\n---\n"}}},
		{"review", []wrote{{"reviews/2024-01-01-h-1.berg.md", "", "---\nseen: remarks\n---\n"}}},
		{"enrol", []wrote{{"signers/allowed_signers", trial.Made.Signers, trial.Made.Signers + "# one more\n"}}},
		{"withdraw", []wrote{{"signers/allowed_signers", trial.Made.Signers, "# nobody\n"}, {"signers/withdrawn", "", "SHA256:x compromised\n"}}},
		{"adopt", []wrote{{"signers/adopted", "", "0123 forgotten\n"}}},
	}
}

func (w writing) draft() exchange.Draft {
	d := trial.Draft(1)
	for _, f := range w.files {
		if f.after == "" {
			d.Changes = append(d.Changes, exchange.Change{Path: f.path, Delete: true})
		} else {
			d.Changes = append(d.Changes, exchange.Change{Path: f.path, Text: []byte(f.after)})
		}
	}
	return d
}

func TestMain(m *testing.M) { trial.Main(m) }

// try makes one commit on a disk with faults.
func try(dir string, d exchange.Draft, f *trial.Faults) (commit string, err error) {
	if err := d.Check(); err != nil {
		return "", err
	}
	r, err := exchange.OpenRepository(dir, func(dir string) durable.Disk {
		return durable.Disk{Filesystem: trial.Faulty{Filesystem: osfs.New(dir, osfs.WithBoundOS()), F: f}}
	})
	if err != nil {
		return "", err
	}
	return r.Commit(&d)
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
	ending.Answers(t, what, dir)
	trial.Unlock(dir)
	next := w.draft()
	next.Message = "once more"
	next.Changes = append(next.Changes, exchange.Change{Path: "parts/h-9.md", Text: []byte("ninth\n")})
	if moved {
		next.Changes = next.Changes[len(next.Changes)-1:]
	}
	if err := ending.Within(t, what+", then sign", func(context.Context) error { _, err := try(dir, next, &trial.Faults{}); return err }); err != nil {
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
	dir, _, _ := trial.Book(t)
	var f trial.Faults
	if _, err := try(dir, w.draft(), &f); err != nil {
		t.Fatal(err)
	}
	return f.Count, f.Writes
}

// points are the operations to try for the n-th writing: every one for the first, and for the others in
// the long run; else every seventh, each writing beginning elsewhere.
func points(n int, all int64) (at []int64) {
	step := int64(7)
	if n == 0 || trial.Long {
		step = 1
	}
	for p := 1 + int64(n)%step; p <= all; p += step {
		at = append(at, p)
	}
	return at
}

func TestErrorAtEveryOperation(t *testing.T) {
	trial.Book(t)
	kinds := []error{syscall.ENOSPC}
	if trial.Long {
		kinds = append(kinds, syscall.EIO, syscall.EACCES, syscall.EMFILE, syscall.EROFS, syscall.EDQUOT)
	}
	tried := 0
	for i, w := range writings() {
		all, _ := operations(t, w)
		for _, errno := range kinds {
			refused := 0
			at := points(i, all)
			for _, n := range at {
				dir, tip, _ := trial.Book(t)
				commit, err := try(dir, w.draft(), &trial.Faults{At: n, Err: errno})
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
	trial.Book(t)
	for _, w := range writings() {
		dir, _, _ := trial.Book(t)
		reads := &trial.Faults{Reads: true}
		if _, err := try(dir, w.draft(), reads); err != nil {
			t.Fatal(err)
		}
		_, writes := operations(t, w)
		var tries []*trial.Faults
		for _, n := range trial.Spread(reads.Count) {
			tries = append(tries, &trial.Faults{At: n, Err: syscall.EIO, Reads: true})
		}
		for _, i := range trial.Spread(int64(len(writes))) {
			n := writes[i-1]
			tries = append(tries, &trial.Faults{At: n, Err: io.ErrShortWrite})
		}
		for _, f := range tries {
			dir, tip, _ := trial.Book(t)
			commit, err := try(dir, w.draft(), f)
			whole(t, fmt.Sprintf("%v at operation %d, told %v", f.Err, f.At, err), dir, tip, w, commit, err != nil)
		}
	}
}

func TestKillAtEveryOperation(t *testing.T) {
	trial.Book(t)
	killed := 0
	for i, w := range writings() {
		all, writes := operations(t, w)
		kill := func(f *trial.Faults) {
			dir, tip, _ := trial.Book(t)
			commit, err := try(dir, w.draft(), f)
			if !f.Dead {
				t.Errorf("%s: not killed at operation %d", w.verb, f.At)
			}
			killed++
			whole(t, fmt.Sprintf("killed (after %v, torn %v) at operation %d of %d", f.After, f.Torn, f.At, all), dir, tip, w, commit, err != nil)
		}
		for _, n := range points(i, all) {
			kill(&trial.Faults{At: n}) // which is also behind the one before
			if slices.Contains(writes, n) {
				kill(&trial.Faults{At: n, Torn: true})
			}
			if trial.Long {
				kill(&trial.Faults{At: n, After: true})
			}
		}
		kill(&trial.Faults{At: all, After: true})
	}
	t.Logf("%d ends", killed)
}

// A disk that says it has written, and has not, is found out before the commit is reported.
func TestLyingDisk(t *testing.T) {
	found := 0
	trial.Book(t)
	_, writes := operations(t, writings()[0])
	for _, n := range writes {
		dir, _, d := trial.Book(t)
		commit, err := try(dir, d, &trial.Faults{At: n, Lie: true})
		if err != nil {
			found++
			continue
		}
		tree, err := trace.FS(dir, "")
		if err != nil || tree.Commit != commit {
			t.Errorf("operation %d: reported %s, the book says %v", n, commit, err)
			continue
		}
		for path, want := range map[string]string{trial.Path1: "new text, longer\n", trial.Path2: "part\n"} {
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
	dir, _, d := trial.Book(t)
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	dirty := map[string]bool{}
	r, err := exchange.OpenRepository(dir, func(root string) durable.Disk {
		return durable.Disk{Filesystem: unsynced{osfs.New(root, osfs.WithBoundOS()), root, dirty}}
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Commit(&d); err != nil {
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
	dir, _, _ := trial.Book(t)
	const writers = 24
	each := 1
	if trial.Long {
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
				id, err := exchange.Write(dir, trial.Draft(1+n, exchange.Change{Path: fmt.Sprintf("parts/w%d-%d.md", w, n), Text: []byte("x\n")}))
				answers <- answer{id, err}
			}
		}()
	}
	told := map[string]bool{}
	for range writers * each {
		a := <-answers
		if a.err != nil && !errors.Is(a.err, durable.ErrLocked) {
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
	dir, _, _ := trial.Book(t)
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
		if _, err := exchange.Write(dir, trial.Draft(1+n, exchange.Change{Path: fmt.Sprintf("parts/w-%d.md", n), Text: []byte("x\n")})); err == nil {
			ours++
		} else if !errors.Is(err, durable.ErrLocked) {
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
	dir, tip, _ := trial.Book(t)
	ok := exchange.Change{Path: trial.Path2, Text: []byte("x\n")}
	for _, c := range []struct {
		name string
		d    exchange.Draft
		want string
	}{
		{"nothing changed", trial.Draft(1, exchange.Change{Path: trial.Path1, Text: []byte("old text\n")}), "nothing to commit"},
		{"no changes", trial.Draft(1), "nothing to commit"},
		{"a path with capitals", trial.Draft(1, exchange.Change{Path: "parts/H-1.md", Text: []byte("x\n")}), "no name for a file of a book"},
		{"a path that climbs", trial.Draft(1, exchange.Change{Path: "../x.md", Text: []byte("x\n")}), "no name for a file of a book"},
		{"a path into .git", trial.Draft(1, exchange.Change{Path: ".git/config", Text: []byte("x\n")}), "no name for a file of a book"},
		{"one path twice", trial.Draft(1, ok, ok), "stands in two changes"},
		{"carriage returns", trial.Draft(1, exchange.Change{Path: trial.Path2, Text: []byte("a\nb\r\n")}), "line 2: a carriage return"},
		{"no such file to take out", trial.Draft(1, exchange.Change{Path: "parts/none.md", Delete: true}), `file "parts/none.md" is not in the book`},
		{"no such file to move", trial.Draft(1, exchange.Change{Path: "parts/new.md", From: "parts/none.md"}), `file "parts/none.md" is not in the book`},
		{"a file where a folder is", trial.Draft(1, exchange.Change{Path: "overhauls/me1", Text: []byte("x\n")}), "is a folder, not a file"},
		{"a folder where a file is", trial.Draft(1, exchange.Change{Path: trial.Path1 + "/x.md", Text: []byte("x\n")}), "is a file, it cannot hold"},
		{"angle brackets in a name", exchange.Draft{Author: exchange.Person{Name: "a<b", Email: "x", When: time.Unix(1, 0)}, Changes: []exchange.Change{ok}}, "angle brackets"},
		{"the date 0", exchange.Draft{Author: exchange.Person{Name: "a", Email: "x", When: time.Unix(0, 0)}, Changes: []exchange.Change{ok}}, "cannot stand in a commit"},
		{"a parent that is not there", exchange.Draft{Author: exchange.Person{Name: "a", Email: "x", When: time.Unix(1, 0)}, Changes: []exchange.Change{ok}, Merge: []string{strings.Repeat("1", 40)}}, "is missing"},
	} {
		if _, err := exchange.Write(dir, c.d); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	os.WriteFile(filepath.Join(dir, trial.Path1), []byte("edited meanwhile\n"), 0o666)
	if _, err := exchange.Write(dir, trial.Draft(1, exchange.Change{Path: trial.Path1, Text: []byte("x\n")})); !errors.Is(err, exchange.ErrEdited) {
		t.Errorf("a file edited meanwhile: %v, want %v", err, exchange.ErrEdited)
	}
	if _, err := exchange.Write(dir, trial.Draft(1, exchange.Change{Path: trial.Path1, Delete: true})); !errors.Is(err, exchange.ErrEdited) {
		t.Errorf("taking out a file edited meanwhile: %v, want %v", err, exchange.ErrEdited)
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
		dir, _, d := trial.Book(t)
		file := filepath.Join(dir, ".git", name)
		os.WriteFile(file, nil, 0o666)
		if id, err := exchange.Write(dir, d); err == nil {
			t.Errorf("%s empty: wrote %s", name, id)
		}
	}
}
