package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"
	"github.com/go-git/go-git/v5/storage/filesystem"

	"needlebook/logbook/events"
	"needlebook/logbook/trace"
)

// ErrNoMerge says that no merge waits for a person.
var ErrNoMerge = errors.New("no merge waits to be resolved")

// Open is a merge in the middle: what both sides changed waits for a person. It is git's own state, so git's commands
// work on it too.
type Open struct {
	// Ours and Theirs are the tips that meet; Theirs is empty when the program was stopped while it began or gave up the
	// merge: then it can be given up, or begun once more.
	Ours, Theirs string
	// Message is what the merge commit will say, unless the hand says something else.
	Message string
	// Files are the files that both sides changed, by path, with their proposals.
	Files []OpenFile
	// Merged are the files that were put together without a hand, by path.
	Merged []string
	joint  *Joint
}

// An OpenFile is one file that waits for a person, or waited for one.
type OpenFile struct {
	Conflict
	// Resolved says that a signer has decided: the index holds one text of it.
	Resolved bool
}

// Left lists the paths that nobody has resolved yet.
func (o *Open) Left() []string {
	var left []string
	for _, f := range o.Files {
		if !f.Resolved {
			left = append(left, f.Sides.Path)
		}
	}
	return left
}

// ReadOpen reads the merge that waits in the book in dir. It writes nothing. The error is ErrNoMerge when none does.
func ReadOpen(dir string) (*Open, error) {
	r, err := openRepository(dir, newDurable)
	if err != nil {
		return nil, err
	}
	f, err := r.git.Open("index")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoMerge
	} else if err != nil {
		return nil, err
	}
	defer f.Close()
	idx, err := decodeIndex(f)
	if err != nil {
		return nil, err
	}
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	return r.readOpen(store, idx)
}

func (r *repository) readOpen(store *trace.Store, idx *index.Index) (*Open, error) {
	o := &Open{}
	staged := map[string]bool{}
	for _, e := range idx.Entries {
		if e.Stage != 0 {
			staged[e.Name] = true
		}
	}
	theirs, begun, err := r.mergeHead()
	if err != nil {
		return nil, err
	}
	if !begun && len(staged) == 0 {
		return nil, ErrNoMerge
	}
	if err := r.byGit(); !begun && err != nil {
		return nil, err
	}
	ours, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	o.Ours = ours.String()
	if theirs.IsZero() {
		tree, _, err := store.Commit(ours)
		if err != nil {
			return nil, err
		}
		if edits, err := (&locks{store: store, idx: idx}).edits(tree); err != nil || len(edits) == 0 {
			return nil, errors.Join(err, ErrNoMerge) // only notes are left
		}
		for _, p := range sortedKeys(staged) {
			f := OpenFile{}
			f.Sides.Path = p
			o.Files = append(o.Files, f)
		}
		return o, nil
	}
	o.Theirs = theirs.String()
	message, err := readIfThere(r.readGit, "MERGE_MSG")
	if err != nil {
		return nil, err
	}
	o.Message = withoutComments(message)
	g := newGraph(store)
	us, err := g.past(nil, ours)
	if err != nil {
		return nil, err
	}
	if us[theirs] && len(staged) == 0 {
		return nil, ErrNoMerge // stopped just behind the commit
	}
	them, err := g.past(nil, theirs)
	if err != nil {
		return nil, err
	}
	m, err := meet(store, g, g.bases(us, them), us, them, ours, theirs)
	if err != nil {
		return nil, err
	}
	j, err := m.join()
	if err != nil {
		return nil, err
	}
	o.Merged, o.joint = j.Merged, j
	for _, c := range j.Conflicts {
		o.Files = append(o.Files, OpenFile{c, !staged[c.Sides.Path]})
		delete(staged, c.Sides.Path)
	}
	for _, p := range sortedKeys(staged) { // git found a contradiction where we find none
		f := OpenFile{}
		f.Sides.Path = p
		o.Files = append(o.Files, f)
	}
	return o, nil
}

func sortedKeys(m map[string]bool) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// withoutComments is a commit message without git's comment lines.
func withoutComments(text []byte) string {
	var b strings.Builder
	for l := range bytes.Lines(text) {
		if l[0] != '#' {
			b.Write(l)
		}
	}
	return strings.TrimSpace(b.String())
}

// mergeHead reads the tip that is being merged; begun says that a merge was begun, though its tip may not be noted any
// more.
func (r *repository) mergeHead() (theirs plumbing.Hash, begun bool, err error) {
	text, err := readIfThere(r.readGit, "MERGE_HEAD")
	if err != nil {
		return theirs, false, err
	}
	heads := strings.Fields(string(text))
	switch {
	case len(heads) > 1:
		return theirs, true, fmt.Errorf("%w: git merges %d tips at once; finish it with git", ErrUnfinished, len(heads))
	case len(heads) == 1 && plumbing.IsHash(heads[0]):
		return plumbing.NewHash(heads[0]), true, nil
	case text != nil:
		return theirs, true, nil
	}
	begun, err = isThere(r.git, "MERGE_MODE")
	return theirs, begun, err
}

