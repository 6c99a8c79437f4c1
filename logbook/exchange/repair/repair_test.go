package repair_test

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/go-git/go-billy/v5/osfs"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

// Each row breaks one thing in a book of two commits with an edited file; mend names it, its repair leaves a repository that git finds
// nothing wrong with, on the same tip, and the edit untouched. Looking alone changes nothing.
func TestRepair(t *testing.T) {
	git, err := exec.LookPath("git")
	if err != nil && os.Getenv("NEEDLEBOOK_WIDER") != "" {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		harm func(dir string) error
		path string // of the trouble
		says string
		left bool // only a signer can decide it
	}{
		{"nothing", func(string) error { return nil }, "", "", false},
		{"a lock of the index", leave(".git/index.lock", "half"), ".git/index.lock", "a lock", false},
		{"a lock of the branch", leave(".git/refs/heads/main.lock", ""), ".git/refs/heads/main.lock", "a lock", false},
		{"a record on its way", leave("overhauls/a.md.lock", "half"), "overhauls/a.md.lock", "on its way into overhauls/a.md", false},
		{"a record half written", leave("overhauls/.needlebook-2815160761", "half"), "overhauls/.needlebook-2815160761", "the same command writes it again", false},
		{"a text of a sync", leave("overhauls/.a.md.coming", "half"), "overhauls/.a.md.coming", "the next sync brings it again", false},
		{"half an object", leave(".git/objects/pack/tmp_pack_x", "half"), ".git/objects/pack/tmp_pack_x", "half written", false},
		{"an empty branch", leave(".git/refs/heads/main", ""), ".git/refs/heads/main", "stands on no commit", false},
		{"a branch of garbage", leave(".git/refs/heads/main", strings.Repeat("\x00", 41)), ".git/refs/heads/main", "stands on no commit", false},
		{"a branch on a missing commit", leave(".git/refs/heads/main", strings.Repeat("ab", 20)+"\n"), ".git/refs/heads/main", "stands on no commit", false},
		{"no branch", func(dir string) error { return os.Remove(filepath.Join(dir, ".git/refs/heads/main")) }, ".git/refs/heads/main", "stands on no commit", false},
		{"an empty HEAD", leave(".git/HEAD", ""), ".git/HEAD", "instead of a branch", false},
		{"no HEAD", func(dir string) error { return os.Remove(filepath.Join(dir, ".git/HEAD")) }, ".git/HEAD", "HEAD is missing", false},
		{"a cut index", leave(".git/index", "DIRC"), ".git/index", "cannot be read", false},
		{"no index", func(dir string) error { return os.Remove(filepath.Join(dir, ".git/index")) }, ".git/index", "is missing", false},
		{"a merge begun", leave(".git/MERGE_HEAD", strings.Repeat("ab", 20)+"\n"), ".git/MERGE_HEAD", "waits to be finished", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "book")
			tip := mendable(t, dir)
			if err := c.harm(dir); err != nil {
				t.Fatal(err)
			}
			before := everything(t, dir)
			found, err := repair.Troubles(dir)
			if err != nil {
				t.Fatal(err)
			}
			if after := everything(t, dir); after != before {
				t.Error("looking changed something")
			}
			if c.path == "" {
				if len(found) != 0 {
					t.Errorf("found %v", found)
				}
				return
			}
			if len(found) != 1 || found[0].Path != c.path || !strings.Contains(found[0].What, c.says) || (found[0].Remedy == "") != c.left {
				t.Fatalf("found %+v, want %s: %s", found, c.path, c.says)
			}
			if c.left {
				if found[0].Repair() == nil {
					t.Error("what only a signer can decide was repaired")
				}
				return
			}
			if err := found[0].Repair(); err != nil {
				t.Fatal(err)
			}
			if again, err := repair.Troubles(dir); err != nil || len(again) != 0 {
				t.Errorf("after the repair: %v, %v", again, err)
			}
			s, err := trace.OpenStore(dir)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if now, branch, err := s.Head(); err != nil || now.String() != tip || branch != "main" {
				t.Errorf("it stands on %s, %s, %v; want %s", now, branch, err, tip)
			}
			if text, err := os.ReadFile(filepath.Join(dir, "overhauls/b.md")); err != nil || string(text) != "edited\n" {
				t.Errorf("the edited record holds %q, %v", text, err)
			}
			if git != "" {
				for _, a := range [][]string{{"fsck", "--strict", "--full", "--no-dangling"}, {"status", "--porcelain"}} {
					out, err := exec.Command(git, append([]string{"-C", dir}, a...)...).CombinedOutput()
					want := map[string]string{"fsck": "", "status": " M overhauls/b.md\n"}[a[0]]
					if err != nil || string(out) != want {
						t.Errorf("git %s: %v: %q, want %q", a[0], err, out, want)
					}
				}
			}
		})
	}
}

