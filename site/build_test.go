package site

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

// vessels are the three books that every page is made from: an empty one, an ordinary one, and one written by a hostile stranger.
func vessels(t testing.TB) map[string]Input {
	ordinary := bookOf(t, baseFiles(t, nil), nil)
	ordinary.Trail = trailOf(ordinary.Book)
	ordinary = bookOf(t, ordinary.Files, ordinary.Trail)
	spiteful := bookOf(t, spitefulFiles(t), nil)
	spiteful.Trail = spitefulTrail(spiteful.Book)
	return map[string]Input{
		"empty":    bookOf(t, fstest.MapFS{"book.md": {Data: []byte("---\nvessel: Empty\n---\n")}}, nil),
		"ordinary": ordinary,
		"plain":    bookOf(t, baseFiles(t, nil), nil),
		"spiteful": bookOf(t, spiteful.Files, spiteful.Trail),
	}
}

// TestBuild builds each vessel, follows every link, and builds again elsewhere: the bytes are the same.
func TestBuild(t *testing.T) {
	for name, in := range vessels(t) {
		t.Run(name, func(t *testing.T) {
			one, two := filepath.Join(t.TempDir(), "one"), filepath.Join(t.TempDir(), "two")
			r, err := Build(in, one)
			if err != nil {
				t.Fatal(err)
			}
			if r.Written != r.Pages || r.Removed != 0 {
				t.Errorf("first build: %+v, want every page written", r)
			}
			links(t, one)
			if _, err := Build(in, two); err != nil {
				t.Fatal(err)
			}
			a, b := read0(t, one), read0(t, two)
			if len(a) != len(b) {
				t.Errorf("one build has %d files, the other %d", len(a), len(b))
			}
			for name, text := range a {
				if !bytes.Equal(text, b[name]) {
					t.Errorf("%s differs between two builds of one input", name)
				}
				if bytes.Contains(text, []byte(one)) {
					t.Errorf("%s holds the path of the output folder", name)
				}
			}
			again, err := Build(in, one)
			if err != nil || again.Written != 0 || again.Removed != 0 || again.Pages != r.Pages {
				t.Errorf("second build of the same input: %+v, %v, want nothing written", again, err)
			}
		})
	}
}

// TestExampleVessel builds the example vessel and follows every link of it.
func TestExampleVessel(t *testing.T) {
	dir := "../example-vessel"
	if _, err := os.Stat(filepath.Join(dir, "book.md")); err != nil {
		t.Skip("no example vessel here")
	}
	out := filepath.Join(t.TempDir(), "pages")
	if _, err := Build(bookOf(t, os.DirFS(dir), nil), out); err != nil {
		t.Fatal(err)
	}
	links(t, out)
}