func (r *repository) readGit(name string) ([]byte, error) {
	f, err := r.git.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var b bytes.Buffer
	_, err = b.ReadFrom(f)
	return b.Bytes(), err
}

// both locks, the branch's and the index's, as one; done lets go of what was not closed.
type locks struct {
	branch      string
	ref, staged *lockedFile
	store       *trace.Store
	tip         plumbing.Hash
	idx         *index.Index
}

func (r *repository) take() (l *locks, err error) {
	l = &locks{}
	if l.branch, err = r.branch(); err != nil {
		return nil, err
	}
	if l.ref, err = r.common.lock("refs/heads/"+l.branch, false); err != nil {
		return nil, err
	}
	if l.staged, err = r.git.lock("index", false); err != nil {
		return nil, errors.Join(err, l.ref.release())
	}
	if l.store, err = r.store(); err != nil {
		return nil, errors.Join(err, l.ref.release(), l.staged.release())
	}
	still := ""
	if l.tip, still, err = l.store.Head(); err == nil && still != l.branch {
		err = fmt.Errorf("%w: the branch was changed meanwhile", ErrLocked)
	}
	if err == nil {
		l.idx, err = decodeIndex(l.staged)
	}
	if err != nil {
		return nil, errors.Join(err, l.done())
	}
	return l, nil
}

func (l *locks) done() error {
	return errors.Join(l.store.Close(), l.staged.release(), l.ref.release())
}

// writeIndex puts the index in place and lets its lock go.
func (l *locks) writeIndex() error {
	var text bytes.Buffer
	err := index.NewEncoder(&text).Encode(l.idx)
	if err == nil {
		err = errors.Join(l.staged.replace(text.Bytes()), l.staged.Close())
	}
	if err != nil {
		err = fmt.Errorf("could not write the index: %w", err)
	}
	return err
}

// Resolve decides one file of the open merge: it is to hold this text. It does what git add does, and git add does as
// well. Lies is what the caller has read in the folder; when another text lies there by now the error is ErrEdited, and
// nothing was changed. Of two photos none can hold both: the one that was not chosen is kept under the name that is
// returned.
func Resolve(dir, path string, lies, text []byte) (beside []string, err error) {
	r, err := openRepository(dir, newDurable)
	if err != nil {
		return nil, err
	}
	err = patiently(func() error {
		beside, err = r.resolve(path, lies, text)
		return err
	})
	return beside, err
}

func (r *repository) resolve(path string, lies, text []byte) (beside []string, err error) {
	l, err := r.take()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.done()) }()
	if !slices.ContainsFunc(l.idx.Entries, func(e *index.Entry) bool { return e.Name == path }) {
		return nil, fmt.Errorf("%w: %q is no file of it", ErrNoMerge, path)
	}
	a := &arrival{path: path, text: text, mode: filemode.Regular}
	if odd, err := r.lies(a); err != nil {
		return nil, err
	} else if odd {
		return nil, &InTheWayError{Odd: []string{path}}
	}
	if (a.lies == nil) != (lies == nil) || !bytes.Equal(a.lies, lies) {
		return nil, fmt.Errorf("%w: %q", ErrEdited, path)
	}
	a.changed = !same(a.lies, text)
	more, err := r.beside(l, path, text)
	if err != nil {
		return nil, err
	}
	for _, b := range more {
		beside = append(beside, b.path)
	}
	list := append([]*arrival{a}, more...)
	o := loose{l.store, filesystem.NewStorage(r.common, cache.NewObjectLRU(cache.MiByte)), r.common}
	for _, a := range list {
		if a.is, err = o.put(plumbing.BlobObject, a.text); err != nil {
			return nil, err
		}
	}
	if err := r.replaceAll(l.store, list); err != nil {
		return nil, err
	}
	if err := r.enter(l.idx, list); err != nil {
		return nil, err
	}
	return beside, l.writeIndex()
}

