package joining

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
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/format/index"

	"needlebook/logbook/events"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
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
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	f, err := r.Git.Open("index")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoMerge
	} else if err != nil {
		return nil, err
	}
	defer f.Close()
	idx, err := exchange.DecodeIndex(f)
	if err != nil {
		return nil, err
	}
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	return readOpen(r, store, idx)
}

func readOpen(r *exchange.Repository, store *trace.Store, idx *index.Index) (*Open, error) {
	o := &Open{}
	staged := map[string]bool{}
	for _, e := range idx.Entries {
		if e.Stage != 0 {
			staged[e.Name] = true
		}
	}
	theirs, begun, err := r.MergeHead()
	if err != nil {
		return nil, err
	}
	if !begun && len(staged) == 0 {
		return nil, ErrNoMerge
	}
	if err := r.ByGit(); !begun && err != nil {
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
		if edits, err := (&Locks{Store: store, idx: idx}).Edits(tree); err != nil || len(edits) == 0 {
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
	message, err := exchange.ReadIfThere(r.ReadGit, "MERGE_MSG")
	if err != nil {
		return nil, err
	}
	o.Message = withoutComments(message)
	g := graph.New(store)
	us, err := g.Past(nil, ours)
	if err != nil {
		return nil, err
	}
	if us[theirs] && len(staged) == 0 {
		return nil, ErrNoMerge // stopped just behind the commit
	}
	them, err := g.Past(nil, theirs)
	if err != nil {
		return nil, err
	}
	m, err := meet(store, g, g.Bases(us, them), us, them, ours, theirs)
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

// both locks, the branch's and the index's, as one; done lets go of what was not closed.
type Locks struct {
	branch      string
	ref, staged *durable.Locked
	Store       *trace.Store
	Tip         plumbing.Hash
	idx         *index.Index
}

// Take takes both locks, and reads what they guard.
func Take(r *exchange.Repository) (l *Locks, err error) {
	l = &Locks{}
	if l.branch, err = r.Branch(); err != nil {
		return nil, err
	}
	if l.ref, err = r.Common.Lock("refs/heads/"+l.branch, false); err != nil {
		return nil, err
	}
	if l.staged, err = r.Git.Lock("index", false); err != nil {
		return nil, errors.Join(err, l.ref.Release())
	}
	if l.Store, err = r.Store(); err != nil {
		return nil, errors.Join(err, l.ref.Release(), l.staged.Release())
	}
	still := ""
	if l.Tip, still, err = l.Store.Head(); err == nil && still != l.branch {
		err = fmt.Errorf("%w: the branch was changed meanwhile", durable.ErrLocked)
	}
	if err == nil {
		l.idx, err = exchange.DecodeIndex(l.staged)
	}
	if err != nil {
		return nil, errors.Join(err, l.Done())
	}
	return l, nil
}

// Done lets go of what was not closed.
func (l *Locks) Done() error {
	return errors.Join(l.Store.Close(), l.staged.Release(), l.ref.Release())
}

// writeIndex puts the index in place and lets its lock go.
func (l *Locks) writeIndex() error {
	var text bytes.Buffer
	err := index.NewEncoder(&text).Encode(l.idx)
	if err == nil {
		err = errors.Join(l.staged.Replace(text.Bytes()), l.staged.Close())
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
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	err = exchange.Patiently(func() error {
		beside, err = ResolveOn(r, path, lies, text)
		return err
	})
	return beside, err
}

// ResolveOn is Resolve in an open repository.
func ResolveOn(r *exchange.Repository, path string, lies, text []byte) (beside []string, err error) {
	l, err := Take(r)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Done()) }()
	if !slices.ContainsFunc(l.idx.Entries, func(e *index.Entry) bool { return e.Name == path }) {
		return nil, fmt.Errorf("%w: %q is no file of it", ErrNoMerge, path)
	}
	a := &arrival{path: path, text: text, mode: filemode.Regular}
	if odd, err := lookAt(r, a); err != nil {
		return nil, err
	} else if odd {
		return nil, &InTheWayError{Odd: []string{path}}
	}
	if (a.lies == nil) != (lies == nil) || !bytes.Equal(a.lies, lies) {
		return nil, fmt.Errorf("%w: %q", exchange.ErrEdited, path)
	}
	a.changed = !exchange.Same(a.lies, text)
	more, err := setAside(r, l, path, text)
	if err != nil {
		return nil, err
	}
	for _, b := range more {
		beside = append(beside, b.path)
	}
	list := append([]*arrival{a}, more...)
	o := r.ObjectsOf(l.Store)
	for _, a := range list {
		if a.is, err = o.Put(plumbing.BlobObject, a.text); err != nil {
			return nil, err
		}
	}
	if err := replaceAll(r, l.Store, list); err != nil {
		return nil, err
	}
	if err := enter(r, l.idx, list); err != nil {
		return nil, err
	}
	return beside, l.writeIndex()
}

// setAside finds a place of its own for each side's photo, or other file of bytes, that is not the one chosen:
// photos/tip.jpg becomes photos/tip-2.jpg.
func setAside(r *exchange.Repository, l *Locks, name string, chosen []byte) ([]*arrival, error) {
	open, err := readOpen(r, l.Store, l.idx)
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
				odd, err := lookAt(r, a)
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
func FinishMerge(dir string, d exchange.Draft, refuses func(path string) string) (string, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return "", err
	}
	var commit string
	err = exchange.Patiently(func() error {
		commit, err = FinishOn(r, &d, refuses)
		return err
	})
	return commit, err
}

// FinishOn is FinishMerge in an open repository.
func FinishOn(r *exchange.Repository, d *exchange.Draft, refuses func(string) string) (commit string, err error) {
	l, err := Take(r)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, l.Done()) }()
	open, err := readOpen(r, l.Store, l.idx)
	switch {
	case err != nil:
		return "", err
	case len(open.Left()) > 0:
		return "", fmt.Errorf("%w: %s", exchange.ErrUnfinished, strings.Join(open.Left(), ", "))
	case open.Theirs == "":
		return "", fmt.Errorf("%w: its beginning was cut off; give it up and sync again", exchange.ErrUnfinished)
	}
	if d.Message == "" {
		d.Message = open.Message
	}
	if err := d.Check(); err != nil {
		return "", err
	}
	ours, _, err := l.Store.Commit(l.Tip)
	if err != nil {
		return "", err
	}
	o := r.ObjectsOf(l.Store)
	edits, err := l.Edits(ours)
	if err != nil {
		return "", err
	}
	tree, _, err := exchange.Rewrite(o, ours, "", edits)
	if err != nil {
		return "", err
	}
	theirs := plumbing.NewHash(open.Theirs)
	if err := rights(r, ours, theirs, tree, open.joint, refuses); err != nil {
		return "", err
	}
	raw, err := d.Encode(tree, []plumbing.Hash{l.Tip, theirs})
	if err != nil {
		return "", err
	}
	made, err := o.Put(plumbing.CommitObject, raw)
	if err != nil {
		return "", err
	}
	subject, _, _ := strings.Cut(d.Message, "\n")
	if err := r.Reflog(l.branch, l.Tip, made, d.Committer, "commit (merge): "+subject); err != nil {
		return "", fmt.Errorf("could not write the log of the branch: %w", err)
	}
	if err := errors.Join(l.ref.Replace([]byte(made.String()+"\n")), l.ref.Close()); err != nil {
		return "", fmt.Errorf("could not move the branch %s: %w", l.branch, err)
	}
	if err := r.Forget(); err != nil {
		return "", fmt.Errorf("signed merge %s, but could not clear what git noted of it: %w", made, err)
	}
	if err := r.ReadBack(made, nil); err != nil {
		return "", fmt.Errorf("wrote merge %s, but could not read it back: %w", made, err)
	}
	return made.String(), nil
}

