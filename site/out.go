package site

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"sync"

	"needlebook/site/address"
	"needlebook/site/fleet"
)

// The two names of ours in an output folder that are no pages.
const (
	manifestFile = ".needlebook-pages"
	stagingDir   = ".needlebook-new"
)

const manifestHead = "needlebook pages 1: the files below were written by the program and may be replaced or " +
	"removed by it"

// ErrForeign says that the output folder holds what this program did not write; ErrInsideBook that it lies inside a
// book.
var (
	ErrForeign    = errors.New("the folder holds files that are not pages of ours")
	ErrInsideBook = errors.New("pages never go inside a book")
)

// folder is the output folder. Whatever is written goes through an [os.Root], so that no name and no link leads out
// of it. New texts are kept beside the old ones until all are written: a build that breaks off leaves the old pages
// as they were.
type folder struct {
	root  *os.Root
	head  string          // first line of the manifest: what kind of pages it lists
	new   *os.Root        // the staging folder
	ours  map[string]bool // listed by the manifest of a former build
	mu    sync.Mutex
	now   map[string]bool // names of this build
	fresh []string        // names whose new text stands in the staging folder
}

func openFolder(out string) (*folder, error) { return openFor(out, manifestHead) }

// openFor opens the output folder for the pages of one vessel, or for the front page of several.
func openFor(out, head string) (*folder, error) {
	if err := outsideBooks(out); err != nil {
		return nil, err
	}
	if info, err := os.Lstat(out); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return nil, fmt.Errorf("could not use %q: it is a link; name the folder itself", out)
	}
	if err := os.MkdirAll(out, 0o777); err != nil {
		return nil, fmt.Errorf("could not make the output folder: %w", err)
	}
	root, err := os.OpenRoot(out)
	if err != nil {
		return nil, fmt.Errorf("could not open the output folder: %w", err)
	}
	f := &folder{root: root, head: head, now: map[string]bool{}}
	if f.ours, err = f.manifest(); err == nil {
		err = f.prepare()
	}
	if err != nil {
		root.Close()
		return nil, err
	}
	return f, nil
}

func (f *folder) prepare() error {
	if err := f.root.RemoveAll(stagingDir); err != nil {
		return fmt.Errorf("could not clear what a broken build left: %w", err)
	}
	if err := f.root.Mkdir(stagingDir, 0o777); err != nil {
		return fmt.Errorf("could not make room for the new pages: %w", err)
	}
	var err error
	if f.new, err = f.root.OpenRoot(stagingDir); err != nil {
		return fmt.Errorf("could not make room for the new pages: %w", err)
	}
	return nil
}

// put takes one file into the build. What stands there with the same bytes is left alone.
func (f *folder) put(name string, data []byte) error {
	return f.write(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// write takes one file into the build as it is written. What stands there with the same bytes is left alone, and no
// more than a part of either is held. Of a file that breaks off nothing is left.
func (f *folder) write(name string, write func(io.Writer) error) error {
	if !address.Flat(name) {
		panic("site: file name " + name + " is not one of ours")
	}
	f.mu.Lock()
	twice, known := f.now[name], f.ours[name]
	f.mu.Unlock()
	if twice {
		panic("site: file name " + name + " given twice")
	}
	in := &incoming{folder: f, name: name}
	defer in.drop()
	if known {
		in.openOld()
	}
	if err := errors.Join(write(in), in.end()); err != nil {
		return fmt.Errorf("could not write page %q: %w", name, err)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.now[name] = true
	if in.fresh {
		f.fresh = append(f.fresh, name)
	}
	return nil
}

// has says that this build has a file of that name.
func (f *folder) has(name string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.now[name]
}

// keep takes over a file of a former build as it stands; it reports whether there is one.
func (f *folder) keep(name string) bool {
	info, err := f.root.Lstat(name)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.ours[name] {
		return false
	}
	f.now[name] = true
	return true
}

// order sorts the new texts into the order in which they come to stand: pages that are new, those that changed, and
// the front page last. However far a build comes, no page leads to one that is not there, and the front page never
// tells of what does not stand yet.
func (f *folder) order() {
	rank := func(name string) int {
		switch {
		case name == string(address.Vessel):
			return 3
		case name == fleet.File:
			return 2
		case f.ours[name]:
			return 1
		}
		return 0
	}
	slices.SortFunc(f.fresh, func(a, b string) int { return cmp.Or(rank(a)-rank(b), cmp.Compare(a, b)) })
}

// finish moves the new texts to their places and removes the pages of the former build that no longer belong.
func (f *folder) finish() (written, removed int, err error) {
	f.order()
	for _, name := range f.fresh {
		if !f.ours[name] {
			if _, err := f.root.Lstat(name); err == nil {
				return 0, 0, fmt.Errorf("%w: %q is where a page of that name must be", ErrForeign, name)
			}
		}
	}
	both := map[string]bool{}
	for _, m := range []map[string]bool{f.ours, f.now} {
		for name := range m {
			both[name] = true
		}
	}
	if err := f.writeManifest(both); err != nil { // first, so that a break leaves no page of ours unlisted
		return 0, 0, err
	}
	for _, name := range f.fresh {
		if err := f.root.Rename(stagingDir+"/"+name, name); err != nil {
			return written, 0, fmt.Errorf("could not put page %q in its place: %w", name, err)
		}
		written++
	}
	for name := range f.ours {
		if f.now[name] {
			continue
		}
		if err := f.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return written, removed, fmt.Errorf("could not remove the old page %q: %w", name, err)
		}
		removed++
	}
	if err := f.root.RemoveAll(stagingDir); err != nil {
		return written, removed, fmt.Errorf("could not clear up: %w", err)
	}
	return written, removed, f.writeManifest(f.now)
}

// close leaves nothing of a build that broke off; what cannot be cleared now, the next build clears, or says so.
func (f *folder) close() {
	f.new.Close()
	f.root.RemoveAll(stagingDir)
	f.root.Close()
}