// A commit that was cut short between the index and the branch is named, and is unmarked without a word of the record lost; the age
// of what was left behind is told.
func TestRepairCutCommit(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	tip := mendable(t, dir)
	if _, err := exchange.Write(dir, sampleDraft("overhauls/c.md", "three\n")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, ".git/refs/heads/main"), []byte(tip+"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	old := time.Now().Add(-72 * time.Hour).Truncate(time.Second)
	if err := os.Chtimes(filepath.Join(dir, ".git/index"), old, old); err != nil {
		t.Fatal(err)
	}
	found, err := repair.Troubles(dir)
	if err != nil || len(found) != 1 || !strings.Contains(found[0].What, "cut short: overhauls/c.md") || !found[0].Since.Equal(old) {
		t.Fatalf("%+v, %v", found, err)
	}
	if err := found[0].Repair(); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "overhauls/c.md")); err != nil || string(text) != "three\n" {
		t.Errorf("the record holds %q, %v", text, err)
	}
	if _, err := exchange.Write(dir, sampleDraft("overhauls/c.md", "three\n")); err != nil {
		t.Errorf("it cannot be committed again: %v", err)
	}
}

func sampleDraft(path, text string) exchange.Draft {
	return exchange.Draft{Author: exchange.Person{Name: "N", Email: "n@ship", When: time.Unix(1700000000, 0).UTC()}, Message: "step", Changes: []exchange.Change{{Path: path, Text: []byte(text)}}}
}

// mendable writes a book of two commits, one record of which is edited and not committed, and returns its tip.
// What git alone can finish is said to be git's, and an index in a form of git's that is not read here is not called broken: nothing
// of either is offered for repair or for settling.
func TestGitsOwnIsLeftToGit(t *testing.T) {
	git, err := exec.LookPath("git")
	if err != nil {
		t.Skip("no git")
	}
	dir := filepath.Join(t.TempDir(), "book")
	tip := mendable(t, dir)
	for file, wait := range map[string]string{"CHERRY_PICK_HEAD": "a cherry-pick", "REVERT_HEAD": "a revert", "rebase-merge": "a rebase"} {
		if err := leave(".git/"+file, tip+"\n")(dir); err != nil {
			t.Fatal(err)
		}
		if _, err := exchange.Write(dir, sampleDraft("overhauls/c.md", "three\n")); !errors.Is(err, exchange.ErrByGit) || !strings.Contains(err.Error(), wait) {
			t.Errorf("%s: %v", file, err)
		}
		os.Remove(filepath.Join(dir, ".git", file))
	}
	if err := errors.Join(leave(".git/rebase-merge", "")(dir), leave(".git/HEAD", tip+"\n")(dir)); err != nil {
		t.Fatal(err)
	}
	if _, err := exchange.Write(dir, sampleDraft("overhauls/c.md", "three\n")); !errors.Is(err, exchange.ErrByGit) {
		t.Errorf("with HEAD on no branch while git rebases: %v", err)
	}
	os.Remove(filepath.Join(dir, ".git/rebase-merge"))
	if err := leave(".git/HEAD", "ref: refs/heads/main\n")(dir); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(git, "-C", dir, "update-index", "--split-index").CombinedOutput(); err != nil {
		t.Fatalf("%s", out)
	}
	if _, err := exchange.Write(dir, sampleDraft("overhauls/c.md", "three\n")); !errors.Is(err, exchange.ErrIndexForm) {
		t.Errorf("a split index: %v", err)
	}
	if found, err := repair.Troubles(dir); err != nil || len(found) != 1 || found[0].Remedy != "" || !strings.Contains(found[0].What, "split") {
		t.Errorf("a split index: %+v, %v", found, err)
	}
}

