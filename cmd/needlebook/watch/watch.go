package watch

import (
	"context"
	"crypto/sha256"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// Folder is a folder whose changes are waited for. What the system tells of a change only wakes it sooner: what counts
// is what the files look like, looked at again and again, since a share on another machine tells nothing and every
// editor saves in its own way.
type Folder struct {
	dir   string
	seen  map[string]stamp // as it was last answered
	woken <-chan struct{}  // by the system; nil where it tells nothing
}

// stamp is what a file looks like without reading it. A file that has looked so for a short time only is read all the
// same: its clock may be too coarse to tell two savings apart.
type stamp struct {
	size   int64
	time   time.Time
	folder bool
	since  time.Time // when it was first met so; zero from the beginning
	sum    [sha256.Size]byte
}

const (
	settling    = 20 * time.Millisecond  // a saving is over when nothing moved for so long
	patience    = 120 * time.Millisecond // after which a file that never rests is answered all the same
	pace        = 100 * time.Millisecond // between two looks
	restfulness = 25                     // a look may take one part in so many of the time
	coarsest    = 4 * time.Second        // the coarsest clock of a file system, doubled
	// bytes of the largest file that is read for its sum: no record or table is as large
	readable = 16 << 20
)

// Begin remembers what a folder looks like now, before it is read, and listens to the system until the context ends.
func Begin(ctx context.Context, dir string) *Folder {
	woken := wake(ctx, dir)
	return &Folder{dir: dir, seen: look(ctx, dir, nil), woken: woken}
}

// Next waits until the folder looks otherwise than when it was last answered, and has come to rest; it gives the files
// that changed. It is false when the context has ended.
func (w *Folder) Next(ctx context.Context) (changed []string, more bool) {
	for wait := pace; ; {
		select {
		case <-ctx.Done():
			return nil, false
		case <-w.woken:
		case <-time.After(wait):
		}
		start := time.Now()
		now := look(ctx, w.dir, w.seen)
		if ctx.Err() != nil {
			return nil, false
		}
		wait = max(pace, restfulness*time.Since(start))
		if same(now, w.seen) {
			w.seen = now
			continue
		}
		for began := time.Now(); time.Since(began) < patience; {
			time.Sleep(settling)
			again := look(ctx, w.dir, now)
			rested := same(again, now)
			if now = again; rested {
				break
			}
		}
		changed = differing(w.seen, now)
		w.seen = now
		return changed, true
	}
}

// look takes the stamps of all that belongs to a book, and of the refs of its history. What cannot be looked at is left
// out: it is about to go, or shows when the book is read; so does what goes beyond the bounds of a book's folders.
func look(ctx context.Context, dir string, before map[string]stamp) map[string]stamp {
	now, left := map[string]stamp{}, budget.New(ctx)
	filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		rel := filepath.ToSlash(strings.TrimPrefix(strings.TrimPrefix(name, dir), string(filepath.Separator)))
		if beyond := leftOut(left, rel); beyond != nil {
			return beyond
		}
		switch {
		case err != nil:
			return nil
		case e.IsDir() && unwatched(rel):
			return fs.SkipDir
		case logbook.Passing(e.Name()) && !inGit(rel) && rel != "":
			if e.IsDir() {
				return fs.SkipDir
			}
			return nil
		case inGit(rel) && (strings.HasSuffix(rel, ".lock") || !e.IsDir() && !strings.HasPrefix(rel, ".git/refs/") &&
			rel != ".git/HEAD" && rel != ".git/packed-refs"):
			return nil
		}
		info, err := e.Info()
		if err != nil {
			return nil
		}
		if e.IsDir() {
			now[rel] = stamp{folder: true}
			return nil
		}
		s := stamp{size: info.Size(), time: info.ModTime()}
		if was, met := before[rel]; before != nil {
			if s.since = time.Now(); met && was.size == s.size && was.time.Equal(s.time) {
				s.since, s.sum = was.since, was.sum
			}
			if info.Mode().IsRegular() && s.size <= readable && !s.since.IsZero() && time.Since(s.since) < coarsest {
				s.sum = sumFile(name)
			}
		}
		now[rel] = s
		return nil
	})
	return now
}

// leftOut is how a walk leaves out a path beyond the bounds of a book's folders; nil for one that it goes on with.
func leftOut(left *budget.Budget, rel string) error {
	if strings.Count(rel, "/") > budget.Depth {
		return fs.SkipDir
	}
	if left.Add(1, 0) != nil {
		return fs.SkipAll
	}
	return nil
}

// differing are the paths whose stamps differ, sorted; the history of the book is named as such.
func differing(a, b map[string]stamp) []string {
	names := map[string]bool{}
	for _, pair := range [][2]map[string]stamp{{a, b}, {b, a}} {
		for name, s := range pair[0] {
			other, there := pair[1][name]
			if there && s.same(other) || s.folder {
				continue
			}
			if inGit(name) {
				name = "history"
			}
			names[name] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}

func (s stamp) same(t stamp) bool {
	return s.size == t.size && s.time.Equal(t.time) && s.folder == t.folder && s.sum == t.sum
}

func same(a, b map[string]stamp) bool { return maps.EqualFunc(a, b, stamp.same) }

func inGit(rel string) bool { return rel == ".git" || strings.HasPrefix(rel, ".git/") }

// unwatched are the folders of .git that do not move with the tip of a branch.
func unwatched(rel string) bool {
	return strings.HasPrefix(rel, ".git/") && rel != ".git/refs" && !strings.HasPrefix(rel, ".git/refs/")
}

func sumFile(name string) (sum [sha256.Size]byte) {
	f, err := budget.Open(name, readable)
	if err != nil {
		return sum
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, io.LimitReader(f, readable)); err != nil {
		return sum
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// wake sends on the channel when the system tells of a change in the folder, until the context ends. Where it tells
// nothing, nothing comes: that is all.
func wake(ctx context.Context, dir string) <-chan struct{} {
	woken := make(chan struct{}, 1)
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return woken
	}
	left := budget.New(ctx)
	add := func(below string) {
		filepath.WalkDir(below, func(name string, e fs.DirEntry, err error) error {
			if err != nil || !e.IsDir() {
				return nil
			}
			rel, err := filepath.Rel(dir, name)
			if err != nil || unwatched(filepath.ToSlash(rel)) {
				return fs.SkipDir
			}
			if beyond := leftOut(left, filepath.ToSlash(rel)); beyond != nil {
				return beyond
			}
			w.Add(name)
			return nil
		})
	}
	add(dir)
	fault.Go("listen to the system", func() error {
		defer w.Close()
		for {
			select {
			case <-ctx.Done():
				return nil
			case <-w.Errors: // too many changes at once: one was enough
			case e := <-w.Events:
				if info, err := os.Lstat(e.Name); err == nil && info.IsDir() && e.Has(fsnotify.Create) {
					add(e.Name)
				}
			}
			select {
			case woken <- struct{}{}:
			default:
			}
		}
	}, func(error) {}) // what changed is looked for all the same
	return woken
}
