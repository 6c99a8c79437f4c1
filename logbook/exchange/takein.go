package exchange

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/storage/filesystem"

	"needlebook/logbook/trace"
)

var (
	// ErrUnrelated says that two tips have no commit in common: they are two books.
	ErrUnrelated = errors.New("the histories have no commit in common")
	// ErrNeedsSigner says that a merge is needed and nobody is there to sign it.
	ErrNeedsSigner = errors.New("both sides have written: a merge is needed, and a merge is signed")
)

// A NotHisError says that both sides changed a file and that joining it is not the signer's right.
type NotHisError struct{ Why string }

func (e *NotHisError) Error() string { return e.Why }

// Taken is what became of another tip.
type Taken struct {
	// Tip is where the branch stands now, Commits how many commits came with theirs.
	Tip     string
	Commits int
	// Merge is true when a merge commit was made, or begun.
	Merge bool
	Joint
}

// TakeIn brings another tip, whose objects are in the book already, into the branch of the book in dir: nothing to do
// when it is in the branch's past, a step forward when the branch is in its past, a merge otherwise. The draft gives
// the merge commit's author, message and signer; notHis says why its signer may not change a path. Conflicts stay with
// a hand, all else goes through: the folder and the index then stand in the middle of a merge, as git leaves one. An
// *InTheWayError names files of the user's that would be written over; nothing was changed then, as after any other
// error but one in reading back. When the context ends before anything is written, the error is budget.ErrStopped.
func TakeIn(ctx context.Context, dir, theirs string, d Draft, notHis func(path string) string) (*Taken, error) {
	r, err := openRepository(dir, newDurable)
	if err != nil {
		return nil, err
	}
	for deadline := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) {
		t, err := r.takeIn(ctx, plumbing.NewHash(theirs), &d, notHis)
		if !errors.Is(err, ErrLocked) && !errors.Is(err, errMoved) || time.Now().After(deadline) {
			return t, err
		}
	}
}

func (r *repository) takeIn(ctx context.Context, theirs plumbing.Hash, d *Draft, notHis func(string) string) (*Taken,
	error) {
	store, err := r.store()
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	ours, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	g := newGraph(store)
	us, err := g.past(nil, ours)
	if err != nil {
		return nil, err
	}
	t := &Taken{Tip: ours.String()}
	if us[theirs] {
		return t, nil
	}
	came, err := g.past(us, theirs)
	if err != nil {
		return nil, err
	}
	t.Commits = len(came)
	them, err := g.past(nil, theirs)
	if err != nil {
		return nil, err
	}
	if d.Committer == (Person{}) {
		d.Committer = d.Author
	}
	w := &way{from: ours, to: theirs, who: d.Committer, log: "sync: fast-forward"}
	if them[ours] {
		if w.targets, err = forward(store, g.known[ours].tree, g.known[theirs].tree); err != nil {
			return nil, err
		}
		t.Tip = theirs.String()
		return t, r.advance(w)
	}
	bases := g.bases(us, them)
	if len(bases) == 0 {
		return nil, ErrUnrelated
	}
	t.Merge = true
	if d.Signer == nil {
		return t, ErrNeedsSigner
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	m, err := meet(store, g, bases, us, them, ours, theirs)
	if err != nil {
		return nil, err
	}
	j, err := m.join()
	if err != nil {
		return nil, err
	}
	t.Joint = *j
	for _, p := range j.Merged {
		if why := notHis(p); why != "" && !trace.JoinsAlone(p) {
			return t, &NotHisError{why}
		}
	}
	for _, c := range j.Conflicts {
		if why := notHis(c.Sides.Path); why != "" {
			return t, &NotHisError{why}
		}
	}
	o := loose{store, filesystem.NewStorage(r.common, cache.NewObjectLRU(cache.MiByte)), r.common}
	if err := j.put(o); err != nil {
		return nil, err
	}
	if err := j.fits(o, g.known[ours].tree); err != nil {
		return nil, err
	}
	w.targets, w.open, w.theirs, w.message, w.log = j.targets, j.Conflicts, theirs, d.Message, "sync: merge"
	if w.to = plumbing.ZeroHash; len(j.Conflicts) == 0 {
		if w.to, err = r.mergeCommit(o, g.known[ours].tree, j.targets, []plumbing.Hash{ours, theirs}, d); err != nil {
			return nil, err
		}
		t.Tip = w.to.String()
	}
	return t, r.advance(w)
}

// forward is what a step to a later tree changes.
func forward(store *trace.Store, from, to plumbing.Hash) ([]target, error) {
	list, err := store.Differences(from, to)
	var targets []target
	for i := range list {
		d := &list[i]
		if d.From != "" {
			targets = append(targets, target{path: d.From, was: d.Was})
			d.Was = plumbing.ZeroHash
		}
		targets = append(targets, target{path: d.Path, was: d.Was, is: d.Is, exec: isExec(d)})
	}
	return targets, err
}

// put stores the texts that the merge made.
func (j *Joint) put(o objects) (err error) {
	for i := range j.targets {
		if t := &j.targets[i]; t.text != nil {
			if t.is, err = o.put(plumbing.BlobObject, t.text); err != nil {
				return err
			}
		}
	}
	return nil
}

// fits returns an error when the files of the merge cannot lie in one folder: one side's folder has the name of the
// other's file.
func (j *Joint) fits(o objects, tree plumbing.Hash) error {
	var edits []edit
	for _, t := range j.targets {
		edits = append(edits, edit{path: t.path, blob: t.is})
	}
	for _, c := range j.Conflicts {
		if !slices.ContainsFunc(edits, func(e edit) bool { return e.path == c.Sides.Path }) {
			edits = append(edits, edit{path: c.Sides.Path, blob: plumbing.NewHash("e69de29bb2d1d6434b8b29ae775ad8c2e48c5391")})
		}
	}
	slices.SortFunc(edits, func(a, b edit) int { return strings.Compare(a.path, b.path) })
	if _, _, err := rewrite(o, tree, "", edits); err != nil {
		return fmt.Errorf("the two sides do not fit into one folder: %w; move one of them, on its side, and do "+
			"the same again", err)
	}
	return nil
}

// mergeCommit makes the commit of a merge in which nothing is left to decide.
func (r *repository) mergeCommit(o objects, tree plumbing.Hash, targets []target, parents []plumbing.Hash,
	d *Draft) (plumbing.Hash, error) {
	edits := make([]edit, 0, len(targets))
	for _, t := range targets {
		edits = append(edits, edit{path: t.path, blob: t.is})
	}
	next, _, err := rewrite(o, tree, "", edits)
	if err != nil {
		return tree, err
	}
	raw, err := d.encode(next, parents)
	if err != nil {
		return tree, err
	}
	return o.put(plumbing.CommitObject, raw)
}
