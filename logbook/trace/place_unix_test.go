//go:build unix

package trace_test

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"needlebook/logbook/exchange"
)

// caseFolding is a folder on a disk that takes two cases for one: a small vfat image, where this machine
// lets one be made and mounted.
func caseFolding(t *testing.T) string {
	dir := t.TempDir()
	image, mount := filepath.Join(dir, "image"), filepath.Join(dir, "mount")
	os.Mkdir(mount, 0o755)
	f, err := os.Create(image)
	if err != nil {
		t.Fatal(err)
	}
	f.Truncate(8 << 20)
	f.Close()
	for _, args := range [][]string{{"mkfs.vfat", image}, {"mount", "-o", "loop", image, mount}} {
		if out, err := exec.Command(args[0], args[1:]...).CombinedOutput(); err != nil {
			t.Skipf("M11 did not run: %s: %v %s", args[0], err, out)
		}
	}
	t.Cleanup(func() { exec.Command("umount", mount).Run() })
	return filepath.Join(mount, "book")
}

func TestMasks(t *testing.T) {
	for name, mask := range map[string]int{"M07 nobody else may read": 0o077, "M07 everybody may write": 0} {
		t.Run(name, func(t *testing.T) {
			old := syscall.Umask(mask)
			defer syscall.Umask(old)
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul("a", "1"))
			dir, ids := s.book(t)
			if _, err := exchange.Write(dir, exchange.Draft{Message: "more", Signer: key(ivanov), Author: exchange.Person{Name: ivanov, Email: "x", When: zero.Add(time.Hour)},
				Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", "2"))}}}); err != nil {
				t.Fatal(err)
			}
			if got := read(t, dir, ids); !got.Proved || len(got.Commits) != 3 {
				t.Error(got.Headline)
			}
			filepath.WalkDir(filepath.Join(dir, "overhauls"), func(p string, e fs.DirEntry, err error) error {
				if info, err := e.Info(); err != nil || int(info.Mode().Perm())&mask != 0 {
					t.Errorf("%s has mode %v (%v)", p, info.Mode(), err)
				}
				return nil
			})
		})
	}
}

// A book on a stick may be another account's. Git refuses to look at it; here it is read, because nothing
// in it can run.
func TestAnotherOwner(t *testing.T) {
	t.Run("M12 run as root in another's repository", func(t *testing.T) {
		if os.Getuid() != 0 {
			t.Skip("M12 did not run: only root can give a book away")
		}
		s := found(shore, berg, ivanov)
		s.by(ivanov, record, overhaul("a", "1"))
		dir, ids := s.book(t)
		mark := hostile(t, dir)
		filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error { return os.Lchown(p, 12345, 12345) })
		if got := read(t, dir, ids); !got.Proved {
			t.Error(got.Headline)
		}
		if _, err := os.Stat(mark); err == nil {
			t.Error("a program that the book names was run")
		}
	})
}
