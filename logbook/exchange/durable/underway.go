package durable

import (
	"os"
	"path/filepath"
	"sync"
)

// underway are the locks that this program holds, and the folders beside a book in which something is made. Whoever
// ends the program takes them away first: what they were to replace stands as it did.
var underway = struct {
	sync.Mutex
	paths map[string]bool
}{paths: map[string]bool{}}

// Begin does what puts a lock or a folder there, and notes it.
func Begin(path string, do func() error) error {
	underway.Lock()
	defer underway.Unlock()
	err := do()
	if err == nil {
		underway.paths[fullPath(path)] = true
	}
	return err
}

// End does what takes a lock or a folder away, or puts it in its place.
func End(path string, do func() error) error {
	underway.Lock()
	defer underway.Unlock()
	delete(underway.paths, fullPath(path))
	return do()
}

// Halt takes away what is underway and lets no lock be taken, given back or put in place any more: a program that is
// told to end, and does not come back from what it does, calls it and ends. Every file is then wholly its old or its
// new text, as after a kill, and no lock is left.
func Halt() {
	underway.Lock() // for good
	for path := range underway.paths {
		os.RemoveAll(path)
	}
}

// fullPath is a path that holds wherever the program goes.
func fullPath(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}
