package exchange_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/trace"
)

// The power goes at any operation: the book opens, and what was reported is there.
func TestPowerLoss(t *testing.T) {
	trial.Book(t)
	r := rand.New(rand.NewPCG(1, 2))
	rounds := 1
	if trial.Long {
		rounds = 8
	}
	tried := 0
	for i, w := range writings() {
		all, _ := operations(t, w)
		for _, n := range append(points(i+1, all), all+1) { // the last one comes after the report
			for range rounds {
				dir, tip, _ := trial.Book(t)
				p := trial.NewPlatter(dir)
				f := &trial.Faults{At: n}
				d := w.draft()
				if err := d.Check(); err != nil {
					t.Fatal(err)
				}
				book, err := exchange.OpenRepository(dir, func(root string) durable.Disk {
					return durable.Disk{Filesystem: trial.Faulty{Filesystem: trial.Spinning{Filesystem: osfs.New(root, osfs.WithBoundOS()), Below: root, P: p}, F: f}}
				})
				if err != nil {
					t.Fatal(err)
				}
				commit, err := book.Commit(&d)
				if n > all && err != nil {
					t.Fatal(err)
				}
				p.Lost(t, r)
				tried++
				whole(t, fmt.Sprintf("power lost at operation %d of %d", n, all), dir, tip, w, commit, err != nil)
			}
		}
	}
	t.Logf("%d times", tried)
}

// The image keeps what it must and loses what it may: else the test above shows nothing.
func TestPlatterForgets(t *testing.T) {
	for _, sync := range []bool{false, true} {
		seen := map[string]bool{}
		for seed := range uint64(40) {
			dir := trial.Scratch(t)
			os.WriteFile(filepath.Join(dir, "a"), []byte("old"), 0o666)
			p := trial.NewPlatter(dir)
			d := trial.Spinning{Filesystem: osfs.New(dir, osfs.WithBoundOS()), Below: dir, P: p}
			f, err := d.OpenFile("b", os.O_CREATE|os.O_WRONLY, 0o666)
			if err != nil {
				t.Fatal(err)
			}
			f.Write([]byte("newer"))
			if sync {
				f.(*trial.SpinningFile).Sync()
			}
			f.Close()
			d.Rename("b", "a")
			if sync {
				durable.Disk{Filesystem: d}.SyncDir(".")
			}
			p.Lost(t, rand.New(rand.NewPCG(seed, 1)))
			text, _ := os.ReadFile(filepath.Join(dir, "a"))
			seen[string(text)] = true
		}
		all := strings.Join(slices.Sorted(maps.Keys(seen)), "|")
		if sync && all != "newer" || !sync && (!seen["old"] || !seen["newer"] || len(seen) < 4) {
			t.Errorf("synced %v: found %q", sync, all)
		}
	}
}

// A text that git wrote before the power went, and that is torn since, does not keep the same text from
// being committed.
func TestTornObjectInTheWay(t *testing.T) {
	for name, left := range map[string]string{"empty": "", "garbage": "x\x9c?"} {
		dir, tip, d := trial.Book(t)
		w := writings()[0]
		hex := plumbing.ComputeHash(plumbing.BlobObject, []byte(w.files[0].after)).String()
		file := filepath.Join(dir, ".git/objects", hex[:2], hex[2:])
		os.MkdirAll(filepath.Dir(file), 0o777)
		if err := os.WriteFile(file, []byte(left), 0o444); err != nil {
			t.Fatal(err)
		}
		commit, err := exchange.Write(dir, d)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		whole(t, name, dir, tip, w, commit, false)
	}
}

// A new book is all there or not at all, wherever the program ends or an error comes.
func TestBuildAtEveryOperation(t *testing.T) {
	steps := []exchange.Step{{Draft: trial.Draft(0, exchange.Change{Path: trial.Path1, Text: []byte("old text\n")}, exchange.Change{Path: trial.Path3, Text: []byte("third\n")})}, {Draft: trial.Draft(1, exchange.Change{Path: trial.Path2, Text: []byte("part\n")})}}
	at := func(f *trial.Faults) (dir string, ids []string, err error) {
		dir = filepath.Join(trial.Scratch(t), "book")
		ids, err = exchange.BuildOn(dir, steps, func(root string) durable.Disk {
			return durable.Disk{Filesystem: trial.Faulty{Filesystem: osfs.New(root, osfs.WithBoundOS()), F: f}}
		})
		return dir, ids, err
	}
	var f trial.Faults
	if _, _, err := at(&f); err != nil {
		t.Fatal(err)
	}
	for n := int64(1); n <= f.Count; n++ {
		for what, f := range map[string]*trial.Faults{"no room": {At: n, Err: syscall.ENOSPC}, "the end": {At: n}, "the end in a write": {At: n, Torn: true}, "the end behind it": {At: n, After: true}} {
			dir, ids, err := at(f)
			if left, readErr := os.ReadDir(dir); readErr != nil || len(left) == 0 {
				if err == nil {
					t.Errorf("%s at operation %d: told %v, but nothing is there", what, n, ids)
				}
				continue
			}
			tree, err := trace.FS(dir, "")
			if err != nil {
				t.Errorf("%s at operation %d: %v", what, n, err)
				continue
			}
			for path, want := range map[string]string{trial.Path1: "old text\n", trial.Path2: "part\n", trial.Path3: "third\n"} {
				there, _ := os.ReadFile(filepath.Join(dir, path))
				if got, err := tree.ReadFile(path); err != nil || string(got) != want || string(there) != want {
					t.Errorf("%s at operation %d: %s holds %q, in the folder %q: %v", what, n, path, got, there, err)
				}
			}
			tree.Close()
		}
	}
}

// watched looks at a disk when a folder is moved into place.
type watched struct {
	unsynced
	moved func(from string)
}

func (d watched) Rename(a, b string) error {
	d.moved(d.key(a))
	return d.unsynced.Rename(a, b)
}

// When a new book is moved into place, all of it lies on the disk: a power cut finds it whole or not at all.
func TestBuildIsSyncedBeforeItIsMoved(t *testing.T) {
	dirty, moves := map[string]bool{}, 0
	steps := []exchange.Step{{Draft: trial.Draft(0, exchange.Change{Path: trial.Path1, Text: []byte("old text\n")})}}
	_, err := exchange.BuildOn(filepath.Join(trial.Scratch(t), "book"), steps, func(root string) durable.Disk {
		return durable.Disk{Filesystem: watched{unsynced{osfs.New(root, osfs.WithBoundOS()), root, dirty}, func(from string) {
			moves++
			for name := range dirty {
				if strings.HasPrefix(name, from+"/") {
					t.Errorf("not synced when it was moved: %s", name)
				}
			}
		}}}
	})
	if err != nil || moves != 1 {
		t.Errorf("%d moves: %v", moves, err)
	}
	for name := range dirty {
		if _, err := os.Lstat(strings.TrimSuffix(name, "/")); err == nil {
			t.Errorf("not synced: %s", name)
		}
	}
}
