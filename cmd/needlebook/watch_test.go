package main

import (
	"bufio"
	"context"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/budget"
)

// process starts the program as a process of its own and gives its lines; it is interrupted at the end of the test.
func process(t *testing.T, args ...string) <-chan string {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := make(chan string, 10_000)
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(out); s.Scan(); {
			lines <- s.Text()
		}
	}()
	t.Cleanup(func() {
		cmd.Process.Kill()
		io.Copy(io.Discard, out)
		cmd.Wait()
	})
	return lines
}

// until reads lines up to one that holds the words, and gives them all.
func until(t *testing.T, lines <-chan string, words string) (all []string) {
	t.Helper()
	for late := time.After(30 * time.Second); ; {
		select {
		case l, more := <-lines:
			if all = append(all, l); strings.Contains(l, words) {
				return all
			}
			if !more {
				t.Fatalf("the program ended before it said %q:\n%s", words, strings.Join(all, "\n"))
			}
		case <-late:
			t.Fatalf("%q was not said:\n%s", words, strings.Join(all, "\n"))
		}
	}
}

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

// demoBook is the example vessel with her history, in a folder whose name is not only letters of ASCII.
func demoBook(t *testing.T) string {
	t.Helper()
	book := filepath.Join(t.TempDir(), "Schiff und Bücher", "book")
	if _, err := exampleBook(book); err != nil {
		t.Fatal(err)
	}
	return book
}

// A change is answered whatever the habit of the editor that saved it, in a quarter of a second on the example vessel where the
// machine does nothing else. On a busy one only that it is answered is held to.
func TestWatchAnswersEveryHabit(t *testing.T) {
	book := demoBook(t)
	record := filepath.Join(book, "overhauls", "me1", "c3", "2024-06-11-h-119.md")
	src, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	lines := process(t, "check", "--watch", "--book", book, "--fail-on", "stop", "overhauls/me1/c3/2024-06-11-h-119.md")
	until(t, lines, "not an instruction")
	until(t, lines, "come before it")
	var took []time.Duration
	for i, s := range saving {
		reading := []string{"9.9", "8.8", "7.7", "6.6", "5.5", "4.4"}[i]
		text := strings.Replace(string(src), "---\n", "---\nmesured: {lift: \""+reading+" mm\"}\n", 1)
		s.save(t, record, text)
		start := time.Now()
		said := until(t, lines, "come before it")
		took = append(took, time.Since(start))
		if all := strings.Join(said, "\n"); !strings.Contains(all, "changed: overhauls/me1/c3/2024-06-11-h-119.md") || !strings.Contains(all, "mesured") {
			t.Errorf("%s: said\n%s", s.habit, all)
		}
		t.Logf("%s: answered in %v", s.habit, took[i].Round(time.Millisecond))
	}
	slices.Sort(took)
	if os.Getenv("NEEDLEBOOK_QUIET") == "1" && took[len(took)/2] > 250*time.Millisecond {
		t.Errorf("answered in %v, want a quarter of a second on a quiet machine", took)
	}
}

// A share on another machine tells of no change: the files are looked at all the same.
func TestWatchWithoutNotifications(t *testing.T) {
	dir := t.TempDir()
	record := filepath.Join(dir, "overhauls", "me1", "c1", "2024-04-02-h-1.md")
	write(t, record, "---\nholder: \"H-1\"\n---\n0\n")
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	w := watch(t.Context(), dir)
	answer := func(what, want string) {
		t.Helper()
		changed, more := w.next(ctx, nil)
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

// view builds again and shows what was saved.
func TestViewBuildsAgain(t *testing.T) {
	book := demoBook(t)
	record := filepath.Join(book, "overhauls", "me1", "c3", "2024-06-11-h-119.md")
	src, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	lines := process(t, "view", "--book", book)
	until(t, lines, "Ctrl-C ends")
	write(t, record, strings.TrimRight(string(src), "\n")+"\nA remark made just now.\n")
	start := time.Now()
	until(t, lines, "2024-06-11-h-119.md: ")
	t.Logf("answered in %v", time.Since(start).Round(time.Millisecond))
}

// Folders beyond the bounds of a book are not walked on and on; what lies before them is seen to change.
func TestWatchWithinBounds(t *testing.T) {
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
	if changed, more := watch(ended, dir).next(ended, nil); more {
		t.Errorf("went on with %v", changed)
	}
}
