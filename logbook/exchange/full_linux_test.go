package exchange_test

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"needlebook/logbook/exchange/internal/trial"
)

// A disk that is full at every 4 KiB: nothing torn, nothing told that is not so. It needs a mount, and says
// so where it cannot have one.
func TestFullDisk(t *testing.T) {
	trial.Book(t)
	if os.Getenv("NEEDLEBOOK_WIDER") == "" {
		t.Skip("mounts a small disk; runs with NEEDLEBOOK_WIDER=1")
	}
	mount := t.TempDir()
	if err := syscall.Mount("tmpfs", mount, "tmpfs", 0, "size=4m"); err != nil {
		t.Skipf("the full disk did not run: mounting a small one: %v", err)
	}
	t.Cleanup(func() {
		runtime.GC() // closes what go-git leaves open where a write fails
		runtime.GC()
		if err := syscall.Unmount(mount, 0); err != nil {
			t.Errorf("unmounting the small disk: %v", err)
		}
	})
	tried, refused := 0, 0
	for i, w := range writings() {
		step := 1
		if i > 0 && !trial.Long {
			step = 5
		}
		for room := i % step; ; room += step {
			dir, filling := filepath.Join(mount, "book"), filepath.Join(mount, "filling")
			os.RemoveAll(dir)
			os.Remove(filling)
			if err := os.CopyFS(dir, os.DirFS(trial.Made.Dir)); err != nil {
				t.Fatal(err)
			}
			var s syscall.Statfs_t
			if err := syscall.Statfs(mount, &s); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filling, make([]byte, (int64(s.Bfree)-int64(room))*s.Bsize), 0o600); err != nil {
				t.Fatal(err)
			}
			commit, err := try(dir, w.draft(), &trial.Faults{})
			os.Remove(filling)
			tried++
			whole(t, fmt.Sprintf("a disk with room for %d blocks", room), dir, trial.Made.Tip, w, commit, err != nil)
			if err == nil {
				break
			}
			refused++
		}
	}
	if refused < tried/2 {
		t.Errorf("only %d of %d were refused", refused, tried)
	}
	t.Logf("%d times, %d refused", tried, refused)
}
