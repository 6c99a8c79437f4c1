package exchange

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/trace"
)

// run runs git for the tests, with no settings but its own.
func run(t testing.TB, dir string, args ...string) string {
	t.Helper()
	out, err := tryGit(t, dir, args...)
	if err != nil {
		t.Fatalf("git %v: %v: %s", args, err, out)
	}
	return out
}

func tryGit(t testing.TB, dir string, args ...string) (string, error) {
	t.Helper()
	git, err := exec.LookPath("git")
	if err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") != "" {
			t.Fatal(err)
		}
		t.Skip("git is not installed")
	}
	cmd := exec.Command(git, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=/dev/null", "GIT_AUTHOR_NAME=somebody", "GIT_AUTHOR_EMAIL=s@example.org",
		"GIT_COMMITTER_NAME=somebody", "GIT_COMMITTER_EMAIL=s@example.org")
	out, err := cmd.CombinedOutput()
	return strings.TrimSpace(string(out)), err
}

func overhaul(n int, left string) []byte {
	return fmt.Appendf(nil, "---\nholder: \"H-%d\"\nas_left:\n  date: 2024-04-04\n  opening_pressure: [%s bar]\n---\n", n, left)
}

func file(path string, text []byte) Change { return Change{Path: path, Text: text} }

// founded makes a book with a little history.
func founded(t testing.TB, steps int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "book")
	list := []Step{{Draft: draft(0, file("book.md", []byte("---\nvessel: Aurinda\n---\n")), file("signers/allowed_signers", []byte("# none\n")), file(".gitattributes", []byte(Attributes)))}}
	for i := 1; i < steps; i++ {
		list = append(list, Step{Draft: draft(i, file(fmt.Sprintf("overhauls/me1/c%d/2024-01-%02d-h-%d.md", i%3+1, i%27+1, i), overhaul(i, "320")))})
	}
	if _, err := Build(dir, list); err != nil {
		t.Fatal(err)
	}
	return dir
}

// apart makes a second book of the first one and a bare repository between them.
func apart(t testing.TB, steps int) (ship, shore, between string) {
	t.Helper()
	ship = founded(t, steps)
	top := t.TempDir()
	between, shore = filepath.Join(top, "between.git"), filepath.Join(top, "shore")
	run(t, top, "clone", "-q", "--bare", ship, between)
	run(t, top, "clone", "-q", between, shore)
	run(t, ship, "remote", "add", "origin", between)
	return ship, shore, between
}

