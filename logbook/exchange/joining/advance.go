package joining

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// An InTheWayError names the files of the folder that are not as the tip has them and that a step to another commit
// would write over. Nothing was changed: they are the user's.
type InTheWayError struct {
	// Edited were changed and are not committed; Untracked stand where a new file is to come; Odd are no plain files, or
	// lie behind a symbolic link.
	Edited, Untracked, Odd []string
}

func (e *InTheWayError) Error() string {
	var parts []string
	for _, l := range []struct {
		files []string
		what  string
	}{{e.Edited, "edited here and not signed yet"}, {e.Untracked, "here, but in no commit"},
		{e.Odd, "no plain file of the book's folder"}} {
		if len(l.files) > 0 {
			parts = append(parts, strings.Join(l.files, ", ")+": "+l.what)
		}
	}
	return strings.Join(parts, "; ")
}

func (e *InTheWayError) empty() bool { return len(e.Edited)+len(e.Untracked)+len(e.Odd) == 0 }

// errMoved says that the branch was moved by somebody else since the way was planned; plan it again.
var errMoved = errors.New("the branch has moved meanwhile")

// way is the way from the tip to another commit whose past holds it, or into the middle of a merge.
type way struct {
	from, to plumbing.Hash // to is zero in the middle of a merge
	theirs   plumbing.Hash // of a merge in the middle: its second parent
	targets  []target
	open     []Conflict      // files left for a person to decide, in the middle of a merge
	who      exchange.Person // for the log of the branch
	log      string          // what is done, in a few words
	message  string          // of the merge commit that a hand will make
}

// advance goes a way: the files first, then the index, the branch last. Every step may be its last one and may be made
// again: a file that holds its new text already counts as unchanged, so whoever plans the same way again ends where
// this would have ended. An *InTheWayError, errMoved and ErrLocked leave everything as it was.
func advance(r *exchange.Repository, w *way) (err error) {
	branch, err := r.Branch()
	if err != nil {
		return err
	}
	ref, err := r.Common.Lock("refs/heads/"+branch, false)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, ref.Release()) }()
	staged, err := r.Git.Lock("index", false)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, staged.Release()) }()
	store, err := r.Store()
	if err != nil {
		return err
	}
	defer store.Close()
	if tip, still, err := store.Head(); err != nil {
		return err
	} else if tip != w.from || still != branch {
		return errMoved
	}
	if err := r.Unfinished(store, w.from); err != nil {
		return err
	}
	idx, err := exchange.DecodeIndex(staged)
	if err != nil {
		return err
	}
	if err := mayBegin(r, store, w, idx); err != nil {
		return err
	}
	list, err := look(r, store, w, idx)
	if err != nil {
		return err
	}
	if w.to.IsZero() {
		if err := announce(r, idx, list); err != nil {
			return err
		}
	}
	if err := replaceAll(r, store, list); err != nil {
		return err
	}
	if err := enter(r, idx, list); err != nil {
		return err
	}
	var text bytes.Buffer
	if err := index.NewEncoder(&text).Encode(idx); err != nil {
		return fmt.Errorf("could not write the index: %w", err)
	}
	if err := errors.Join(staged.Replace(text.Bytes()), staged.Close()); err != nil {
		return fmt.Errorf("could not write the index: %w", err)
	}
	if w.to.IsZero() {
		return leaveOpen(r, w)
	}
	if err := r.Reflog(branch, w.from, w.to, w.who, w.log); err != nil {
		return fmt.Errorf("could not write the log of the branch: %w", err)
	}
	if err := errors.Join(ref.Replace([]byte(w.to.String()+"\n")), ref.Close()); err != nil {
		return fmt.Errorf("could not move the branch %s: %w", branch, err)
	}
	return standsOn(r, w.to, list)
}

