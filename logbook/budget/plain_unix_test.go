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
func TestPlainOpensNoPipe(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe.md"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("/dev/zero", filepath.Join(dir, "device.md")); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"pipe.md", "device.md"} {
		if _, err := fs.ReadFile(budget.Plain(os.DirFS(dir)), name); !errors.Is(err, fs.ErrInvalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
