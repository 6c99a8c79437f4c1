package trace_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"needlebook/logbook/trace"
)

// A .git that leads to a file of the system from which nothing comes is none: nobody waits for it.
func TestGitFileThatNeverEnds(t *testing.T) {
	dir := t.TempDir()
	if err := os.Symlink("/proc/kmsg", filepath.Join(dir, ".git")); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() {
		_, _, err := trace.GitDirs(dir)
		done <- err
	}()
	select {
	case err := <-done:
		if !errors.Is(err, trace.ErrNotRepository) {
			t.Error(err)
		}
	case <-time.After(time.Minute):
		t.Error("still reading after a minute")
	}
}
