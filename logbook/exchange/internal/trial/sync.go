package trial

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/trace"
)

// Run runs git for the tests, with no settings but its own.
func Run(t testing.TB, dir string, args ...string) string {
	t.Helper()
	out, err := TryGit(t, dir, args...)
	if err != nil {
		t.Fatalf("git %v: %v: %s", args, err, out)
	}
	return out
}

func TryGit(t testing.TB, dir string, args ...string) (string, error) {
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
	cmd.Env = append(os.Environ(), "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=/dev/null", "GIT_AUTHOR_NAME=somebody",
		"GIT_AUTHOR_EMAIL=s@example.org",
		"GIT_COMMITTER_NAME=somebody", "GIT_COMMITTER_EMAIL=s@example.org")
	out, err := cmd.CombinedOutput()
	return strings.TrimSpace(string(out)), err
}

func Overhaul(n int, left string) []byte {
	return fmt.Appendf(nil, "---\nholder: \"H-%d\"\nas_left:\n  date: 2024-04-04\n  opening_pressure: [%s bar]\n---\n",
		n, left)
}

func File(path string, text []byte) exchange.Change { return exchange.Change{Path: path, Text: text} }

// Founded makes a book with a little history.
func Founded(t testing.TB, steps int) string {
	t.Helper()
	dir := filepath.Join(Scratch(t), "book")
	list := []exchange.Step{{Draft: Draft(0, File("book.md", []byte(vessel)),
		File("signers/allowed_signers", []byte("# none\n")), File(".gitattributes", []byte(exchange.Attributes)))}}
	for i := 1; i < steps; i++ {
		list = append(list, exchange.Step{Draft: Draft(i, File(fmt.Sprintf("overhauls/me1/c%d/2024-01-%02d-h-%d.md", i%3+1,
			i%27+1, i), Overhaul(i, "320")))})
	}
	if _, err := exchange.Build(dir, list); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Apart makes a second book of the first one and a bare repository between them.
func Apart(t testing.TB, steps int) (ship, shore, between string) {
	t.Helper()
	ship = Founded(t, steps)
	top := Scratch(t)
	between, shore = filepath.Join(top, "between.git"), filepath.Join(top, "shore")
	Run(t, top, "clone", "-q", "--bare", ship, between)
	Run(t, top, "clone", "-q", between, shore)
	Run(t, ship, "remote", "add", "origin", between)
	return ship, shore, between
}

func Write(t testing.TB, dir string, n int, changes ...exchange.Change) string {
	t.Helper()
	id, err := exchange.Write(dir, Draft(n, changes...))
	if err != nil {
		t.Fatal(err)
	}
	return id
}

var AllTheirs = func(string) string { return "" }

// ExchangeOnce is sync without the judging: fetch, take in, push.
func ExchangeOnce(t testing.TB, dir string, n int, plain bool) (*joining.Taken, error) {
	t.Helper()
	l, err := remote.Find(dir, "")
	if err != nil {
		return nil, err
	}
	l.Plain = plain
	for range 20 {
		c, err := l.Fetch(context.Background(), dir)
		if err != nil {
			return nil, err
		}
		var k *joining.Taken
		if c.Tip != "" {
			if k, err = joining.TakeIn(t.Context(), dir, c.Tip, Draft(n), AllTheirs); err != nil {
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
		if errors.Is(err, remote.ErrBehind) {
			continue
		}
		if err == nil {
			err = l.Note(dir, o.Tip)
		}
		return k, err
	}
	return nil, errors.New("others were always faster")
}

// Sound holds a book against git: nothing broken, nothing left over, nothing that git would call changed.
func Sound(t testing.TB, dirs ...string) {
	t.Helper()
	for _, dir := range dirs {
		if out, err := TryGit(t, dir, "fsck", "--strict", "--full", "--no-dangling"); err != nil || out != "" {
			t.Errorf("%s: git fsck --strict: %v: %s", dir, err, out)
		}
		if _, err := os.Stat(filepath.Join(dir, ".git")); err != nil {
			continue
		}
		if out := Run(t, dir, "status", "--porcelain"); out != "" {
			t.Errorf("%s: git status: %s", dir, out)
		}
		left, err := filepath.Glob(filepath.Join(dir, ".git/needlebook/coming-*"))
		if err != nil || len(left) > 0 {
			t.Errorf("left over: %v %v", left, err)
		}
	}
}

func Put(t testing.TB, dir, name, text string) {
	t.Helper()
	p := filepath.Join(dir, name)
	if err := errors.Join(os.MkdirAll(filepath.Dir(p), 0o777), os.WriteFile(p, []byte(text), 0o666)); err != nil {
		t.Fatal(err)
	}
}

// Snapshot is all that a user sees of a book: files, index, branch.
func Snapshot(t testing.TB, dir string) string {
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

func Head(t testing.TB, dir string) string {
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
