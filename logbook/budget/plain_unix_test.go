//go:build unix

package budget_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"needlebook/logbook/budget"
)

// Nobody ever writes into this pipe, and a device gives bytes for ever.
func TestNoPlainFile(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	if err := errors.Join(syscall.Mkfifo(filepath.Join(dir, "pipe.md"), 0o600), os.Symlink("/dev/zero", filepath.Join(dir, "device.md")),
		os.WriteFile(filepath.Join(dir, "small.md"), []byte("text"), 0o600), os.Symlink("small.md", filepath.Join(dir, "link.md"))); err != nil {
		t.Fatal(err)
	}
	for way, read := range map[string]func(name string) ([]byte, error){
		"Plain":  func(name string) ([]byte, error) { return fs.ReadFile(budget.Plain(os.DirFS(dir)), name) },
		"In":     func(name string) ([]byte, error) { return fs.ReadFile(budget.In(root), name) },
		"ReadIn": func(name string) ([]byte, error) { return budget.ReadIn(root, name, 4) },
		"Read":   func(name string) ([]byte, error) { return budget.Read(filepath.Join(dir, name), 4) },
	} {
		for _, name := range []string{"pipe.md", "device.md"} {
			if _, err := read(name); err == nil || way != "In" && way != "ReadIn" && !errors.Is(err, fs.ErrInvalid) {
				t.Errorf("%s %s: %v", way, name, err)
			}
		}
		for _, name := range []string{"small.md", "link.md"} {
			if text, err := read(name); err != nil || string(text) != "text" {
				t.Errorf("%s %s: %q, %v", way, name, text, err)
			}
		}
		if _, err := read("missing.md"); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s of a missing file: %v", way, err)
		}
		if _, err := read("."); err == nil {
			t.Errorf("%s read a folder", way)
		}
	}
	if _, err := budget.Read(filepath.Join(dir, "small.md"), 3); !errors.Is(err, fs.ErrInvalid) {
		t.Errorf("a file that is too large: %v", err)
	}
}

// A disk without modes refuses to change them, or cannot: neither is an error; that the file is not there is one.
func TestModeless(t *testing.T) {
	for _, err := range []error{syscall.ENOSYS, syscall.ENOTSUP, syscall.EPERM} {
		if got := budget.Modeless(&fs.PathError{Op: "chmod", Path: "x", Err: err}); got != nil {
			t.Errorf("%v: %v", err, got)
		}
	}
	name := filepath.Join(t.TempDir(), "x")
	if err := budget.Chmod(name, 0o644); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
	if err := os.WriteFile(name, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := budget.Chmod(name, 0o640); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(name); err != nil || info.Mode() != 0o640 {
		t.Errorf("%v, %v", info, err)
	}
}
