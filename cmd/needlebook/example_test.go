package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	vessel "needlebook/example-vessel"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// writtenOnce is the example vessel with her history, written once for all tests, and the ids of her commits.
type writtenOnce struct {
	dir string
	ids []string
	err error
}

var example = sync.OnceValue(func() writtenOnce { return builtOf(vessel.History()) })

// young is the example vessel as a young book. What she held on one day, without the records of the years before, is
// its founding commit, and her own commits follow: a verb costs a fraction of what it does on the whole book.
var young = sync.OnceValue(func() writtenOnce { return builtOf(lately(example())) })

const (
	youngFrom  = "2024-04-02" // her commits from this day on
	youngHolds = "2023-04-01" // overhauls from this day on
)

func lately(whole writtenOnce) ([]exchange.Step, error) {
	if whole.err != nil {
		return nil, whole.err
	}
	steps, err := vessel.History()
	if err != nil {
		return nil, err
	}
	first := slices.IndexFunc(steps, func(s exchange.Step) bool { return s.Author.When.Format(time.DateOnly) >= youngFrom })
	book, err := trace.FS(filepath.Join(whole.dir, "book"), whole.ids[first-1])
	if err != nil {
		return nil, err
	}
	defer book.Close()
	founder := slices.IndexFunc(steps, func(s exchange.Step) bool { return strings.HasPrefix(s.Author.Email, "s.okonjo@") })
	founding := exchange.Step{Draft: steps[founder].Draft}
	founding.Author.When, founding.Message, founding.Changes = steps[first-1].Author.When, "the book is begun", nil
	dated := regexp.MustCompile(`^overhauls/.*/(\d{4}-\d\d-\d\d)-`)
	err = fs.WalkDir(book, ".", func(name string, e fs.DirEntry, err error) error {
		m := dated.FindStringSubmatch(name)
		bound := strings.HasPrefix(name, "countersigned/") || strings.HasPrefix(name, "reviews/") || name == "signers/adopted"
		if err != nil || e.IsDir() || bound || m != nil && m[1] < youngHolds {
			return err
		}
		text, err := fs.ReadFile(book, name)
		founding.Changes = append(founding.Changes, exchange.Change{Path: name, Text: text})
		return err
	})
	return append([]exchange.Step{founding}, steps[first:]...), err
}

func builtOf(steps []exchange.Step, err error) (b writtenOnce) {
	if err != nil {
		return writtenOnce{err: err}
	}
	if b.dir, b.err = os.MkdirTemp("", "needlebook-example-"); b.err == nil {
		b.ids, b.err = exchange.Build(filepath.Join(b.dir, "book"), steps)
	}
	made.Lock()
	defer made.Unlock()
	made.dirs = append(made.dirs, b.dir)
	return b
}

// made are the folders that were made, to be taken away when all tests have run.
var made struct {
	sync.Mutex
	dirs []string
}

// tests runs the tests, and takes away what they shared.
type tests struct{ m *testing.M }

func (t tests) Run() int {
	status := t.m.Run()
	made.Lock()
	defer made.Unlock()
	for _, dir := range made.dirs {
		os.RemoveAll(dir)
	}
	return status
}

// exampleBook writes a copy of the example vessel with her history into a new folder, and gives the ids of her commits.
func exampleBook(dir string) ([]string, error) { return copied(example(), dir) }

// youngBook is exampleBook for young.
func youngBook(dir string) ([]string, error) { return copied(young(), dir) }

func copied(b writtenOnce, dir string) ([]string, error) {
	if b.err != nil {
		return nil, b.err
	}
	return b.ids, os.CopyFS(dir, os.DirFS(filepath.Join(b.dir, "book")))
}
