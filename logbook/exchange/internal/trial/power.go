package trial

import (
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/go-git/go-billy/v5"
)

// A platter is a disk at the end of power. It knows two images: what was synced, and what the program saw.
// A file's bytes last from its own sync on, its name from the sync of its folder on; whatever was not
// synced may be there afterwards, or not, or in part.
type platter struct {
	now, safe map[string]*content // files by their full names, as the program sees them and as they would be found
}

// content is a file apart from its name.
type content struct{ safe []byte }

func NewPlatter(root string) *platter {
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

// Lost brings the folder to what a disk could hold after the power went: for each name one of its two
// images, for each text that was not synced a part of it.
func (p *platter) Lost(t *testing.T, r *rand.Rand) {
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
			// what was replaced, and is found again, is as it was synced
			if seen, there := texts[c]; there && string(seen) != string(c.safe) {
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

// Spinning is the file system over a platter.
type Spinning struct {
	billy.Filesystem
	Below string
	P     *platter
}

func (d Spinning) full(name string) string {
	if !filepath.IsAbs(name) {
		name = filepath.Join(d.Below, name)
	}
	return filepath.Clean(name)
}

func (d Spinning) opened(f billy.File, err error) (billy.File, error) {
	if err != nil {
		return nil, err
	}
	return &SpinningFile{f, d, d.full(f.Name())}, nil
}

func (d Spinning) OpenFile(name string, flag int, perm fs.FileMode) (billy.File, error) {
	f, err := d.Filesystem.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	full := d.full(name)
	if flag&os.O_CREATE != 0 && d.P.now[full] == nil {
		d.P.now[full] = &content{}
	}
	return &SpinningFile{f, d, full}, nil
}

func (d Spinning) Open(name string) (billy.File, error) { return d.OpenFile(name, os.O_RDONLY, 0) }

func (d Spinning) TempFile(dir, prefix string) (billy.File, error) {
	f, err := d.opened(d.Filesystem.TempFile(dir, prefix))
	if err == nil {
		d.P.now[f.(*SpinningFile).full] = &content{}
	}
	return f, err
}

func (d Spinning) Rename(a, b string) error {
	err := d.Filesystem.Rename(a, b)
	if err == nil {
		d.P.now[d.full(b)] = d.P.now[d.full(a)]
		delete(d.P.now, d.full(a))
	}
	return err
}

func (d Spinning) Remove(a string) error {
	err := d.Filesystem.Remove(a)
	if err == nil {
		delete(d.P.now, d.full(a))
	}
	return err
}

type SpinningFile struct {
	billy.File
	d    Spinning
	full string
}

// Sync makes a file's bytes last, or the names in a folder.
func (f *SpinningFile) Sync() error {
	info, err := os.Stat(f.full)
	if err != nil {
		return err
	}
	p := f.d.P
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
