package budget_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"needlebook/logbook/budget"
)

func TestPlain(t *testing.T) {
	dir := t.TempDir()
	for name, size := range map[string]int64{"small.md": 5, "largest.jpg": budget.MaxFile, "larger.jpg": budget.MaxFile + 1} {
		f, err := os.Create(filepath.Join(dir, name))
		if err == nil {
			err = errors.Join(f.Truncate(size), f.Close())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	fsys := budget.Plain(os.DirFS(dir))
	if err := fstest.TestFS(budget.Plain(fstest.MapFS{"a/b.md": {Data: []byte("text")}}), "a/b.md"); err != nil {
		t.Error(err)
	}
	for name, taken := range map[string]bool{"small.md": true, "largest.jpg": true, "larger.jpg": false} {
		_, err := fs.ReadFile(fsys, name)
		f, opened := fsys.Open(name)
		if opened == nil {
			f.Close()
		}
		if (err == nil) != taken || (opened == nil) != taken || !taken && !errors.Is(err, fs.ErrInvalid) {
			t.Errorf("%s: read %v, opened %v", name, err, opened)
		}
	}
}

// growing says that it is small, and gives more.
type growing struct{ fstest.MapFS }

func (g growing) Open(name string) (fs.File, error) {
	f, err := g.MapFS.Open(name)
	return endless{f}, err
}

type endless struct{ fs.File }

func (endless) Read(b []byte) (int, error) { return len(b), nil }

// A file that grows while it is read is not read on and on.
func TestReadFileThatGrows(t *testing.T) {
	if text, err := budget.ReadFile(growing{fstest.MapFS{"a.md": {Data: []byte("text")}}}, "a.md", 1000); !errors.Is(err, fs.ErrInvalid) || len(text) > 1001 {
		t.Errorf("%d bytes, %v", len(text), err)
	}
}

// silent says that it has nothing, and whoever reads it all the same waits.
type silent struct{ fs.File }

func (silent) Read([]byte) (int, error) { return 0, errors.New("it was read") }

type silentFS struct{ fstest.MapFS }

func (s silentFS) Open(name string) (fs.File, error) {
	f, err := s.MapFS.Open(name)
	return silent{f}, err
}

// A file that states no length, as some of the system's own do, is not read: reading it may never end.
func TestFileOfNoLengthIsNotRead(t *testing.T) {
	fsys := silentFS{fstest.MapFS{"a.md": {}}}
	if text, err := budget.ReadFile(fsys, "a.md", 1000); err != nil || len(text) != 0 {
		t.Errorf("ReadFile: %q, %v", text, err)
	}
	f, err := budget.Plain(fsys).Open("a.md")
	if err != nil {
		t.Fatal(err)
	}
	if n, err := f.Read(make([]byte, 1)); n != 0 || !errors.Is(err, io.EOF) {
		t.Errorf("Read: %d, %v", n, err)
	}
}
