package memory

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"
)

func sample(book byte, folder string) *Memory {
	return &Memory{Book: strings.Repeat(string(book), 40), Tip: strings.Repeat("b", 40), Commits: 12, Register: strings.Repeat("c", 64),
		Receipt: strings.Repeat("d", 64), Time: time.Date(2024, 2, 29, 23, 59, 59, 0, time.UTC), Folder: folder}
}

// What is kept comes back as it was, from a file that its owner alone may read; nothing kept is a first look.
func TestKeptAndRecalled(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "there", "yet")
	m := sample('a', "/ships/a \"book\"\nof two lines")
	t.Run("D19 no memory: a first look, and no error", func(t *testing.T) {
		if got, err := Recall(dir, m.Book, m.Folder); got.Own != nil || got.Copies != nil || err != nil {
			t.Fatalf("before anything was kept: %v, %v", got, err)
		}
	})
	for _, receipt := range []string{m.Receipt, ""} {
		m.Receipt = receipt
		if m.Program, m.Checks = "", nil; receipt != "" {
			m.Program, m.Checks = "needlebook 0.2", map[string]int{"lift-grew": 2, "rings": 1}
		}
		if err := m.Keep(dir); err != nil {
			t.Fatal(err)
		}
		if got, err := Recall(dir, m.Book, m.Folder); err != nil || !reflect.DeepEqual(got.Own, m) || got.Copies != nil {
			t.Errorf("recalled %+v, %v; want %+v", got, err, m)
		}
		if got, err := Recall(dir, m.Book, "/another/folder"); err != nil || got.Own != nil || len(got.Copies) != 1 || !reflect.DeepEqual(got.Copies[0], m) {
			t.Errorf("of a copy: %+v, %v", got, err)
		}
	}
	info, err := os.Stat(file(dir, m.Book, m.Folder))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v; want 0600", info.Mode(), err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("%d files are left in the folder, want the one: %v", len(entries), err)
	}
	// Another book in the same folder is told by what lay there before.
	if got, err := Recall(dir, strings.Repeat("f", 40), m.Folder); err != nil || got.Own == nil || got.Own.Book != m.Book || got.Copies != nil {
		t.Errorf("another book in the folder: %v, %v", got, err)
	}
	if err := Forget(dir, strings.Repeat("f", 40), m.Folder); err != nil {
		t.Fatal(err)
	}
	if got, err := Recall(dir, m.Book, m.Folder); got.Own != nil || err != nil {
		t.Errorf("after it was forgotten: %v, %v", got, err)
	}
	// Two copies, each remembered for itself; forgotten, both are.
	a, b := sample('a', "/ships/a"), sample('a', "/stick/a")
	b.Tip = strings.Repeat("9", 40)
	for _, m := range []*Memory{a, b} {
		if err := m.Keep(dir); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := Recall(dir, a.Book, a.Folder); err != nil || got.Own.Tip != a.Tip || len(got.Copies) != 1 || got.Copies[0].Tip != b.Tip {
		t.Errorf("two copies: %+v, %v", got, err)
	}
	if err := Forget(dir, a.Book, a.Folder); err != nil {
		t.Fatal(err)
	}
	if got, err := Recall(dir, a.Book, b.Folder); got.Own != nil || err != nil {
		t.Errorf("a copy is not forgotten: %+v, %v", got, err)
	}
}

// A memory cut at any byte, changed at any byte, or another book's under this one's name, is damaged: never a first look, never all
// well.
func TestDamagedMemory(t *testing.T) {
	dir := t.TempDir()
	m := sample('a', "/ships/a")
	if err := m.Keep(dir); err != nil {
		t.Fatal(err)
	}
	name := file(dir, m.Book, m.Folder)
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	damaged := func(what string, text []byte) {
		t.Helper()
		if err := os.WriteFile(name, text, 0o600); err != nil {
			t.Fatal(err)
		}
		got, err := Recall(dir, m.Book, m.Folder)
		var d *DamagedError
		if err == nil || !errors.As(err, &d) || d.File != name {
			t.Errorf("%s: recalled %v, %v", what, got, err)
		}
	}
	for i := range whole {
		damaged("D20 cut", whole[:i])
		other := append([]byte(nil), whole...)
		other[i] ^= 1
		damaged("changed", other)
	}
	damaged("longer", append(whole, '\n'))
	damaged("D21 another book's", sample('e', "/ships/e").text())
	if err := Forget(dir, m.Book, m.Folder); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(name); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a damaged memory is not forgotten: %v", err)
	}
	// What could not be read back is never kept.
	m.Tip = "short"
	if err := m.Keep(dir); err == nil {
		t.Error("a memory without a tip is kept")
	}
}

// The folder is the one named, else the system's own for such things, never one inside a book.
func TestDir(t *testing.T) {
	t.Setenv("NEEDLEBOOK_MEMORY", "/named")
	if dir, err := Dir(); dir != "/named" || err != nil {
		t.Errorf("%q, %v", dir, err)
	}
	t.Setenv("NEEDLEBOOK_MEMORY", "")
	t.Setenv("XDG_STATE_HOME", "/state")
	if dir, err := Dir(); dir != filepath.Join("/state", "needlebook") || err != nil {
		t.Errorf("%q, %v", dir, err)
	}
}
