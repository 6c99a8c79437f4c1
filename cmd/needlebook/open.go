package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// findBook is the folder of the book: the one named, or the nearest above the current folder that holds a book.md.
func (p *program) findBook() (string, error) {
	start := p.bookDir
	if start == "" {
		wd, err := os.Getwd()
		if err != nil {
			return "", fmt.Errorf("could not tell the current folder: %w", err)
		}
		start = wd
	}
	start, err := filepath.Abs(start)
	if err != nil {
		return "", fmt.Errorf("could not follow %q: %w", p.bookDir, err)
	}
	for dir := start; ; dir = filepath.Dir(dir) {
		info, err := os.Stat(filepath.Join(dir, "book.md"))
		switch {
		case err == nil && !info.IsDir():
			return dir, nil
		case err == nil:
			return "", use("%q is a folder; a book has a file of that name", filepath.Join(dir, "book.md"))
		case !errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("could not look for a book in %q: %w", dir, err)
		}
		if p.bookDir != "" || dir == filepath.Dir(dir) {
			break
		}
	}
	if p.bookDir != "" {
		if _, err := os.Stat(start); err != nil {
			return "", use("there is no folder %q", p.bookDir)
		}
		return "", use("no book.md in %q: name the folder of a book with --book, or write one with needlebook demo",
			p.bookDir)
	}
	return "", use("no book.md in %q or any folder above: go into a book, name one with --book DIR, or write one with "+
		"needlebook demo", start)
}