func mendable(t *testing.T, dir string) string {
	t.Helper()
	if _, err := exchange.Build(dir, []exchange.Step{{Draft: sampleDraft("overhauls/a.md", "one\n")}}); err != nil {
		t.Fatal(err)
	}
	tip, err := exchange.Write(dir, sampleDraft("overhauls/b.md", "two\n"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "overhauls/b.md"), []byte("edited\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	return tip
}

func leave(name, text string) func(string) error {
	return func(dir string) error {
		file := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			return err
		}
		return os.WriteFile(file, []byte(text), 0o666)
	}
}

// everything is the content of a folder as one text.
func everything(t *testing.T, dir string) string {
	t.Helper()
	var all bytes.Buffer
	err := filepath.WalkDir(dir, func(p string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(p)
		all.WriteString(p + "\n" + string(text) + "\n")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all.String()
}

// Packs that lost their index, or their other half, and damaged copies: each is named, and the repair leaves a repository that git finds
// nothing wrong with, on the same tip.
func TestRepairPacks(t *testing.T) {
	pack := func(dir, ext string) string {
		all, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/pack-*"+ext))
		return all[0]
	}
	beside := func(dir, ext string, change func([]byte) []byte) error {
		text, err := os.ReadFile(pack(dir, ext))
		return errors.Join(err, os.WriteFile(filepath.Join(dir, ".git/objects/pack/pack-"+strings.Repeat("ab", 20)+ext), change(text), 0o444))
	}
	for _, c := range []struct {
		name string
		harm func(dir, tip string) error
		says string
	}{
		{"no index", func(dir, _ string) error { return os.Remove(pack(dir, ".idx")) }, "without its index"},
		{"half a pack", func(dir, _ string) error {
			return beside(dir, ".pack", func(b []byte) []byte { return b[:len(b)/2] })
		}, "cut short"},
		{"a pack of another name", func(dir, _ string) error { return beside(dir, ".pack", bytes.Clone) }, "cut short"},
		{"an index alone", func(dir, _ string) error { return beside(dir, ".idx", bytes.Clone) }, "a pack that is missing"},
		{"what was coming", func(dir, _ string) error { return leave(".git/needlebook/coming-999999999-1/pack", "half")(dir) }, "was coming"},
		{"a damaged copy", func(dir, tip string) error {
			trial.Run(t, dir, "repack", "-a", "-d", "-q")
			return leave(".git/objects/"+tip[:2]+"/"+tip[2:], "half")(dir)
		}, "a damaged copy"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "book")
			tip := mendable(t, dir)
			if err := c.harm(dir, tip); err != nil {
				t.Fatal(err)
			}
			before := everything(t, dir)
			found, err := repair.Troubles(dir)
			if err != nil || len(found) != 1 || !strings.Contains(found[0].What, c.says) {
				t.Fatalf("found %+v (%v), want %s", found, err, c.says)
			}
			if after := everything(t, dir); after != before {
				t.Error("looking changed something")
			}
			if err := found[0].Repair(); err != nil {
				t.Fatal(err)
			}
			if again, err := repair.Troubles(dir); err != nil || len(again) != 0 {
				t.Errorf("after the repair: %v, %v", again, err)
			}
			if now := trial.Head(t, dir); now != tip {
				t.Errorf("it stands on %s, want %s", now, tip)
			}
			if out, err := trial.TryGit(t, dir, "fsck", "--strict", "--full", "--no-dangling"); err != nil || out != "" {
				t.Errorf("git fsck: %v: %s", err, out)
			}
		})
	}
}

// What the disk does not give is no trouble that a repair may write over: a sound book, looked over while any one read fails, gives an
// error or nothing to mend; and a pack that waits for its index is not called cut short.
func TestRepairTakesNothingUnreadForBroken(t *testing.T) {
	dir := filepath.Join(trial.Scratch(t), "book")
	mendable(t, dir)
	look := func(f *trial.Faults) ([]repair.Trouble, error) {
		return repair.TroublesOn(dir, func(dir string) durable.Disk {
			return durable.Disk{Filesystem: trial.Faulty{Filesystem: osfs.New(dir, osfs.WithBoundOS()), F: f}}
		})
	}
	for _, half := range []bool{false, true} {
		if half {
			list, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*.idx"))
			if len(list) != 1 {
				t.Fatal(list)
			}
			os.Remove(list[0])
		}
		clean := &trial.Faults{Reads: true}
		before, err := look(clean)
		if err != nil || half != (len(before) == 1) || clean.Count < 8 {
			t.Fatal(before, err, clean.Count)
		}
		for n := int64(1); n <= clean.Count; n++ {
			found, err := look(&trial.Faults{At: n, Err: syscall.EIO, Reads: true})
			if err == nil && len(found) != len(before) || half && len(found) == 1 && found[0].Remedy != before[0].Remedy || !half && len(found) > 0 {
				t.Errorf("read %d of %d fails: %v, %v", n, clean.Count, found, err)
			}
		}
	}
}