// mayBegin looks at the index before a way is gone. What a program that was stopped has staged of the same merge may
// stand there; and a merge that a hand will finish begins only where nothing else is staged, since his commit will take
// the whole index.
func mayBegin(r *exchange.Repository, store *trace.Store, w *way, idx *index.Index) error {
	open, begun := map[string][3]plumbing.Hash{}, map[string]bool{}
	for _, c := range w.open {
		open[c.Sides.Path] = c.stages
	}
	for _, e := range idx.Entries {
		begun[e.Name] = begun[e.Name] || e.Stage != 0
		if e.Stage != 0 && open[e.Name][max(int(e.Stage), 1)-1] != e.Hash {
			return fmt.Errorf("%w: a merge is open at %q", exchange.ErrUnfinished, e.Name)
		}
	}
	if len(w.open) == 0 {
		return nil
	}
	tree, _, err := store.Commit(w.from)
	if err != nil {
		return err
	}
	edits, err := (&Locks{Store: store, idx: idx}).Edits(tree)
	if err != nil {
		return err
	}
	arriving := map[string]plumbing.Hash{}
	for _, t := range w.targets {
		arriving[t.path] = t.is
	}
	var bad InTheWayError
	for _, e := range edits {
		is, ours := arriving[e.Path]
		if !begun[e.Path] && (!ours || is != e.Blob) {
			bad.Edited = append(bad.Edited, e.Path)
		}
	}
	if !bad.empty() {
		return &bad
	}
	return nil
}

// arrival is one file of the folder on its way from what lies there to what is to lie there.
type arrival struct {
	path     string
	is       plumbing.Hash // zero where the file is to go
	mode     filemode.FileMode
	text     []byte           // what is to lie there
	stages   [3]plumbing.Hash // of a file left for a person: base, ours and theirs
	open     bool
	lies     []byte // what lies there now; nil when nothing does
	info     fs.FileInfo
	changed  bool // what lies there is not what is to lie there
	replaced bool
}

// look compares all that is to be written with what lies in the folder, before the first byte is written.
func look(r *exchange.Repository, store *trace.Store, w *way, idx *index.Index) ([]*arrival, error) {
	indexed := map[string]plumbing.Hash{}
	for _, e := range idx.Entries {
		indexed[e.Name] = e.Hash
	}
	var list []*arrival
	was := map[string]plumbing.Hash{}
	for _, t := range w.targets {
		a := &arrival{path: t.path, is: t.is, mode: filemode.Regular, text: t.text}
		if t.exec {
			a.mode = filemode.Executable
		}
		if a.text == nil && !a.is.IsZero() {
			text, err := store.Blob(a.is)
			if err != nil {
				return nil, err
			}
			a.text = append([]byte{}, text...)
		}
		list, was[t.path] = append(list, a), t.was
	}
	for i := range w.open {
		c := &w.open[i]
		list = append(list, &arrival{path: c.Sides.Path, text: c.Marked, stages: c.stages, open: true})
		was[c.Sides.Path] = c.stages[1]
	}
	slices.SortFunc(list, func(a, b *arrival) int { return strings.Compare(a.path, b.path) })
	var bad InTheWayError
	for _, a := range list {
		odd, err := lookAt(r, a)
		if err != nil {
			return nil, err
		}
		old, inIndex := was[a.path], indexed[a.path]
		a.changed = (a.lies == nil) != (a.text == nil) || !bytes.Equal(a.lies, a.text)
		switch {
		case odd:
			bad.Odd = append(bad.Odd, a.path)
		case !a.open && !inIndex.IsZero() && inIndex != old && inIndex != a.is:
			bad.Edited = append(bad.Edited, a.path) // staged, and only there
		case a.lies == nil || a.text != nil && exchange.Same(a.lies, a.text):
		case old.IsZero():
			bad.Untracked = append(bad.Untracked, a.path)
		default:
			before, err := store.Blob(old)
			if err != nil {
				return nil, err
			}
			if !exchange.Same(a.lies, before) {
				bad.Edited = append(bad.Edited, a.path)
			}
		}
	}
	if !bad.empty() {
		return nil, &bad
	}
	return list, nil
}