// beside finds a place of its own for each side's photo, or other file of bytes, that is not the one chosen:
// photos/tip.jpg becomes photos/tip-2.jpg.
func (r *repository) beside(l *locks, name string, chosen []byte) ([]*arrival, error) {
	open, err := r.readOpen(l.store, l.idx)
	if err != nil {
		return nil, err
	}
	taken := map[string]bool{}
	for _, e := range l.idx.Entries {
		taken[strings.ToLower(e.Name)] = true
	}
	var list []*arrival
	for _, f := range open.Files {
		for _, text := range [][]byte{f.Ours, f.Theirs} {
			if f.Sides.Path != name || !f.Bytes() || text == nil || bytes.Equal(text, chosen) {
				continue
			}
			ending := path.Ext(name)
			for n := 2; ; n++ {
				a := &arrival{path: fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ending), n, ending), text: text,
					mode: filemode.Regular}
				odd, err := r.lies(a)
				if err != nil {
					return nil, err
				}
				// What lies there with the same bytes was put there when the file was resolved before, or by a run that was
				// stopped.
				if here := bytes.Equal(a.lies, text); here || !odd && a.lies == nil && !taken[strings.ToLower(a.path)] {
					a.changed = !here
					taken[strings.ToLower(a.path)] = true
					list = append(list, a)
					break
				}
			}
		}
	}
	return list, nil
}

// FinishMerge signs the open merge once every file is resolved: the commit holds what the index holds, and has both
// tips as parents. An empty message means the one noted when the merge began. It says so only after reading back, like
// Write.
func FinishMerge(dir string, d Draft, notHis func(path string) string) (string, error) {
	r, err := openRepository(dir, newDurable)
	if err != nil {
		return "", err
	}
	var commit string
	err = patiently(func() error {
		commit, err = r.finish(&d, notHis)
		return err
	})
	return commit, err
}

func (r *repository) finish(d *Draft, notHis func(string) string) (commit string, err error) {
	l, err := r.take()
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, l.done()) }()
	open, err := r.readOpen(l.store, l.idx)
	switch {
	case err != nil:
		return "", err
	case len(open.Left()) > 0:
		return "", fmt.Errorf("%w: %s", ErrUnfinished, strings.Join(open.Left(), ", "))
	case open.Theirs == "":
		return "", fmt.Errorf("%w: its beginning was cut off; give it up and sync again", ErrUnfinished)
	}
	if d.Message == "" {
		d.Message = open.Message
	}
	if err := d.check(); err != nil {
		return "", err
	}
	ours, _, err := l.store.Commit(l.tip)
	if err != nil {
		return "", err
	}
	o := loose{l.store, filesystem.NewStorage(r.common, cache.NewObjectLRU(cache.MiByte)), r.common}
	edits, err := l.edits(ours)
	if err != nil {
		return "", err
	}
	tree, _, err := rewrite(o, ours, "", edits)
	if err != nil {
		return "", err
	}
	theirs := plumbing.NewHash(open.Theirs)
	if err := r.his(ours, theirs, tree, open.joint, notHis); err != nil {
		return "", err
	}
	raw, err := d.encode(tree, []plumbing.Hash{l.tip, theirs})
	if err != nil {
		return "", err
	}
	made, err := o.put(plumbing.CommitObject, raw)
	if err != nil {
		return "", err
	}
	subject, _, _ := strings.Cut(d.Message, "\n")
	if err := r.reflog(l.branch, l.tip, made, d.Committer, "commit (merge): "+subject); err != nil {
		return "", fmt.Errorf("could not write the log of the branch: %w", err)
	}
	if err := errors.Join(l.ref.replace([]byte(made.String()+"\n")), l.ref.Close()); err != nil {
		return "", fmt.Errorf("could not move the branch %s: %w", l.branch, err)
	}
	if err := r.forget(); err != nil {
		return "", fmt.Errorf("signed merge %s, but could not clear what git noted of it: %w", made, err)
	}
	if err := r.readBack(made, nil); err != nil {
		return "", fmt.Errorf("wrote merge %s, but could not read it back: %w", made, err)
	}
	return made.String(), nil
}

// edits are the files in which the index differs from a tree.
func (l *locks) edits(tree plumbing.Hash) ([]edit, error) {
	list, err := l.store.Differences(plumbing.ZeroHash, tree)
	if err != nil {
		return nil, err
	}
	has := map[string]plumbing.Hash{}
	for _, d := range list {
		has[d.Path] = d.Is
	}
	var edits []edit
	for _, e := range l.idx.Entries {
		if has[e.Name] != e.Hash || e.Stage != 0 {
			edits = append(edits, edit{e.Name, e.Hash})
		}
		delete(has, e.Name)
	}
	for p := range has {
		edits = append(edits, edit{path: p})
	}
	slices.SortFunc(edits, func(a, b edit) int { return strings.Compare(a.path, b.path) })
	return slices.CompactFunc(edits, func(a, b edit) bool { return a.path == b.path }), nil
}