func read0(t testing.TB, dir string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		all[p], err = os.ReadFile(filepath.Join(dir, p))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestOnlyOurs holds the output folder to its promises: foreign files are left alone, a link is refused, a book is refused, and only
// pages of a former build are removed.
func TestOnlyOurs(t *testing.T) {
	in := bookOf(t, baseFiles(t, nil), nil)
	small := bookOf(t, fstest.MapFS{"book.md": {Data: []byte("---\nvessel: Empty\n---\n")}}, nil)

	t.Run("foreign files and no list of ours", func(t *testing.T) {
		dir := t.TempDir()
		write(t, filepath.Join(dir, "letter.txt"), "mine")
		if _, err := Build(in, dir); !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), "letter.txt") {
			t.Errorf("Build = %v, want ErrForeign naming letter.txt", err)
		}
		if got := read0(t, dir); len(got) != 1 {
			t.Errorf("the folder holds %d files afterwards, want the one", len(got))
		}
	})
	t.Run("foreign file in the place of a page", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "out")
		must(t, build(in, dir))
		must(t, build(small, dir))
		write(t, filepath.Join(dir, "cylinder-me1-1.html"), "mine")
		if _, err := Build(in, dir); !errors.Is(err, ErrForeign) {
			t.Errorf("Build = %v, want ErrForeign", err)
		}
		if got := read0(t, dir)["cylinder-me1-1.html"]; string(got) != "mine" {
			t.Errorf("the foreign file holds %q", got)
		}
	})
	t.Run("old pages go, foreign files stay", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "out")
		must(t, build(in, dir))
		write(t, filepath.Join(dir, "notes.txt"), "mine")
		r, err := Build(small, dir)
		if err != nil || r.Removed == 0 {
			t.Fatalf("Build = %+v, %v, want pages removed", r, err)
		}
		got := read0(t, dir)
		if got["notes.txt"] == nil || got["cylinder-me1-1.html"] != nil {
			t.Error("want the note kept and the old cylinder page gone")
		}
	})
	t.Run("a list that somebody changed removes nothing outside", func(t *testing.T) {
		base := t.TempDir()
		write(t, filepath.Join(base, "outside.txt"), "mine")
		dir := filepath.Join(base, "out")
		must(t, build(in, dir))
		write(t, filepath.Join(dir, "Keep.TXT"), "mine")
		write(t, filepath.Join(dir, manifestFile), manifestHead+"\n../outside.txt\nKeep.TXT\nindex.html\n..\n.\n")
		_, _ = Build(small, dir)
		for _, p := range []string{filepath.Join(base, "outside.txt"), filepath.Join(dir, "Keep.TXT")} {
			if _, err := os.Stat(p); err != nil {
				t.Errorf("%s is gone", p)
			}
		}
	})
	t.Run("a page that somebody changed is put right", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "out")
		must(t, build(in, dir))
		write(t, filepath.Join(dir, "index.html"), "changed")
		r, err := Build(in, dir)
		if err != nil || r.Written != 1 {
			t.Errorf("Build = %+v, %v, want the one page written", r, err)
		}
	})
	t.Run("a link instead of a folder", func(t *testing.T) {
		base := t.TempDir()
		must(t, os.Mkdir(filepath.Join(base, "real"), 0o777))
		link := filepath.Join(base, "link")
		if err := os.Symlink(filepath.Join(base, "real"), link); err != nil {
			t.Skip("no links on this system")
		}
		if _, err := Build(in, link); err == nil || !strings.Contains(err.Error(), "link") {
			t.Errorf("Build = %v, want a refusal", err)
		}
	})
	t.Run("a page that is a link is replaced, not followed", func(t *testing.T) {
		base := t.TempDir()
		dir := filepath.Join(base, "out")
		must(t, build(in, dir))
		target := filepath.Join(base, "precious.txt")
		write(t, target, "precious")
		page := filepath.Join(dir, "index.html")
		must(t, os.Remove(page))
		if err := os.Symlink(target, page); err != nil {
			t.Skip("no links on this system")
		}
		must(t, build(in, dir))
		if got, _ := os.ReadFile(target); string(got) != "precious" {
			t.Errorf("the file behind the link holds %q", got)
		}
	})
	t.Run("inside a book", func(t *testing.T) {
		book := t.TempDir()
		write(t, filepath.Join(book, "book.md"), "---\nvessel: X\n---\n")
		if _, err := Build(in, filepath.Join(book, "a", "pages")); !errors.Is(err, ErrInsideBook) {
			t.Errorf("Build = %v, want ErrInsideBook", err)
		}
		if _, err := Build(in, book); !errors.Is(err, ErrInsideBook) {
			t.Errorf("Build into the book = %v, want ErrInsideBook", err)
		}
	})
	t.Run("a build that breaks off leaves the old pages", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "out")
		must(t, build(in, dir))
		old := read0(t, dir)
		f, err := openFolder(dir)
		must(t, err)
		must(t, f.put("index.html", []byte("new")))
		must(t, f.put("another.html", []byte("new")))
		f.close() // and never finished
		now := read0(t, dir)
		for name, text := range old {
			if !bytes.Equal(now[name], text) {
				t.Errorf("%s changed", name)
			}
		}
		if now["another.html"] != nil {
			t.Error("a page of the broken build stands in the folder")
		}
		if r, err := Build(in, dir); err != nil || r.Written != 0 {
			t.Errorf("the next build: %+v, %v, want nothing to write", r, err)
		}
	})
	t.Run("a build that breaks off while the pages are put in place", func(t *testing.T) {
		for _, last := range []string{"z-new.html", "findings.html", "index.html"} { // the page at which it breaks off
			dir := filepath.Join(t.TempDir(), "out")
			must(t, build(in, dir))
			old := read0(t, dir)
			f, err := openFolder(dir)
			must(t, err)
			for _, name := range []string{"findings.html", "index.html", "z-new.html", "a-new.html", "summary.json"} {
				must(t, f.put(name, []byte("new")))
			}
			must(t, f.new.Remove(last))
			if _, _, err := f.finish(); err == nil {
				t.Errorf("%s: no error", last)
			}
			f.close()
			now := read0(t, dir)
			if !bytes.Equal(now["index.html"], old["index.html"]) {
				t.Errorf("%s: the front page is of another build than %s", last, last)
			}
			if stand := now["a-new.html"] != nil && now["z-new.html"] != nil; string(now["findings.html"]) == "new" && !stand {
				t.Errorf("%s: a changed page stands before the new ones it may lead to", last)
			}
			for name := range old {
				if now[name] == nil {
					t.Errorf("%s: %s is gone, and the front page may lead to it", last, name)
				}
			}
			if _, err := Build(in, dir); err != nil {
				t.Errorf("%s: the next build: %v", last, err)
			}
			for name, text := range read0(t, dir) {
				if !bytes.Equal(old[name], text) {
					t.Errorf("%s: the next build leaves %s", last, name)
				}
			}
		}
	})
	t.Run("what a broken build left is cleared", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "out")
		must(t, build(in, dir))
		must(t, os.Mkdir(filepath.Join(dir, stagingDir), 0o777))
		write(t, filepath.Join(dir, stagingDir, "index.html"), "half")
		r, err := Build(in, dir)
		if err != nil || r.Written != 0 {
			t.Errorf("Build = %+v, %v, want nothing written", r, err)
		}
		if _, err := os.Stat(filepath.Join(dir, stagingDir)); err == nil {
			t.Error("the staging folder is still there")
		}
	})
}

func build(in Input, out string) error { _, err := Build(in, out); return err }

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func write(t testing.TB, name, text string) {
	t.Helper()
	must(t, os.WriteFile(name, []byte(text), 0o666))
}
