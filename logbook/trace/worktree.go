package trace

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/gitignore"

	"needlebook/logbook"
)

// workTree compares the folder with the tip's tree, hashing every file: neither the index nor a file's
// date is believed.
func (s *Store) workTree(dir string, tree id) ([]logbook.WorkChange, error) {
	tip := map[string]id{}
	err := s.differ(id{}, tree, "", func(c change) error {
		if c.is.mode == modeFile || c.is.mode == modeExec {
			tip[c.path] = c.is.id
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	ignored := ignoreRules(dir)
	var changes []logbook.WorkChange
	err = filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil || rel == "." {
			return err
		}
		rel = filepath.ToSlash(rel)
		want, committed := tip[rel]
		switch {
		case e.Name() == ".git" || e.IsDir() && ignored.Match(strings.Split(rel, "/"), true):
			if e.IsDir() {
				return fs.SkipDir
			}
			return nil
		case e.IsDir():
			return nil
		case !committed:
			if !logbook.Passing(e.Name()) && !ignored.Match(strings.Split(rel, "/"), false) {
				changes = append(changes, logbook.WorkChange{Path: rel, What: "not committed"})
			}
			return nil
		}
		delete(tip, rel)
		same, err := sameText(p, e, want)
		if err == nil && !same {
			changes = append(changes, logbook.WorkChange{Path: rel, What: "changed"})
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	for p := range tip {
		changes = append(changes, logbook.WorkChange{Path: p, What: "missing"})
	}
	slices.SortFunc(changes, func(a, b logbook.WorkChange) int { return strings.Compare(a.Path, b.Path) })
	return changes, nil
}

// sameText compares a file with a committed text. Carriage returns that a checkout added do not count.
func sameText(path string, e fs.DirEntry, want id) (bool, error) {
	if !e.Type().IsRegular() {
		return false, nil
	}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	} else if err != nil {
		return false, err
	}
	if sum, _ := objectID(plumbing.BlobObject, text); sum == want {
		return true, nil
	}
	if !bytes.Contains(text, []byte("\r\n")) {
		return false, nil
	}
	sum, _ := objectID(plumbing.BlobObject, bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
	return sum == want, nil
}

// ignoreRules reads the book's .gitignore and the repository's own list of what to ignore.
func ignoreRules(dir string) gitignore.Matcher {
	var rules []gitignore.Pattern
	names := []string{filepath.Join(dir, ".gitignore")}
	if _, common, err := GitDirs(dir); err == nil {
		names = append(names, filepath.Join(common, "info", "exclude"))
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			continue // nothing to ignore
		}
		for line := range strings.Lines(string(text)) {
			line = strings.TrimRight(line, "\r\n")
			if line != "" && !strings.HasPrefix(line, "#") {
				rules = append(rules, gitignore.ParsePattern(line, nil))
			}
		}
	}
	return gitignore.NewMatcher(rules)
}