// his holds the files whose text the merge makes, which is neither side's, against the signer's rights; what was joined
// without a hand and changes nothing that either side wrote is anybody's.
func (r *repository) his(ours, theirs, tree plumbing.Hash, joint *Joint, notHis func(string) string) error {
	store, err := r.store() // one that sees the new tree
	if err != nil {
		return err
	}
	defer store.Close()
	other, _, err := store.Commit(theirs)
	if err != nil {
		return err
	}
	mine, err := store.Differences(ours, tree)
	if err != nil {
		return err
	}
	his, err := store.Differences(other, tree)
	if err != nil {
		return err
	}
	for _, d := range mine {
		if trace.JoinsAlone(d.Path) {
			if only, err := joint.made(store, &d); err != nil {
				return err
			} else if only {
				continue
			}
		}
		if why := notHis(d.Path); why != "" && slices.ContainsFunc(his,
			func(o trace.Difference) bool { return o.Path == d.Path }) {
			return &NotHisError{why}
		}
	}
	return nil
}

// forget clears what is noted of a merge, the tip first: without it nobody takes the book for being in the middle of
// one.
func (r *repository) forget() error {
	for _, name := range []string{"MERGE_HEAD", "MERGE_MSG", "AUTO_MERGE", "MERGE_MODE"} {
		if err := r.git.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// Kept is a text that a signer had written into a file of a merge that was given up. It is in no commit; git cat-file
// blob shows it.
type Kept struct{ Path, Blob string }

// GiveUp takes the book back to where it was before the open merge: branch, index and files. A text that lies in the
// folder and is neither the book's nor what the merge had put there is kept among git's objects and named.
func GiveUp(dir string) ([]Kept, error) {
	r, err := openRepository(dir, newDurable)
	if err != nil {
		return nil, err
	}
	var kept []Kept
	err = patiently(func() error {
		kept, err = r.giveUp()
		return err
	})
	return kept, err
}

func (r *repository) giveUp() (kept []Kept, err error) {
	l, err := r.take()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.done()) }()
	open, err := r.readOpen(l.store, l.idx)
	if errors.Is(err, ErrNoMerge) {
		if _, begun, _ := r.mergeHead(); begun { // the commit was made, only the notes are left
			return nil, r.forget()
		}
		return nil, err
	} else if err != nil {
		return nil, err
	}
	marked := map[string][]byte{}
	for _, f := range open.Files {
		marked[f.Sides.Path] = f.Marked
	}
	tree, _, err := l.store.Commit(l.tip)
	if err != nil {
		return nil, err
	}
	edits, err := l.edits(tree)
	if err != nil {
		return nil, err
	}
	o := loose{l.store, filesystem.NewStorage(r.common, cache.NewObjectLRU(cache.MiByte)), r.common}
	var back []*arrival
	for _, e := range edits {
		a := &arrival{path: e.path, mode: filemode.Regular}
		if a.is, err = find(o, tree, e.path); err != nil {
			a.is = plumbing.ZeroHash
		}
		texts := [][]byte{marked[e.path]}
		for _, id := range []plumbing.Hash{a.is, e.blob} {
			if id.IsZero() {
				texts = append(texts, nil)
				continue
			}
			text, err := l.store.Blob(id)
			if err != nil {
				return nil, err
			}
			texts = append(texts, append([]byte{}, text...))
		}
		a.text = texts[1]
		if odd, err := r.lies(a); err != nil {
			return nil, err
		} else if odd {
			return nil, &InTheWayError{Odd: []string{e.path}}
		}
		if a.lies != nil && !slices.ContainsFunc(texts, func(t []byte) bool { return same(a.lies, t) }) {
			blob, err := o.put(plumbing.BlobObject, a.lies)
			if err != nil {
				return nil, err
			}
			kept = append(kept, Kept{e.path, blob.String()})
		}
		a.changed = (a.lies == nil) != (a.text == nil) || a.text != nil && !same(a.lies, a.text)
		back = append(back, a)
	}
	if err := r.git.Remove("MERGE_HEAD"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	if err := r.replaceAll(l.store, back); err != nil {
		return nil, err
	}
	if err := r.enter(l.idx, back); err != nil {
		return nil, err
	}
	if err := l.writeIndex(); err != nil {
		return nil, err
	}
	return kept, r.forget()
}

// made reports whether a file holds what the join made of its two sides, item by item, wherever each stands and however
// it is written.
func (j *Joint) made(store *trace.Store, d *trace.Difference) (bool, error) {
	i := slices.IndexFunc(j.targets, func(t target) bool { return t.path == d.Path && t.text != nil })
	if i < 0 || d.Is.IsZero() || !slices.Contains(j.Merged, d.Path) {
		return false, nil
	}
	_, text, err := store.Object(d.Is)
	return err == nil && slices.Equal(itemsOf(d.Path, text), itemsOf(d.Path, j.targets[i].text)), err
}

// itemsOf are the items of a text, in an order of their own.
func itemsOf(name string, text []byte) (all []string) {
	for _, it := range events.Of(name, text) {
		if it.Kind != events.Blank {
			all = append(all, it.Text)
		}
	}
	slices.Sort(all)
	return all
}