// lookAt reads what lies at a file's place; odd says that it is no plain file, or that the way there leads over
// something that is no folder.
func lookAt(r *exchange.Repository, a *arrival) (odd bool, err error) {
	for i, c := range a.path {
		if c != '/' {
			continue
		}
		info, err := r.Work.Lstat(a.path[:i])
		if errors.Is(err, fs.ErrNotExist) {
			return false, nil
		} else if err != nil {
			return false, err
		}
		if !info.IsDir() {
			return true, nil
		}
	}
	a.info, err = r.Work.Lstat(a.path)
	if errors.Is(err, fs.ErrNotExist) {
		a.info = nil
		return false, nil
	} else if err != nil {
		return false, err
	}
	if !a.info.Mode().IsRegular() {
		return true, nil
	}
	a.lies, err = exchange.ReadIfThere(r.Read, a.path)
	return false, err
}

// coming is the name under which a new text is written beside its place. Readers of a book pass over names with a dot
// before them.
func coming(p string) string { return path.Join(path.Dir(p), "."+path.Base(p)+".coming") }

// replaceAll writes all new texts beside their places, synced, and then renames one after the other. When one cannot be
// written, or was saved by an editor meanwhile, what was renamed already is put back.
func replaceAll(r *exchange.Repository, store *trace.Store, list []*arrival) (err error) {
	defer func() {
		if err != nil {
			err = errors.Join(err, putBack(r, list))
		}
	}()
	folders := map[string]bool{}
	for _, a := range list {
		if !a.changed || a.text == nil {
			continue
		}
		if err := writeBeside(r, a, a.text); err != nil {
			return fmt.Errorf("could not write %q: %w", a.path, err)
		}
	}
	for _, a := range list {
		if !a.changed {
			continue
		}
		if !asSeen(r, a) {
			return &InTheWayError{Edited: []string{a.path}}
		}
		a.replaced = true
		if a.text == nil {
			err = r.Remove(a.path, true)
		} else {
			err = r.Work.Filesystem.Rename(coming(a.path), a.path)
			folders[path.Dir(a.path)] = true
		}
		if err != nil {
			return fmt.Errorf("could not replace %q: %w", a.path, err)
		}
	}
	for _, dir := range slices.Sorted(maps.Keys(folders)) {
		if err := r.Work.SyncDir(dir); err != nil {
			return err
		}
	}
	return nil
}

