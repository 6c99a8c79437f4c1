package trace

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/gitignore"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// filesOf lists every file of a commit, in the order of git's trees.
func (s *Store) filesOf(commit id) ([]change, error) {
	c, err := s.commit(commit)
	if err != nil {
		return nil, err
	}
	var all []change
	err = s.differ(id{}, c.tree, "", func(c change) error {
		c.was.name, c.is.name = nil, nil
		all = append(all, c)
		return nil
	})
	return all, err
}

// lying is a file of the folder, hashed: neither the index nor a file's date is believed.
type lying struct {
	path    string
	ignored bool
	plain   bool // a regular file
	// sum is the id of its bytes as a text of a book, bare that without the carriage returns that a
	// checkout added; the two are the same where there are none.
	sum, bare id
}

// scan hashes every file of the folder. It asks nothing of the repository, so that it may run beside
// the reading of the history.
func scan(ctx context.Context, dir string) ([]lying, error) {
	ignored, left := ignoreRules(dir), budget.New(ctx)
	var all []lying
	err := filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil || rel == "." {
			return err
		}
		rel = filepath.ToSlash(rel)
		if err := left.Add(1, 0); errors.Is(err, budget.ErrStopped) {
			return err
		} else if err != nil {
			return fmt.Errorf("folder %q %w", dir, err)
		}
		switch {
		case e.IsDir() && strings.Count(rel, "/") >= budget.Depth: // no commit of a book holds any of it
			all = append(all, lying{path: rel, ignored: ignored.Match(strings.Split(rel, "/"), true)})
			return fs.SkipDir
		case e.Name() == ".git" || e.IsDir() && ignored.Match(strings.Split(rel, "/"), true):
			if e.IsDir() {
				return fs.SkipDir
			}
		case !e.IsDir():
			hidden := logbook.Passing(e.Name()) || ignored.Match(strings.Split(rel, "/"), false)
			all = append(all, lying{path: rel, ignored: hidden, plain: e.Type().IsRegular()})
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	workers := runtime.GOMAXPROCS(0)
	errs := make([]error, workers)
	var done fault.Group
	for w := range workers {
		done.Go(func() {
			var buf bytes.Buffer
			for i := w; i < len(all) && errs[w] == nil; i += workers {
				if errs[w] = budget.Stopped(ctx); errs[w] == nil {
					errs[w] = all[i].hash(dir, &buf)
				}
			}
		})
	}
	done.Wait()
	return all, errors.Join(errs...)
}

func (f *lying) hash(dir string, buf *bytes.Buffer) error {
	if !f.plain {
		return nil
	}
	file, err := budget.Open(filepath.Join(dir, filepath.FromSlash(f.path)), maxObject)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
		return nil // gone since, or no file of a book; no id is zero
	} else if err != nil {
		return err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	if info.Size() > maxText { // a picture, which no checkout changes
		f.sum, _, err = streamID(plumbing.BlobObject, io.LimitReader(file, info.Size()), info.Size())
		f.bare = f.sum
		return err
	}
	buf.Reset()
	if _, err := buf.ReadFrom(io.LimitReader(file, maxText+1)); err != nil {
		return err
	}
	f.sum, _ = objectID(plumbing.BlobObject, buf.Bytes())
	f.bare = f.sum
	if bytes.Contains(buf.Bytes(), []byte("\r\n")) {
		f.bare, _ = objectID(plumbing.BlobObject, bytes.ReplaceAll(buf.Bytes(), []byte("\r\n"), []byte("\n")))
	}
	return nil
}

// workTree compares what the folder holds with the files of the tip.
func workTree(folder []lying, tip []change) []logbook.WorkChange {
	want, odd := make(map[string]id, len(tip)), map[string]bool{}
	for _, c := range tip {
		if c.is.mode == modeFile || c.is.mode == modeExec {
			want[c.path] = c.is.id
		} else {
			odd[c.path] = true // a link, or another repository: marked on its commit
		}
	}
	var changes []logbook.WorkChange
	for _, f := range folder {
		is, committed := want[f.path]
		delete(want, f.path)
		switch {
		case committed && f.sum != is && f.bare != is:
			changes = append(changes, logbook.WorkChange{Path: f.path, What: "changed"})
		case !committed && !f.ignored && (f.plain || !odd[f.path]):
			changes = append(changes, logbook.WorkChange{Path: f.path, What: "not committed"})
		}
	}
	for p := range want {
		changes = append(changes, logbook.WorkChange{Path: p, What: "missing"})
	}
	slices.SortFunc(changes, func(a, b logbook.WorkChange) int { return strings.Compare(a.Path, b.Path) })
	return changes
}

// ignoreRules reads the book's .gitignore and the repository's own list of what to ignore.
func ignoreRules(dir string) gitignore.Matcher {
	var rules []gitignore.Pattern
	names := []string{filepath.Join(dir, ".gitignore")}
	if _, common, err := GitDirs(dir); err == nil {
		names = append(names, filepath.Join(common, "info", "exclude"))
	}
	for _, name := range names {
		text, err := budget.Read(name, maxSmall)
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
