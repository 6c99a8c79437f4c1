package durable

import (
	"errors"
	"os"
	"path/filepath"
)

// Keep writes a file outside a book that its owner alone may read, such as what a reader remembers, the durable
// way: it is wholly the old or wholly the new text, whatever happens, and lasts once Keep has returned. Folders
// that are missing are made.
func Keep(name string, text []byte) error {
	dir, base := filepath.Split(name)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	f, err := New(dir).lockAs(base, true, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}