func writeBeside(r *exchange.Repository, a *arrival, text []byte) error {
	f, err := r.Work.OpenFile(coming(a.path), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}

// asSeen reports whether a file is still the one that was looked at.
func asSeen(r *exchange.Repository, a *arrival) bool {
	now, err := r.Work.Lstat(a.path)
	if a.info == nil {
		return errors.Is(err, fs.ErrNotExist)
	}
	return err == nil && now.Mode() == a.info.Mode() && now.Size() == a.info.Size() &&
		now.ModTime().Equal(a.info.ModTime())
}

// putBack undoes what replaceAll has done.
func putBack(r *exchange.Repository, list []*arrival) error {
	var failed error
	for _, a := range list {
		if a.text != nil && a.changed {
			if err := r.Work.Filesystem.Remove(coming(a.path)); err != nil && !errors.Is(err, fs.ErrNotExist) {
				failed = errors.Join(failed, err)
			}
		}
		if !a.replaced {
			continue
		}
		now, err := exchange.ReadIfThere(r.Read, a.path)
		if err == nil && (now == nil) == (a.text == nil) && bytes.Equal(now, a.text) && a.changed {
			if a.lies == nil {
				err = r.Work.Remove(a.path)
			} else if err = writeBeside(r, a, a.lies); err == nil {
				err = r.Work.Rename(coming(a.path), a.path)
			}
		}
		failed = errors.Join(failed, err)
	}
	return failed
}

// enter brings the index in line with the files.
func enter(r *exchange.Repository, idx *index.Index, list []*arrival) error {
	arriving := map[string]bool{}
	for _, a := range list {
		arriving[a.path] = true
	}
	idx.Entries = slices.DeleteFunc(idx.Entries, func(e *index.Entry) bool { return arriving[e.Name] })
	for _, a := range list {
		a.stage(idx)
		if a.open || a.text == nil {
			continue
		}
		info, err := r.Work.Lstat(a.path)
		if err != nil {
			return err
		}
		e := idx.Add(a.path)
		e.Hash, e.Mode = a.is, a.mode
		exchange.Stamp(e, info)
	}
	return nil
}

// announce enters a merge that a hand will finish in the index before the first file is touched, while the index's lock
// is held: a program that is stopped then leaves a merge that can be given up, and nobody commits by mistake.
func announce(r *exchange.Repository, now *index.Index, list []*arrival) error {
	idx := *now
	idx.Entries = slices.Clone(now.Entries)
	arriving := map[string]bool{}
	for _, a := range list {
		arriving[a.path] = true
	}
	idx.Entries = slices.DeleteFunc(idx.Entries, func(e *index.Entry) bool { return arriving[e.Name] })
	for _, a := range list {
		if !a.open && a.text != nil {
			e := idx.Add(a.path)
			e.Hash, e.Mode = a.is, a.mode
		}
		a.stage(&idx)
	}
	var text bytes.Buffer
	if err := index.NewEncoder(&text).Encode(&idx); err != nil {
		return fmt.Errorf("could not write the index: %w", err)
	}
	const aside = "index.coming"
	f, err := r.Git.OpenFile(aside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return fmt.Errorf("could not write the index: %w", err)
	}
	_, err = f.Write(text.Bytes())
	if err = errors.Join(err, f.Close()); err == nil {
		err = r.Git.Rename(aside, "index")
	}
	if err != nil {
		err = fmt.Errorf("could not write the index: %w", err)
	}
	return err
}

// stage enters base, ours and theirs of a file that is left for a person.
func (a *arrival) stage(idx *index.Index) {
	for n, blob := range a.stages {
		if a.open && !blob.IsZero() {
			e := idx.Add(a.path)
			e.Hash, e.Mode, e.Stage = blob, filemode.Regular, index.Stage(n+1)
		}
	}
}

// leaveOpen tells git, and the next run, that a merge waits for a person. The index holds the stages already: as long
// as they are there nobody commits by mistake.
func leaveOpen(r *exchange.Repository, w *way) error {
	for _, f := range []struct{ name, text string }{
		{"MERGE_MSG", w.message + "\n"}, {"MERGE_MODE", "no-ff"}, {"MERGE_HEAD", w.theirs.String() + "\n"},
	} {
		l, err := r.Git.Lock(f.name, true)
		if err != nil {
			return err
		}
		_, err = l.Write([]byte(f.text))
		if err := errors.Join(err, l.Close()); err != nil {
			return fmt.Errorf("could not note the merge: %w", err)
		}
	}
	return nil
}

// standsOn reads back from disk that the branch stands on a commit, and that the files are there.
func standsOn(r *exchange.Repository, commit plumbing.Hash, list []*arrival) error {
	store, err := r.Store()
	if err != nil {
		return err
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err != nil {
		return err
	}
	if err := exchange.Holds(store, tip, commit); err != nil {
		return err
	}
	if tip != commit {
		return nil // somebody else has written since, the folder is his
	}
	for _, a := range list {
		now, err := exchange.ReadIfThere(r.Read, a.path)
		if err != nil {
			return err
		}
		if (now == nil) != (a.text == nil) || now != nil && !exchange.Same(now, a.text) {
			return fmt.Errorf("the folder holds another text of %q", a.path)
		}
	}
	return nil
}
