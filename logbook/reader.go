package logbook

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"needlebook/logbook/budget"
)

// Reader reads one book again and again, and decodes only the files whose text has changed since the last time. The
// books it gives share what has not changed: they are as read-only as any. A reader belongs to one goroutine.
type Reader struct {
	Latest Day // nothing counts that is dated later; 0 knows no day
	// Context ends each reading when it ends, with an error that is [budget.ErrStopped].
	Context context.Context
	fsys    fs.FS
	last    *Book              // as it was last read
	kept    map[string]decoded // what came of each text then, by path
	rest    []Problem          // what was amiss then with files that have no text: too large, not readable
}

// decoded is what came of one text.
type decoded struct {
	src      []byte
	value    any
	problems []Problem
}

// NewReader makes a reader of a folder or a commit, given as a file system rooted at the book.
func NewReader(fsys fs.FS) *Reader {
	return &Reader{Context: context.Background(), fsys: fsys, kept: map[string]decoded{}}
}

// Read reads every file again. Errors are those of [Read].
func (r *Reader) Read() (*Book, error) {
	b := newBook()
	b.before, b.texts, b.latest = r.kept, map[string]decoded{}, r.Latest
	if r.last != nil {
		b.logs = r.last.logs
	}
	if err := b.read(r.Context, r.fsys); err != nil {
		return nil, err
	}
	r.rest = slices.DeleteFunc(slices.Clone(b.walked), func(p Problem) bool {
		_,
			taken := b.texts[p.Place.Path]
		return taken
	})
	r.last, r.kept = b, b.texts
	b.before, b.texts, b.walked = nil, nil, nil
	return b, nil
}

// With is the book as it would be with other texts in some of its files, or with files that are not there yet: what an
// editor shows and has not saved. Nothing is read from the disk but for what [Reader.Read] reads, where it has not been
// called yet.
func (r *Reader) With(texts map[string][]byte) (*Book, error) {
	if r.last == nil {
		if _, err := r.Read(); err != nil {
			return nil, err
		}
	}
	b := newBook()
	b.before, b.pictures, b.twins, b.latest = r.kept, r.last.pictures, r.last.twins, r.Latest
	b.logs = r.last.logs
	b.Files, b.Problems = slices.Clone(r.last.Files), slices.Clone(r.rest)
	for name := range texts {
		if !slices.Contains(b.Files, name) && holdsText(name) {
			b.Files = append(b.Files, name)
		}
	}
	slices.SortFunc(b.Files, walkOrder)
	b.decoding, b.strays = startDecoders(), slices.Clone(r.last.strays)
	// placed anew
	b.strays = slices.DeleteFunc(b.strays, func(s astray) bool {
		return r.kept[s.name].src != nil ||
			texts[s.name] != nil
	})
	for _, name := range b.Files {
		text, over := texts[name]
		if k, ok := r.kept[name]; ok && !over {
			b.place(name, k.src)
		} else if over && holdsText(name) {
			b.place(name, text)
		}
	}
	b.join(b.decoding.wait())
	b.settle()
	b.decoding, b.before = nil, nil
	return b, nil
}

// again gives what was decoded from a text before, or decodes it. What is amiss goes into the book either way.
func again[T any](b *Book, name string, src []byte, decode func() T) T {
	k, ok := b.before[name]
	if !ok || !bytes.Equal(k.src, src) {
		n := len(b.Problems)
		v := decode()
		k = decoded{src, v, slices.Clone(b.Problems[n:])}
	} else {
		b.Problems = append(b.Problems, k.problems...)
	}
	b.keep(name, k)
	return k.value.(T)
}

// keep remembers what came of a text, where the book is read by a reader.
func (b *Book) keep(name string, k decoded) {
	if b.texts != nil {
		b.texts[name] = k
	}
}

// holdsText says that a file of that name is read as a record or table.
func holdsText(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") {
			return false
		}
	}
	top, _, _ := strings.Cut(name, "/")
	ext := path.Ext(name)
	return !skipped[top] && !pictured[top] && (ext == ".md" || ext == ".csv")
}

// walkOrder compares two paths as a walk through the folders meets them.
func walkOrder(a, b string) int {
	return cmp.Compare(strings.ReplaceAll(a, "/", "\x00"), strings.ReplaceAll(b, "/", "\x00"))
}

func newBook() *Book {
	return &Book{Limits: map[string]*Limits{}, parts: map[partID]*Part{}, Instruments: map[string]*Instrument{},
		Hours:  map[string][]Reading{},
		byStem: map[string]*Overhaul{}, pictures: map[string]int64{}, sources: map[string][]byte{},
		copyOf: map[string]string{}}
}

// read walks the folders and reads every file.
func (b *Book) read(ctx context.Context, fsys fs.FS) error {
	if info, err := fs.Stat(fsys, "book.md"); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return ErrNoBook
		}
		return fmt.Errorf("could not read book.md: %w", err)
	} else if info.IsDir() {
		return fmt.Errorf("%w: book.md is a folder", ErrNoBook)
	}
	b.decoding = startDecoders()
	left := budget.New(ctx)
	err := fs.WalkDir(fsys, ".", func(name string, e fs.DirEntry, err error) error {
		var exceeded *budget.ExceededError
		if errors.As(err, &exceeded) || errors.Is(err, budget.ErrStopped) {
			return err
		}
		if err != nil {
			b.note(name, SlipUnreadable, err.Error(), "a folder that can be read")
			if e != nil && e.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if err := left.Add(1, 0); err != nil {
			return fmt.Errorf("the folder %w", err)
		}
		if e.IsDir() {
			if name == "." {
				return nil
			}
			if strings.Count(name, "/") >= budget.Depth {
				b.note(name, SlipUnreadable, "a folder too deep", fmt.Sprintf("at most %d folders upon one another", budget.Depth))
				return fs.SkipDir
			}
			if PassingFolder(e.Name()) || b.secondBook(fsys, name) {
				return fs.SkipDir
			}
			return b.crowded(fsys, name)
		}
		if top, _, nested := strings.Cut(name, "/"); Passing(e.Name()) || nested && skipped[top] {
			b.stray(fsys, name, e, Passing(e.Name()))
			return nil
		}
		b.Files = append(b.Files, name)
		b.file(fsys, name, e)
		return nil
	})
	b.walked = slices.Clone(b.Problems)
	b.join(b.decoding.wait())
	b.decoding = nil
	if err = cmp.Or(err, budget.Stopped(ctx)); err != nil {
		return fmt.Errorf("could not read the book: %w", err)
	}
	b.findTwins(fsys)
	b.findNoPictures(fsys)
	b.settle()
	b.readLogs(fsys)
	return nil
}