// Edits are the files in which the index differs from a tree.
func (l *Locks) Edits(tree plumbing.Hash) ([]exchange.Edit, error) {
	list, err := l.Store.Differences(plumbing.ZeroHash, tree)
	if err != nil {
		return nil, err
	}
	has := map[string]plumbing.Hash{}
	for _, d := range list {
		has[d.Path] = d.Is
	}
	var edits []exchange.Edit
	for _, e := range l.idx.Entries {
		if has[e.Name] != e.Hash || e.Stage != 0 {
			edits = append(edits, exchange.Edit{Path: e.Name, Blob: e.Hash})
		}
		delete(has, e.Name)
	}
	for p := range has {
		edits = append(edits, exchange.Edit{Path: p})
	}
	slices.SortFunc(edits, func(a, b exchange.Edit) int { return strings.Compare(a.Path, b.Path) })
	return slices.CompactFunc(edits, func(a, b exchange.Edit) bool { return a.Path == b.Path }), nil
}

// rights holds the files whose text the merge makes, which is neither side's, against the signer's rights; what was
// joined without a hand and changes nothing that either side wrote is anybody's.
func rights(r *exchange.Repository, ours, theirs, tree plumbing.Hash, joint *Joint, refuses func(string) string) error {
	store, err := r.Store() // one that sees the new tree
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
	changed, err := store.Differences(other, tree)
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
		if why := refuses(d.Path); why != "" && slices.ContainsFunc(changed,
			func(o trace.Difference) bool { return o.Path == d.Path }) {
			return &NotAllowedError{why}
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
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	var kept []Kept
	err = exchange.Patiently(func() error {
		kept, err = GiveUpOn(r)
		return err
	})
	return kept, err
}

// GiveUpOn is GiveUp in an open repository.
func GiveUpOn(r *exchange.Repository) (kept []Kept, err error) {
	l, err := Take(r)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Done()) }()
	open, err := readOpen(r, l.Store, l.idx)
	if errors.Is(err, ErrNoMerge) {
		if _, begun, _ := r.MergeHead(); begun { // the commit was made, only the notes are left
			return nil, r.Forget()
		}
		return nil, err
	} else if err != nil {
		return nil, err
	}
	marked := map[string][]byte{}
	for _, f := range open.Files {
		marked[f.Sides.Path] = f.Marked
	}
	tree, _, err := l.Store.Commit(l.Tip)
	if err != nil {
		return nil, err
	}
	edits, err := l.Edits(tree)
	if err != nil {
		return nil, err
	}
	o := r.ObjectsOf(l.Store)
	var back []*arrival
	for _, e := range edits {
		a := &arrival{path: e.Path, mode: filemode.Regular}
		if a.is, err = exchange.Find(o, tree, e.Path); err != nil {
			a.is = plumbing.ZeroHash
		}
		texts := [][]byte{marked[e.Path]}
		for _, id := range []plumbing.Hash{a.is, e.Blob} {
			if id.IsZero() {
				texts = append(texts, nil)
				continue
			}
			text, err := l.Store.Blob(id)
			if err != nil {
				return nil, err
			}
			texts = append(texts, append([]byte{}, text...))
		}
		a.text = texts[1]
		if odd, err := lookAt(r, a); err != nil {
			return nil, err
		} else if odd {
			return nil, &InTheWayError{Odd: []string{e.Path}}
		}
		if a.lies != nil && !slices.ContainsFunc(texts, func(t []byte) bool { return exchange.Same(a.lies, t) }) {
			blob, err := o.Put(plumbing.BlobObject, a.lies)
			if err != nil {
				return nil, err
			}
			kept = append(kept, Kept{e.Path, blob.String()})
		}
		a.changed = (a.lies == nil) != (a.text == nil) || a.text != nil && !exchange.Same(a.lies, a.text)
		back = append(back, a)
	}
	if err := r.Git.Remove("MERGE_HEAD"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	if err := replaceAll(r, l.Store, back); err != nil {
		return nil, err
	}
	if err := enter(r, l.idx, back); err != nil {
		return nil, err
	}
	if err := l.writeIndex(); err != nil {
		return nil, err
	}
	return kept, r.Forget()
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
