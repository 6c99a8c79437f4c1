package main

import (
	"os"
	"path/filepath"
	"sync"
	"testing"

	vessel "needlebook/example-vessel"
	"needlebook/logbook/exchange"
)

// writtenOnce is the example vessel with her history, written once for all tests, and the ids of her commits.
type writtenOnce struct {
	dir string
	ids []string
	err error
}

var example = sync.OnceValue(func() (b writtenOnce) {
	steps, err := vessel.History()
	if err != nil {
		return writtenOnce{err: err}
	}
	if b.dir, b.err = os.MkdirTemp("", "needlebook-example-"); b.err == nil {
		b.ids, b.err = exchange.Build(filepath.Join(b.dir, "book"), steps)
	}
	made.Lock()
	defer made.Unlock()
	made.dir = b.dir
	return b
})

// made is the folder that example has made, to be taken away when all tests have run.
var made struct {
	sync.Mutex
	dir string
}

// tests runs the tests, and takes away what they shared.
type tests struct{ m *testing.M }

func (t tests) Run() int {
	status := t.m.Run()
	made.Lock()
	defer made.Unlock()
	if made.dir != "" {
		os.RemoveAll(made.dir)
	}
	return status
}

// exampleBook writes a copy of the example vessel with her history into a new folder, and gives the ids of her commits.
func exampleBook(dir string) ([]string, error) {
	b := example()
	if b.err != nil {
		return nil, b.err
	}
	return b.ids, os.CopyFS(dir, os.DirFS(filepath.Join(b.dir, "book")))
}