func write(t testing.TB, dir string, n int, changes ...Change) string {
	t.Helper()
	id, err := Write(dir, draft(n, changes...))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

var allHis = func(string) string { return "" }

// exchangeOnce is sync without the judging: fetch, take in, push.
func exchangeOnce(t testing.TB, dir string, n int, plain bool) (*Taken, error) {
	t.Helper()
	l, err := FindLine(dir, "")
	if err != nil {
		return nil, err
	}
	l.Plain = plain
	for range 20 {
		c, err := l.Fetch(context.Background(), dir)
		if err != nil {
			return nil, err
		}
		var k *Taken
		if c.Tip != "" {
			if k, err = TakeIn(t.Context(), dir, c.Tip, draft(n), allHis); err != nil {
				return k, err
			}
		}
		if k != nil && len(k.Conflicts) > 0 {
			return k, nil
		}
		o, err := l.Outgoing(t.Context(), dir, c.Tip)
		if err != nil {
			return k, err
		}
		if o.Tip == "" {
			return k, l.Note(dir, c.Tip)
		}
		_, err = l.Push(context.Background(), dir, c.Tip, o.Tip)
		if errors.Is(err, ErrBehind) {
			continue
		}
		if err == nil {
			err = l.Note(dir, o.Tip)
		}
		return k, err
	}
	return nil, errors.New("others were always faster")
}

// sound holds a book against git: nothing broken, nothing left over, nothing that git would call changed.
func sound(t testing.TB, dirs ...string) {
	t.Helper()
	for _, dir := range dirs {
		if out, err := tryGit(t, dir, "fsck", "--strict", "--full", "--no-dangling"); err != nil || out != "" {
			t.Errorf("%s: git fsck --strict: %v: %s", dir, err, out)
		}
		if _, err := os.Stat(filepath.Join(dir, ".git")); err != nil {
			continue
		}
		if out := run(t, dir, "status", "--porcelain"); out != "" {
			t.Errorf("%s: git status: %s", dir, out)
		}
		left, err := filepath.Glob(filepath.Join(dir, ".git/needlebook/coming-*"))
		if err != nil || len(left) > 0 {
			t.Errorf("left over: %v %v", left, err)
		}
	}
}

// Both ways to carry lead to the same book on both sides, and git finds nothing amiss.
func TestTwoSidesMeet(t *testing.T) {
	for _, plain := range []bool{false, true} {
		t.Run(fmt.Sprintf("plain %v", plain), func(t *testing.T) {
			ship, shore, between := apart(t, 12)
			write(t, ship, 20, file("overhauls/me1/c1/2024-03-01-h-50.md", overhaul(50, "325")))
			write(t, ship, 21, file("photos/h-50.jpg", bytes.Repeat([]byte{0xff, 0xd8, 1, 2, 3}, 999)))
			write(t, shore, 22, file("limits/6qz31.md", []byte("---\ntype: 6QZ31\n---\n")))
			for n, dir := range []string{ship, shore, ship} {
				if _, err := exchangeOnce(t, dir, 30+n, plain); err != nil {
					t.Fatal(err)
				}
			}
			a, b, c := run(t, ship, "rev-parse", "HEAD"), run(t, shore, "rev-parse", "HEAD"), run(t, between, "rev-parse", "main")
			if a != b || b != c {
				t.Errorf("ship %s, shore %s, between %s", a, b, c)
			}
			for _, f := range []string{"limits/6qz31.md", "photos/h-50.jpg", "overhauls/me1/c1/2024-03-01-h-50.md"} {
				x, err := os.ReadFile(filepath.Join(ship, f))
				y, err2 := os.ReadFile(filepath.Join(shore, f))
				if err != nil || err2 != nil || !bytes.Equal(x, y) {
					t.Errorf("%s: %v %v", f, err, err2)
				}
			}
			sound(t, ship, shore, between)
		})
	}
}

// One record changed on both sides: all else goes through, the record waits in git's own state.
func TestOneRecordOnBothSides(t *testing.T) {
	ship, shore, between := apart(t, 4)
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	write(t, ship, 20, file(rec, overhaul(1, "315")))
	write(t, ship, 21, file("parts/n-2001.md", []byte("---\nserial: \"N-2001\"\n---\n")))
	write(t, shore, 22, file(rec, overhaul(1, "330")))
	if _, err := exchangeOnce(t, ship, 30, false); err != nil {
		t.Fatal(err)
	}
	k, err := exchangeOnce(t, shore, 31, false)
	if err != nil || len(k.Conflicts) != 1 || k.Conflicts[0].Sides.Path != rec {
		t.Fatalf("%+v, %v", k, err)
	}
	if got := run(t, shore, "status", "--porcelain"); got != "UU "+rec+"\nA  parts/n-2001.md" {
		t.Errorf("git status: %s", got)
	}
	if got := run(t, shore, "rev-parse", "MERGE_HEAD"); got != run(t, ship, "rev-parse", "HEAD") {
		t.Errorf("MERGE_HEAD is %s", got)
	}
	for stage, want := range []string{"320", "330", "315"} {
		if got := run(t, shore, "show", fmt.Sprintf(":%d:%s", stage+1, rec)); !strings.Contains(got, want) {
			t.Errorf("stage %d: %s", stage+1, got)
		}
	}
	if _, err := Write(shore, draft(40, file("book.md", []byte("x\n")))); err == nil {
		t.Error("a commit was made in the middle of a merge")
	}
	if _, err := TakeIn(t.Context(), shore, run(t, ship, "rev-parse", "HEAD"), draft(41), allHis); !errors.Is(err, ErrUnfinished) {
		t.Errorf("a second merge was begun: %v", err)
	}
	// Plain git finishes it.
	if err := os.WriteFile(filepath.Join(shore, rec), overhaul(1, "315"), 0o666); err != nil {
		t.Fatal(err)
	}
	run(t, shore, "-c", "commit.gpgsign=false", "commit", "-qam", "decided")
	for n, dir := range []string{shore, ship} {
		if _, err := exchangeOnce(t, dir, 50+n, false); err != nil {
			t.Fatal(err)
		}
	}
	sound(t, ship, shore, between)
}

// What the user has not signed yet is never written over: it is named, and all stays as it was until it is out of the way.
func TestUsersFilesAreKept(t *testing.T) {
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	for _, c := range []struct {
		name  string
		make  func(t *testing.T, dir string)
		named func(*InTheWayError) []string
		path  string
	}{
		{"edited", func(t *testing.T, dir string) { put(t, dir, rec, "mine\n") }, func(e *InTheWayError) []string { return e.Edited }, rec},
		{"untracked", func(t *testing.T, dir string) { put(t, dir, "parts/n-1.md", "mine\n") }, func(e *InTheWayError) []string { return e.Untracked }, "parts/n-1.md"},
		{"ignored", func(t *testing.T, dir string) {
			put(t, dir, ".git/info/exclude", "parts/\n")
			put(t, dir, "parts/n-1.md", "mine\n")
		}, func(e *InTheWayError) []string { return e.Untracked }, "parts/n-1.md"},
		{"a folder in its place", func(t *testing.T, dir string) { put(t, dir, "parts/n-1.md/x", "mine\n") }, func(e *InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"a link on the way", func(t *testing.T, dir string) {
			out := t.TempDir()
			if err := os.Symlink(out, filepath.Join(dir, "parts")); err != nil {
				t.Skip(err)
			}
		}, func(e *InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"a link in its place", func(t *testing.T, dir string) {
			put(t, dir, "parts/other", "mine\n")
			if err := os.Symlink("other", filepath.Join(dir, "parts/n-1.md")); err != nil {
				t.Skip(err)
			}
		}, func(e *InTheWayError) []string { return e.Odd }, "parts/n-1.md"},
		{"staged only", func(t *testing.T, dir string) {
			put(t, dir, rec, "mine\n")
			run(t, dir, "add", rec)
			put(t, dir, rec, string(overhaul(1, "320")))
		}, func(e *InTheWayError) []string { return e.Edited }, rec},
	} {
		t.Run(c.name, func(t *testing.T) {
			ship, shore, _ := apart(t, 4)
			write(t, ship, 20, file(rec, overhaul(1, "315")), file("parts/n-1.md", []byte("theirs\n")))
			if _, err := exchangeOnce(t, ship, 30, false); err != nil {
				t.Fatal(err)
			}
			c.make(t, shore)
			before := snapshot(t, shore)
			_, err := exchangeOnce(t, shore, 31, false)
			var way *InTheWayError
			if !errors.As(err, &way) || len(c.named(way)) != 1 || c.named(way)[0] != c.path {
				t.Fatalf("%v, want one that names %s", err, c.path)
			}
			if after := snapshot(t, shore); after != before {
				t.Errorf("changed:\n%s\nwas\n%s", after, before)
			}
		})
	}
}

func put(t testing.TB, dir, name, text string) {
	t.Helper()
	p := filepath.Join(dir, name)
	if err := errors.Join(os.MkdirAll(filepath.Dir(p), 0o777), os.WriteFile(p, []byte(text), 0o666)); err != nil {
		t.Fatal(err)
	}
}

// snapshot is all that a user sees of a book: files, index, branch.
func snapshot(t testing.TB, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(p string, e os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(dir, p)
		if e.IsDir() && (rel == ".git/objects" || rel == ".git/needlebook") {
			return filepath.SkipDir
		}
		if e.IsDir() {
			fmt.Fprintln(&b, rel, "folder")
			return nil
		}
		if e.Type().IsRegular() {
			text, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			fmt.Fprintf(&b, "%s %q\n", rel, text)
			return nil
		}
		to, err := os.Readlink(p)
		fmt.Fprintln(&b, rel, "->", to)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A folder whose lines end as on Windows, a file that somebody made read-only, a file that is gone: none is a difference.
func TestNoFalseDifference(t *testing.T) {
	const rec = "overhauls/me1/c2/2024-01-02-h-1.md"
	ship, shore, _ := apart(t, 4)
	write(t, ship, 20, file(rec, overhaul(1, "315")), file("book.md", []byte("---\nvessel: Aurinda II\n---\n")), file("parts/n-1.md", []byte("theirs\n")),
		Change{Path: "overhauls/me2/c1/2024-01-03-h-2.md", From: "overhauls/me1/c3/2024-01-03-h-2.md"})
	if _, err := exchangeOnce(t, ship, 30, false); err != nil {
		t.Fatal(err)
	}
	put(t, shore, rec, strings.ReplaceAll(string(overhaul(1, "320")), "\n", "\r\n"))
	put(t, shore, "parts/n-1.md", "theirs\r\n")
	if err := errors.Join(os.Chmod(filepath.Join(shore, "book.md"), 0o444), os.Remove(filepath.Join(shore, "overhauls/me1/c3/2024-01-03-h-2.md"))); err != nil {
		t.Fatal(err)
	}
	if _, err := exchangeOnce(t, shore, 31, false); err != nil {
		t.Fatal(err)
	}
	sound(t, ship, shore)
}

// A hook, a filter, a monitor, a helper of the book's own settings: none is run.
func TestNothingOfTheBooksIsRun(t *testing.T) {
	ship, shore, _ := apart(t, 4)
	write(t, ship, 20, file("book.md", []byte("---\nvessel: Aurinda II\n---\n")))
	proof := filepath.Join(t.TempDir(), "ran")
	script := "#!/bin/sh\necho $0 >> " + proof + "\n"
	for _, dir := range []string{ship, shore} {
		for _, h := range []string{"pre-push", "post-merge", "post-checkout", "pre-commit", "reference-transaction", "post-index-change", "post-commit", "commit-msg"} {
			put(t, dir, ".git/hooks/"+h, script)
			if err := os.Chmod(filepath.Join(dir, ".git/hooks", h), 0o777); err != nil {
				t.Fatal(err)
			}
		}
		f, err := os.OpenFile(filepath.Join(dir, ".git/config"), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(f, "[core]\n\tfsmonitor = echo m >> %[1]s\n\tsshCommand = echo s >> %[1]s\n\talternateRefsCommand = echo a >> %[1]s\n\tpager = echo p >> %[1]s\n[filter \"x\"]\n\tclean = echo c >> %[1]s\n\tsmudge = echo c >> %[1]s\n[remote \"origin\"]\n\tuploadpack = echo u >> %[1]s;\n\treceivepack = echo r >> %[1]s;\n\tvcs = x\n[credential]\n\thelper = !echo h >> %[1]s\n[url \"ext::echo\"]\n\tinsteadOf = /\n", proof)
		f.Close()
		put(t, dir, ".git/info/attributes", "* filter=x\n")
	}
	t.Setenv("GIT_DIR", "/nowhere")
	t.Setenv("GIT_INDEX_FILE", "/nowhere")
	t.Setenv("GIT_EXTERNAL_DIFF", "false")
	for n, dir := range []string{ship, shore} {
		if _, err := exchangeOnce(t, dir, 30+n, false); err != nil {
			t.Fatal(err)
		}
	}
	if ran, err := os.ReadFile(proof); err == nil {
		t.Errorf("ran: %s", ran)
	}
	if a, b := head(t, ship), head(t, shore); a != b {
		t.Errorf("ship %s, shore %s", a, b)
	}
}

func head(t testing.TB, dir string) string {
	t.Helper()
	s, err := trace.OpenStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	tip, _, err := s.Head()
	if err != nil {
		t.Fatal(err)
	}
	return tip.String()
}

var _ = time.Second
