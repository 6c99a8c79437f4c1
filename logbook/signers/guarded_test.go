//go:build !windows

package signers

import (
	"os"
	"path/filepath"
	"testing"
)

// A key file that others may read is not guarded, whoever set it so: a file system without owners shows the same modes.
func TestGuarded(t *testing.T) {
	file := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for mode, want := range map[os.FileMode]bool{0o600: true, 0o400: true, 0o640: false, 0o604: false, 0o777: false} {
		if err := os.Chmod(file, mode); err != nil {
			t.Fatal(err)
		}
		if got, err := Guarded(file); err != nil || got != want {
			t.Errorf("mode %o: %v, %v, want %v", mode, got, err, want)
		}
	}
	if _, err := Guarded(file + " that is not there"); err == nil {
		t.Error("no error for a file that is not there")
	}
}
