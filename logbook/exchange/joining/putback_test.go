package joining_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
)

var errFull = errors.New("no room for it")

// stubborn is a disk that does not let one file be put in its place.
type stubborn struct {
	billy.Filesystem
	name string
}

func (d stubborn) Rename(from, to string) error {
	if to == d.name {
		return errFull
	}
	return d.Filesystem.Rename(from, to)
}

// Where one file of several cannot be put in its place, those that were are put back: changed ones hold their former text, new ones are
// gone, and nothing is left beside them.
func TestFilesArePutBack(t *testing.T) {
	changed := trial.Set("hours/me1.csv", "date,counter_h,note\n2024-01-01,1000,\n", "parts/n-0.md", "new\n", "parts/n-1.md", "changed\n")
	dir, ids := trial.MeetingBook(t, trial.Side([]int{0}, changed...), trial.Side([]int{0}, trial.Set("parts/n-2.md", "ours\n")...))
	was := files(t, dir)
	for _, last := range []string{"parts/n-1.md", "parts/n-0.md", "hours/me1.csv"} {
		r, err := exchange.OpenRepository(dir, func(dir string) durable.Disk {
			return durable.Disk{Filesystem: stubborn{osfs.New(dir, osfs.WithBoundOS()), last}}
		})
		if err != nil {
			t.Fatal(err)
		}
		d := exchange.Draft{Author: trial.Draft(9).Author, Message: "merge", Signer: trial.Key}
		if _, err := joining.TakeInOn(t.Context(), r, plumbing.NewHash(ids[1]), &d, trial.AnyPath); !errors.Is(err, errFull) {
			t.Fatalf("%s: %v, want %v", last, err, errFull)
		}
		if is := files(t, dir); len(is) != len(was) {
			t.Errorf("%s: %d files, were %d: %v", last, len(is), len(was), is)
		} else {
			for name, text := range was {
				if is[name] != text {
					t.Errorf("%s: %s holds %q, was %q", last, name, is[name], text)
				}
			}
		}
	}
}

// files are the texts of a folder, without what is git's.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, pattern := range []string{"*/*", "*/.*", "overhauls/*/*/*"} {
		names, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			rel, _ := filepath.Rel(dir, name)
			if info, err := os.Stat(name); err != nil || info.IsDir() || filepath.Dir(rel) == ".git" {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			all[filepath.ToSlash(rel)] = string(text)
		}
	}
	return all
}
