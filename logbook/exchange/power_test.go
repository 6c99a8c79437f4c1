package exchange

import (
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/trace"
)

// A platter is a disk at the end of power. It knows two images: what was synced, and what the program saw.
// A file's bytes last from its own sync on, its name from the sync of its folder on; whatever was not
// synced may be there afterwards, or not, or in part.
type platter struct {
	now, safe map[string]*content // files by their full names, as the program sees them and as they would be found
}

// content is a file apart from its name.
type content struct{ safe []byte }

func newPlatter(root string) *platter {
	p := &platter{now: map[string]*content{}, safe: map[string]*content{}}
	filepath.WalkDir(root, func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			text, _ := os.ReadFile(name)
			p.now[name] = &content{text}
			p.safe[name] = p.now[name]
		}
		return err
	})
	return p
}

// lost brings the folder to what a disk could hold after the power went: for each name one of its two
// images, for each text that was not synced a part of it.
func (p *platter) lost(t *testing.T, r *rand.Rand) {
	t.Helper()
	texts := map[*content][]byte{} // as the program saw them
	for name, c := range p.now {
		if text, err := os.ReadFile(name); err == nil {
			texts[c] = text
		}
	}
	names := map[string]bool{}
	for n := range p.now {
		names[n] = true
	}
	for n := range p.safe {
		names[n] = true
	}
	kept := map[*content][]byte{}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		c := p.safe[name]
		if p.now[name] != c && r.IntN(2) == 0 {
			c = p.now[name]
		}
		os.Remove(name)
		if c == nil {
			continue
		}
		text, done := kept[c]
		if !done {
			text = c.safe
			if seen := texts[c]; string(seen) != string(c.safe) {
				switch r.IntN(4) {
				case 0:
					text = seen
				case 1:
					text = seen[:r.IntN(len(seen)+1)]
				case 2:
					text = make([]byte, len(seen)) // the length was noted, the bytes never came
				}
			}
			kept[c] = text
		}
		os.MkdirAll(filepath.Dir(name), 0o777)
		if err := os.WriteFile(name, text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// spinning is the file system over a platter.
type spinning struct {
	billy.Filesystem
	root string
	p    *platter
}

func (d spinning) full(name string) string {
	if !filepath.IsAbs(name) {
		name = filepath.Join(d.root, name)
	}
	return filepath.Clean(name)
}

func (d spinning) opened(f billy.File, err error) (billy.File, error) {
	if err != nil {
		return nil, err
	}
	return &spinningFile{f, d, d.full(f.Name())}, nil
}

func (d spinning) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	f, err := d.Filesystem.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	full := d.full(name)
	if flag&os.O_CREATE != 0 && d.p.now[full] == nil {
		d.p.now[full] = &content{}
	}
	return &spinningFile{f, d, full}, nil
}

func (d spinning) Open(name string) (billy.File, error) { return d.OpenFile(name, os.O_RDONLY, 0) }

func (d spinning) TempFile(dir, prefix string) (billy.File, error) {
	f, err := d.opened(d.Filesystem.TempFile(dir, prefix))
	if err == nil {
		d.p.now[f.(*spinningFile).full] = &content{}
	}
	return f, err
}

func (d spinning) Rename(a, b string) error {
	err := d.Filesystem.Rename(a, b)
	if err == nil {
		d.p.now[d.full(b)] = d.p.now[d.full(a)]
		delete(d.p.now, d.full(a))
	}
	return err
}

func (d spinning) Remove(a string) error {
	err := d.Filesystem.Remove(a)
	if err == nil {
		delete(d.p.now, d.full(a))
	}
	return err
}

type spinningFile struct {
	billy.File
	d    spinning
	full string
}

// Sync makes a file's bytes last, or the names in a folder.
func (f *spinningFile) Sync() error {
	info, err := os.Stat(f.full)
	if err != nil {
		return err
	}
	p := f.d.p
	if !info.IsDir() {
		c := p.now[f.full]
		c.safe, err = os.ReadFile(f.full)
		return err
	}
	inside := func(name string) bool { return filepath.Dir(name) == f.full }
	maps.DeleteFunc(p.safe, func(name string, _ *content) bool { return inside(name) })
	for name, c := range p.now {
		if inside(name) {
			p.safe[name] = c
		}
	}
	return nil
}

// The power goes at any operation: the book opens, and what was reported is there.
func TestPowerLoss(t *testing.T) {
	testBook(t)
	r := rand.New(rand.NewPCG(1, 2))
	rounds := 1
	if long {
		rounds = 8
	}
	tried := 0
	for i, w := range writings() {
		all, _ := operations(t, w)
		for _, n := range append(points(i+1, all), all+1) { // the last one comes after the report
			for range rounds {
				dir, tip, _ := testBook(t)
				p := newPlatter(dir)
				f := &faults{at: n}
				d := w.draft()
				if err := d.check(); err != nil {
					t.Fatal(err)
				}
				book, err := openRepository(dir, func(root string) durable {
					return durable{faulty{spinning{osfs.New(root, osfs.WithBoundOS()), root, p}, f}}
				})
				if err != nil {
					t.Fatal(err)
				}
				commit, err := book.commit(&d)
				if n > all && err != nil {
					t.Fatal(err)
				}
				p.lost(t, r)
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
			dir := scratch(t)
			os.WriteFile(filepath.Join(dir, "a"), []byte("old"), 0o666)
			p := newPlatter(dir)
			d := spinning{osfs.New(dir, osfs.WithBoundOS()), dir, p}
			f, err := d.OpenFile("b", os.O_CREATE|os.O_WRONLY, 0o666)
			if err != nil {
				t.Fatal(err)
			}
			f.Write([]byte("newer"))
			if sync {
				f.(*spinningFile).Sync()
			}
			f.Close()
			d.Rename("b", "a")
			if sync {
				durable{d}.syncDir(".")
			}
			p.lost(t, rand.New(rand.NewPCG(seed, 1)))
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
		dir, tip, d := testBook(t)
		w := writings()[0]
		hex := plumbing.ComputeHash(plumbing.BlobObject, []byte(w.files[0].after)).String()
		file := filepath.Join(dir, ".git/objects", hex[:2], hex[2:])
		os.MkdirAll(filepath.Dir(file), 0o777)
		if err := os.WriteFile(file, []byte(left), 0o444); err != nil {
			t.Fatal(err)
		}
		commit, err := Write(dir, d)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		whole(t, name, dir, tip, w, commit, false)
	}
}

// A new book is all there or not at all, wherever the program ends or an error comes.
func TestBuildAtEveryOperation(t *testing.T) {
	steps := []Step{{Draft: draft(0, Change{Path: path1, Text: []byte("old text\n")}, Change{Path: path3, Text: []byte("third\n")})}, {Draft: draft(1, Change{Path: path2, Text: []byte("part\n")})}}
	at := func(f *faults) (dir string, ids []string, err error) {
		dir = filepath.Join(scratch(t), "book")
		ids, err = build(dir, steps, func(root string) durable { return durable{faulty{osfs.New(root, osfs.WithBoundOS()), f}} })
		return dir, ids, err
	}
	var f faults
	if _, _, err := at(&f); err != nil {
		t.Fatal(err)
	}
	for n := int64(1); n <= f.count; n++ {
		for what, f := range map[string]*faults{"no room": {at: n, err: syscall.ENOSPC}, "the end": {at: n}, "the end in a write": {at: n, torn: true}, "the end behind it": {at: n, after: true}} {
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
			for path, want := range map[string]string{path1: "old text\n", path2: "part\n", path3: "third\n"} {
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
	steps := []Step{{Draft: draft(0, Change{Path: path1, Text: []byte("old text\n")})}}
	_, err := build(filepath.Join(scratch(t), "book"), steps, func(root string) durable {
		return durable{watched{unsynced{osfs.New(root, osfs.WithBoundOS()), root, dirty}, func(from string) {
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
