package answered

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var filetime = time.Date(2001, 2, 3, 4, 5, 6, 0, time.UTC)

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func look(t *testing.T, cache, dir string) *Book {
	t.Helper()
	b, err := Look(cache, dir)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// An answer is that of one question to one state of one book: whoever puts it under another, cuts or changes the file gets none.
func TestAnswersAreSealed(t *testing.T) {
	cache, dir := filepath.Join(t.TempDir(), "own"), t.TempDir()
	write(t, filepath.Join(dir, "book.md"), "one")
	b := look(t, cache, dir)
	q, other := b.Ask("due"), b.Ask("du", "e")
	for _, answer := range []string{"first", "second"} {
		if err := b.Keep(map[Question][]byte{b.Ask(answer): []byte(answer)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.Keep(map[Question][]byte{q: []byte("nothing is due"), b.AskHistory("due"): []byte("past")}); err != nil {
		t.Fatal(err)
	}
	if is, ok := look(t, cache, dir).Answer(q); !ok || string(is) != "nothing is due" {
		t.Fatalf("answer %q, %v", is, ok)
	}
	if is, ok := b.Answer(b.Ask("first")); !ok || string(is) != "first" {
		t.Errorf("an earlier answer is %q, %v", is, ok)
	}
	if _, ok := b.Answer(other); ok {
		t.Error("another question has the answer")
	}
	file := b.shelf(false).file
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i := range whole {
		if err := os.WriteFile(file, whole[:i], 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := b.Answer(q); ok {
			t.Fatalf("an answer of a file cut at %d", i)
		}
		changed := []byte(string(whole))
		changed[i] ^= 1
		if err := os.WriteFile(file, changed, 0o600); err != nil {
			t.Fatal(err)
		}
		if is, ok := b.Answer(q); ok && string(is) != "nothing is due" {
			t.Fatalf("a changed answer at %d: %q", i, is)
		}
	}
	write(t, filepath.Join(dir, "book.md"), "two")
	now := look(t, cache, dir)
	if err := os.WriteFile(file, append(now.shelf(false).head, whole[len(now.shelf(false).head):]...), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, ok := now.Answer(q); ok {
		t.Error("the answer of another state, put under this one, is believed")
	}
	if is, ok := now.Answer(now.AskHistory("due")); !ok || string(is) != "past" {
		t.Errorf("the answer of a history that is as it was: %q, %v", is, ok)
	}
	if _, ok := now.Answer(now.AskHistory("first")); ok {
		t.Error("an answer of the files is one of the history")
	}
	write(t, filepath.Join(dir, ".git", "HEAD"), "x")
	if now = look(t, cache, dir); now.Git == b.Git {
		t.Error("the history is the same")
	}
	if _, ok := now.Answer(now.AskHistory("due")); ok {
		t.Error("the answer of another history is believed")
	}
}

// Whatever lies in the folder is of the state: each byte, each name, each right; of .git apart. A file that was written again and is as it
// was is a doubt while an answer is worked out.
func TestStateIsTheWholeFolder(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"book.md": "one", "a/b": "", "ab": "", ".git/HEAD": "x", ".git/objects/pack/p": "y", ".github": ""} {
		write(t, filepath.Join(dir, filepath.FromSlash(name)), text)
	}
	state := func() State {
		t.Helper()
		s, err := stateOf(dir, most)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	was := state()
	if is := state(); is != was {
		t.Fatal("the same folder has two states")
	}
	for _, c := range []struct {
		name string
		git  bool
		do   func() error
	}{
		{"a byte", false, func() error { return os.WriteFile(filepath.Join(dir, "book.md"), []byte("two"), 0o666) }},
		{"a byte goes over to the next file", false, func() error {
			return os.WriteFile(filepath.Join(dir, "ab"), []byte("3 two"), 0o666)
		}},
		{"a name", false, func() error { return os.Rename(filepath.Join(dir, "ab"), filepath.Join(dir, "ac")) }},
		{"a right", false, func() error { return os.Chmod(filepath.Join(dir, "ac"), 0o400) }},
		{"an empty folder", false, func() error { return os.Mkdir(filepath.Join(dir, "c"), 0o777) }},
		{"beside .git", false, func() error { return os.WriteFile(filepath.Join(dir, ".github"), []byte("x"), 0o666) }},
		{"a byte below .git", true, func() error { return os.WriteFile(filepath.Join(dir, ".git/objects/pack/p"), []byte("z"), 0o666) }},
	} {
		if err := c.do(); err != nil {
			t.Fatal(err)
		}
		is := state()
		if c.git != (is.Git != was.Git) || c.git == (is.Files != was.Files) {
			t.Errorf("%s: the state of .git changed %v, that of the files %v", c.name, is.Git != was.Git, is.Files != was.Files)
		}
		was = is
	}
	write(t, filepath.Join(dir, "book.md"), "two")
	write(t, filepath.Join(dir, "book.mdx"), "")
	apart := state()
	if err := os.Remove(filepath.Join(dir, "book.mdx")); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, "book.md"), "two8 book.mdx -rw-r--r-- ")
	if state().Files == apart.Files {
		t.Error("what a file holds is taken for the file behind it")
	}
	if _, err := stateOf(dir, 10); err == nil {
		t.Error("more is hashed than is allowed")
	}
	write(t, filepath.Join(dir, "book.md"), "two")
	if err := os.Chtimes(filepath.Join(dir, "book.md"), filetime, filetime); err != nil {
		t.Fatal(err)
	}
	if is := state(); is.Files != was.Files || is == was {
		t.Error("a file of another time has other bytes, or raises no doubt")
	}
}

// Nothing is remembered of a folder that is not all that a book depends on.
func TestNotAll(t *testing.T) {
	for name, make := range map[string]func(dir string) error{
		"a link":              func(dir string) error { return os.Symlink("book.md", filepath.Join(dir, "link")) },
		"a link below .git":   func(dir string) error { return os.Symlink("/", filepath.Join(dir, ".git", "objects")) },
		".git elsewhere":      func(dir string) error { return os.WriteFile(filepath.Join(dir, ".git"), []byte("gitdir: x"), 0o666) },
		"objects of another":  func(dir string) error { return place(dir, ".git/objects/info/alternates") },
		"another's work tree": func(dir string) error { return place(dir, ".git/commondir") },
		"too large":           func(dir string) error { return os.Truncate(filepath.Join(dir, "book.md"), most+1) },
	} {
		dir := t.TempDir()
		write(t, filepath.Join(dir, "book.md"), "one")
		if !strings.HasPrefix(name, ".git") {
			if err := os.Mkdir(filepath.Join(dir, ".git"), 0o777); err != nil {
				t.Fatal(err)
			}
		}
		if err := make(dir); err != nil {
			t.Fatal(err)
		}
		if _, err := Look(filepath.Join(t.TempDir(), "own"), dir); err == nil {
			t.Errorf("%s: it is remembered", name)
		}
	}
}

func place(dir, name string) error {
	name = filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return err
	}
	return os.WriteFile(name, []byte("x"), 0o666)
}
