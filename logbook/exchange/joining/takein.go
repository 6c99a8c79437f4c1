package joining

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/trace"
)

var (
	// ErrUnrelated says that two tips have no commit in common: they are two books.
	ErrUnrelated = errors.New("the histories have no commit in common")
	// ErrNeedsSigner says that a merge is needed and nobody is there to sign it.
	ErrNeedsSigner = errors.New("both sides have written: a merge is needed, and a merge is signed")
)

// A NotAllowedError says that both sides changed a file and that joining it is not the signer's right.
type NotAllowedError struct{ Why string }

func (e *NotAllowedError) Error() string { return e.Why }

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
// the merge commit's author, message and signer; refuses says why its signer may not change a path. Conflicts stay with
// a hand, all else goes through: the folder and the index then stand in the middle of a merge, as git leaves one. An
// *InTheWayError names files of the user's that would be written over; nothing was changed then, as after any other
// error but one in reading back. When the context ends before anything is written, the error is budget.ErrStopped.
func TakeIn(ctx context.Context, dir, theirs string, d exchange.Draft, refuses func(path string) string) (*Taken,
	error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	for deadline := time.Now().Add(exchange.Patience); ; time.Sleep(20 * time.Millisecond) {
		t, err := TakeInOn(ctx, r, plumbing.NewHash(theirs), &d, refuses)
		if !errors.Is(err, durable.ErrLocked) && !errors.Is(err, errMoved) || time.Now().After(deadline) {
			return t, err
		}
	}
}

// TakeInOn is TakeIn in an open repository.
func TakeInOn(ctx context.Context, r *exchange.Repository, theirs plumbing.Hash, d *exchange.Draft,
	refuses func(string) string) (*Taken,
	error) {
	store, err := r.Store()
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	ours, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	g := graph.New(store)
	t := &Taken{Tip: ours.String()}
	if _, held, err := g.Since(theirs, ours); err != nil {
		return nil, err
	} else if held {
		return t, nil
	}
	us, err := g.Past(nil, ours)
	if err != nil {
		return nil, err
	}
	if us[theirs] {
		return t, nil
	}
	came, err := g.Past(us, theirs)
	if err != nil {
		return nil, err
	}
	t.Commits = len(came)
	them, err := g.Past(nil, theirs)
	if err != nil {
		return nil, err
	}
	if d.Committer == (exchange.Person{}) {
		d.Committer = d.Author
	}
	w := &way{from: ours, to: theirs, who: d.Committer, log: "sync: fast-forward"}
	if them[ours] {
		if w.targets, err = forward(store, g.Known[ours].Tree, g.Known[theirs].Tree); err != nil {
			return nil, err
		}
		t.Tip = theirs.String()
		return t, advance(r, w)
	}
	bases := g.Bases(us, them)
	if len(bases) == 0 {
		return nil, ErrUnrelated
	}
	t.Merge = true
	if d.Signer == nil {
		return t, ErrNeedsSigner
	}
	if err := d.Check(); err != nil {
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
		if why := refuses(p); why != "" && !trace.JoinsAlone(p) {
			return t, &NotAllowedError{why}
		}
	}
	for _, c := range j.Conflicts {
		if why := refuses(c.Sides.Path); why != "" {
			return t, &NotAllowedError{why}
		}
	}
	o := r.ObjectsOf(store)
	if err := j.put(o); err != nil {
		return nil, err
	}
	if err := j.fits(o, g.Known[ours].Tree); err != nil {
		return nil, err
	}
	w.targets, w.open, w.theirs, w.message, w.log = j.targets, j.Conflicts, theirs, d.Message, "sync: merge"
	if w.to = plumbing.ZeroHash; len(j.Conflicts) == 0 {
		if w.to, err = mergeCommit(r, o, g.Known[ours].Tree, j.targets, []plumbing.Hash{ours, theirs}, d); err != nil {
			return nil, err
		}
		t.Tip = w.to.String()
	}
	return t, advance(r, w)
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
func (j *Joint) put(o exchange.Objects) (err error) {
	for i := range j.targets {
		if t := &j.targets[i]; t.text != nil {
			if t.is, err = o.Put(plumbing.BlobObject, t.text); err != nil {
				return err
			}
		}
	}
	return nil
}

// fits returns an error when the files of the merge cannot lie in one folder: one side's folder has the name of the
// other's file.
func (j *Joint) fits(o exchange.Objects, tree plumbing.Hash) error {
	var edits []exchange.Edit
	for _, t := range j.targets {
		edits = append(edits, exchange.Edit{Path: t.path, Blob: t.is})
	}
	for _, c := range j.Conflicts {
		if !slices.ContainsFunc(edits, func(e exchange.Edit) bool { return e.Path == c.Sides.Path }) {
			edits = append(edits, exchange.Edit{Path: c.Sides.Path,
				Blob: plumbing.NewHash("e69de29bb2d1d6434b8b29ae775ad8c2e48c5391")})
		}
	}
	slices.SortFunc(edits, func(a, b exchange.Edit) int { return strings.Compare(a.Path, b.Path) })
	if _, _, err := exchange.Rewrite(o, tree, "", edits); err != nil {
		return fmt.Errorf("the two sides do not fit into one folder: %w; move one of them, on its side, and do "+
			"the same again", err)
	}
	return nil
}

// mergeCommit makes the commit of a merge in which nothing is left to decide.
func mergeCommit(r *exchange.Repository, o exchange.Objects, tree plumbing.Hash, targets []target,
	parents []plumbing.Hash,
	d *exchange.Draft) (plumbing.Hash, error) {
	edits := make([]exchange.Edit, 0, len(targets))
	for _, t := range targets {
		edits = append(edits, exchange.Edit{Path: t.path, Blob: t.is})
	}
	next, _, err := exchange.Rewrite(o, tree, "", edits)
	if err != nil {
		return tree, err
	}
	raw, err := d.Encode(next, parents)
	if err != nil {
		return tree, err
	}
	return o.Put(plumbing.CommitObject, raw)
}
