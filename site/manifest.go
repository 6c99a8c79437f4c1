package site

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"needlebook/logbook/budget"
	"needlebook/site/address"
)

// outsideBooks refuses a folder that lies inside a book: pages are made from records and never stand among them.
func outsideBooks(out string) error {
	dir, err := filepath.Abs(out)
	if err != nil {
		return fmt.Errorf("could not find %q: %w", out, err)
	}
	for at := dir; ; at = filepath.Dir(at) {
		if real, err := filepath.EvalSymlinks(at); err == nil {
			if inside := bookAbove(real); inside != "" {
				return fmt.Errorf("could not use %q: %w, and %q is one", out, ErrInsideBook, inside)
			}
			return nil
		}
		if at == filepath.Dir(at) {
			return nil
		}
	}
}

func bookAbove(dir string) string {
	for at := dir; ; at = filepath.Dir(at) {
		text, err := budget.Read(filepath.Join(at, "book.md"), budget.MaxFile)
		if err == nil && bytes.Contains(append([]byte("\n"), text...), []byte("\nvessel:")) {
			return at
		}
		if at == filepath.Dir(at) {
			return ""
		}
	}
}

const shipsHead = "needlebook ships 1: the files below were written by the program and may be replaced or removed by it"

// manifests are what the first lines of our lists say of their folders.
var manifests = map[string]string{manifestHead: "the pages of one vessel", shipsHead: "the front page of several ships"}

// ours says that a folder is one of pages that this program wrote.
func ours(root *os.Root, name string) bool {
	info, err := root.Lstat(name + "/" + manifestFile)
	return err == nil && info.Mode().IsRegular() && info.Mode()&fs.ModeSymlink == 0
}

// manifest reads what a former build wrote; without one the folder must be empty.
func (f *folder) manifest() (map[string]bool, error) {
	text, err := budget.ReadIn(f.root, manifestFile, budget.MaxFile)
	if errors.Is(err, fs.ErrNotExist) {
		entries, err := fs.ReadDir(f.root.FS(), ".")
		if err != nil {
			return nil, fmt.Errorf("could not read the output folder: %w", err)
		}
		for _, e := range entries {
			if f.head == shipsHead && e.IsDir() && ours(f.root, e.Name()) {
				continue // the pages of a ship, built before the front page
			}
			return nil, fmt.Errorf("%w: %q in %q; name an empty folder, or one that this program made", ErrForeign, e.Name(),
				f.root.Name())
		}
		return map[string]bool{}, f.writeManifest(nil)
	}
	if err != nil {
		return nil, fmt.Errorf("could not read the list of our pages: %w", err)
	}
	lines := bufio.NewScanner(bytes.NewReader(text))
	if !lines.Scan() || lines.Text() != f.head {
		if what := manifests[lines.Text()]; what != "" {
			return nil, fmt.Errorf("%w: %q holds %s; name another folder", ErrForeign, f.root.Name(), what)
		}
		return nil, fmt.Errorf("%w: %q does not begin as ours do", ErrForeign, manifestFile)
	}
	ours := map[string]bool{}
	for lines.Scan() {
		if name := lines.Text(); address.Flat(name) { // a list that somebody changed must not make us remove other files
			ours[name] = true
		}
	}
	return ours, nil
}

func (f *folder) writeManifest(names map[string]bool) error {
	sorted := make([]string, 0, len(names))
	for name := range names {
		sorted = append(sorted, name)
	}
	slices.Sort(sorted)
	text := f.head + "\n" + strings.Join(sorted, "\n") + "\n"
	beside := manifestFile + "-new"
	if err := f.root.WriteFile(beside, []byte(text), 0o666); err != nil {
		return fmt.Errorf("could not write the list of our pages: %w", err)
	}
	if err := f.root.Rename(beside, manifestFile); err != nil {
		return fmt.Errorf("could not write the list of our pages: %w", err)
	}
	return nil
}
