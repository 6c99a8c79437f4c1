package watch

import (
	"context"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/budget"
)

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// saving are the ways in which editors put a text into its file: common practice, no source.
var saving = []struct {
	habit string
	save  func(t *testing.T, name, text string)
}{
	{"cut short and written again", write},
	{"cut short, then written in two pieces", func(t *testing.T, name, text string) {
		write(t, name, "")
		write(t, name, text[:len(text)/2])
		write(t, name, text)
	}},
	{"written aside and renamed over it", func(t *testing.T, name, text string) {
		aside := filepath.Join(filepath.Dir(name), ".x.swp")
		write(t, aside, text)
		if err := os.Rename(aside, name); err != nil {
			t.Fatal(err)
		}
	}},
	{"the old one kept as a backup, the new one made", func(t *testing.T, name, text string) {
		if err := os.Rename(name, name+"~"); err != nil {
			t.Fatal(err)
		}
		write(t, name, text)
	}},
	{"removed and made again", func(t *testing.T, name, text string) {
		os.Remove(name)
		write(t, name, text)
	}},
	{"the same length, by a clock that stands still", func(t *testing.T, name, text string) {
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		write(t, name, text)
		if err := os.Chtimes(name, info.ModTime(), info.ModTime()); err != nil {
			t.Fatal(err)
		}
	}},
}

// Every habit of saving is answered. A share on another machine tells of no change: the files are looked at all the same.
func TestNext(t *testing.T) {
	t.Run("told by the system", func(t *testing.T) { answersEveryHabit(t, true) })
	t.Run("told nothing", func(t *testing.T) { answersEveryHabit(t, false) })
}

func answersEveryHabit(t *testing.T, told bool) {
	dir := t.TempDir()
	record := filepath.Join(dir, "overhauls", "me1", "c1", "2024-04-02-h-1.md")
	write(t, record, "---\nholder: \"H-1\"\n---\n0\n")
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	w := Begin(ctx, dir)
	if !told {
		w.woken = nil
	}
	answer := func(what, want string) {
		t.Helper()
		changed, more := w.Next(ctx)
		if got := strings.Join(changed, " "); !more || got != want {
			t.Fatalf("%s: changed %q, want %q", what, got, want)
		}
	}
	for i, s := range saving {
		s.save(t, record, "---\nholder: \"H-1\"\n---\n"+string(rune('1'+i))+"\n")
		answer(s.habit, "overhauls/me1/c1/2024-04-02-h-1.md")
	}
	write(t, filepath.Join(dir, "overhauls", "me2", "c1", "new.md"), "x")
	answer("a new file in a new folder", "overhauls/me2/c1/new.md")
	write(t, filepath.Join(dir, ".git", "refs", "heads", "main"), "0")
	answer("a commit", "history")
	write(t, filepath.Join(dir, ".git", "index"), "0")
	write(t, filepath.Join(dir, "overhauls", ".x.swp"), "0")
	write(t, filepath.Join(dir, "overhauls", "me1", "c1", "2024-04-02-h-1.md~"), "0")
	if err := os.Remove(record); err != nil {
		t.Fatal(err)
	}
	answer("a file gone, and what is none of the book's", "overhauls/me1/c1/2024-04-02-h-1.md")
}

// Folders beyond the bounds of a book are not walked on and on; what lies before them is seen to change.
func TestBounds(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "book.md"), "text")
	deep := filepath.Join(dir, strings.Repeat("d/", budget.Depth+1))
	write(t, filepath.Join(deep, "a.md"), "text")
	write(t, filepath.Join(dir, strings.Repeat("d/", budget.Depth), "b.md"), "text")
	seen := look(t.Context(), dir, nil)
	if _, there := seen[strings.Repeat("d/", budget.Depth)+"b.md"]; !there || len(seen) != budget.Depth+4 {
		t.Errorf("%d paths seen: %v", len(seen), slices.Sorted(maps.Keys(seen)))
	}
	ended, end := context.WithCancel(t.Context())
	end()
	if changed, more := Begin(ended, dir).Next(ended); more {
		t.Errorf("went on with %v", changed)
	}
}
