package transfer

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// Content is what the other side lacks of one tip: objects to send, the commits first, then texts and folders, oldest
// first.
type Content struct {
	store *trace.Store
	items []packs.Item
	// commits are those to be sent, oldest first.
	Commits []plumbing.Hash
	// edge are the commits that the other side must hold: those of has that the load builds on.
	Edge []plumbing.Hash
}

// ContentOf works out what a side that holds some commits, and all behind them, lacks of a tip. Commits of has that the
// book does not know are passed over.
func ContentOf(store *trace.Store, tip plumbing.Hash, has []plumbing.Hash) (*Content, error) {
	g := graph.New(store)
	has = slices.DeleteFunc(slices.Clone(has), func(c plumbing.Hash) bool { return store.Has(c) != nil })
	ours, theirs, err := beyond(g, tip, has)
	if err != nil {
		return nil, err
	}
	l := &Content{store: store, Commits: g.Order(ours, tip)}
	if len(l.Commits) == 0 {
		return l, nil
	}
	there := &shelf{store: store, known: graph.Set{emptyTree: true}, at: map[string]plumbing.Hash{}}
	edge := graph.Set{}
	for _, c := range l.Commits {
		for _, p := range g.Known[c].Parents {
			if theirs[p] && !edge[p] {
				edge[p] = true
				l.Edge = append(l.Edge, p)
			}
		}
	}
	// What the other side has in its newest trees need not be sent; what it had once and has no more is sent again.
	for _, c := range slices.Concat(l.Edge, has) {
		n, err := g.At(c)
		if err == nil {
			err = there.put(n.Tree, "")
		}
		if err != nil {
			return nil, err
		}
	}
	for _, c := range l.Commits {
		l.items = append(l.items, packs.Item{ID: c, Kind: plumbing.CommitObject, Near: l.Edge})
	}
	for _, c := range l.Commits {
		if err := l.add(there, g.Known[c].Tree, ""); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// beyond is what a tip has in its past that the other side has not, and at least those commits of the other side that
// it stands on.
func beyond(g *graph.Graph, tip plumbing.Hash, has []plumbing.Hash) (ours, theirs graph.Set, err error) {
	if len(has) == 1 {
		if ours, ok, err := g.Since(has[0], tip); ok || err != nil {
			return ours, graph.Set{has[0]: true}, err
		}
	}
	if theirs, err = g.Past(nil, has...); err == nil {
		ours, err = g.Past(theirs, tip)
	}
	return ours, theirs, err
}

// listed are the entries of a folder that is gone into once, however often it lies in the book.
func listed(store *trace.Store, tree plumbing.Hash, prefix string) ([]trace.Entry, error) {
	if err := store.Stopped(); err != nil {
		return nil, err
	}
	if strings.Count(prefix, "/") > budget.Depth {
		return nil, &trace.BrokenError{ID: tree.String(), Why: fmt.Sprintf("lies more than %d folders deep", budget.Depth)}
	}
	return store.Entries(tree)
}

// shelf is what the other side has in the trees of the edge.
type shelf struct {
	store *trace.Store
	known graph.Set
	at    map[string]plumbing.Hash // by path: what stands there on the other side, or was sent last
}

func (s *shelf) put(tree plumbing.Hash, prefix string) error {
	if s.at[prefix].IsZero() {
		s.at[prefix] = tree
	}
	if s.known[tree] {
		return nil
	}
	s.known[tree] = true
	entries, err := listed(s.store, tree, prefix)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.Mode == exchange.ModeTree {
			if err := s.put(e.ID, prefix+e.Name+"/"); err != nil {
				return err
			}
			continue
		}
		s.known[e.ID] = true
		s.at[prefix+e.Name] = e.ID
	}
	return nil
}

// add lists what a tree holds that the other side lacks, texts before the folder they stand in.
func (l *Content) add(there *shelf, tree plumbing.Hash, prefix string) error {
	if there.known[tree] {
		return nil
	}
	there.known[tree] = true
	entries, err := listed(l.store, tree, prefix)
	if err != nil {
		return err
	}
	for i, e := range entries {
		path := prefix + e.Name
		if e.Mode == exchange.ModeTree {
			if err := l.add(there, e.ID, path+"/"); err != nil {
				return err
			}
			continue
		}
		if there.known[e.ID] {
			continue
		}
		there.known[e.ID] = true
		it := packs.Item{ID: e.ID, Kind: plumbing.BlobObject, Path: path}
		if was, ok := there.at[path]; ok {
			it.Near = append(it.Near, was)
		}
		for j := max(0, i-3); j < min(len(entries), i+4); j++ { // records of one cylinder are much alike
			if n, ok := there.at[prefix+entries[j].Name]; ok && j != i && entries[j].Mode != exchange.ModeTree {
				it.Near = append(it.Near, n)
			}
		}
		l.items = append(l.items, it)
	}
	it := packs.Item{ID: tree, Kind: plumbing.TreeObject, Path: prefix}
	if was, ok := there.at[prefix]; ok {
		it.Near = []plumbing.Hash{was}
	}
	l.items = append(l.items, it)
	return nil
}

// Write writes the pack; a thin one may refer to what the other side holds.
func (l *Content) Write(w io.Writer, thin bool, level int) (int64, error) {
	items := l.items
	if !thin {
		items = slices.Clone(items)
		for i := range items {
			items[i].Near = nil
		}
	}
	return packs.Write(w, items, func(id plumbing.Hash) (packs.Object, error) {
		kind, raw, err := l.store.Object(id)
		return packs.Object{Kind: kind, Raw: raw}, err
	}, level)
}

// Brings reports whether a commit has a photo or a bench trace that no parent has.
func Brings(store *trace.Store, g *graph.Graph, c plumbing.Hash) (bool, error) {
	n, err := g.At(c)
	if err != nil {
		return false, err
	}
	before := plumbing.ZeroHash
	if len(n.Parents) > 0 {
		p, err := g.At(n.Parents[0])
		if err != nil {
			return false, err
		}
		before = p.Tree
	}
	list, err := store.Differences(before, n.Tree)
	return slices.ContainsFunc(list, func(d trace.Difference) bool {
		return exchange.BytesOnly(d.Path) &&
			!d.Is.IsZero()
	}), err
}

// An Outgoing is what would travel to the other side.
type Outgoing struct {
	// Tip is the commit that would be sent; empty when there is nothing to send.
	Tip string
	// Commits and Bytes are what would travel, Behind what stays behind because it is more than was allowed.
	Commits int
	Bytes   int64
	Behind  int
	// Photos counts the photos and bench traces among what stays behind, NextBytes is what one step more would take in
	// all.
	Photos    int
	NextBytes int64
}

// A Source is a book from which something goes, open where it stands. The caller closes it.
type Source struct {
	*trace.Store
	Tip    plumbing.Hash
	Branch string
}

// From opens the book in a folder. What is read of it ends when the context does.
func From(ctx context.Context, dir string) (*Source, error) {
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	store.Until(ctx)
	tip, branch, err := store.Head()
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return &Source{store, tip, branch}, nil
}

// NewOutgoing works out what goes from a book to a side that stands on one commit, zero where that does not matter, and
// holds some, within a bound of bytes (0 for none): a longest piece of history from the oldest commit on.
func NewOutgoing(ctx context.Context, dir string, old plumbing.Hash, has []plumbing.Hash, bound int64, thin bool) (
	*Outgoing, error) {
	book, err := From(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	return book.outgoing(old, has, bound, thin)
}

func (b *Source) outgoing(old plumbing.Hash, has []plumbing.Hash, bound int64, thin bool) (*Outgoing, error) {
	store, tip := b.Store, b.Tip
	whole, err := ContentOf(store, tip, has)
	if err != nil {
		return nil, err
	}
	o := &Outgoing{Commits: len(whole.Commits)}
	if o.Commits == 0 {
		return o, nil
	}
	o.Tip = tip.String()
	if o.Bytes, err = whole.Write(io.Discard, thin, 9); err != nil || bound == 0 || o.Bytes <= bound {
		return o, err
	}
	steps, err := stepsTo(store, whole.Commits, old)
	if err != nil {
		return nil, err
	}
	size := func(n int) (int, int64, error) {
		l, err := ContentOf(store, steps[n], has)
		if err != nil {
			return 0, 0, err
		}
		bytes, err := l.Write(io.Discard, thin, 9)
		return len(l.Commits), bytes, err
	}
	o.NextBytes, o.Behind, o.Tip, o.Bytes = o.Bytes, o.Commits, "", 0
	o.Commits = 0
	for low, high := 0, len(steps)-1; low < high; { // steps[high] is too much
		mid := (low + high) / 2
		commits, bytes, err := size(mid)
		if err != nil {
			return nil, err
		}
		if bytes <= bound {
			o.Tip, o.Commits, o.Bytes = steps[mid].String(), commits, bytes
			low = mid + 1
		} else {
			o.NextBytes, high = bytes, mid
		}
	}
	o.Behind -= o.Commits
	g := graph.New(store)
	sent := graph.Set{}
	if o.Tip != "" {
		if sent, err = g.Past(nil, plumbing.NewHash(o.Tip)); err != nil {
			return nil, err
		}
	}
	for _, c := range whole.Commits {
		if sent[c] {
			continue
		}
		if photo, err := Brings(store, g, c); err != nil {
			return nil, err
		} else if photo {
			o.Photos++
		}
	}
	return o, nil
}

// stepsTo are the commits on which the other side's branch may come to stand, oldest first: those that have its present
// one in their past.
func stepsTo(store *trace.Store, commits []plumbing.Hash, old plumbing.Hash) ([]plumbing.Hash, error) {
	if old.IsZero() {
		return commits, nil
	}
	g := graph.New(store)
	above := graph.Set{old: true}
	var steps []plumbing.Hash
	for _, c := range commits {
		n, err := g.At(c)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(n.Parents, func(p plumbing.Hash) bool { return above[p] }) {
			above[c] = true
			steps = append(steps, c)
		}
	}
	return steps, nil
}
