package trace

import (
	"errors"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"
)

// Relation is how one copy of a book is to another.
type Relation int

// The relations.
const (
	Unknown   Relation = iota // the other's tip is in neither repository
	Same                      // both have one tip
	Ahead                     // it has all that the other has, and more
	Behind                    // the other has all that it has, and more
	Aside                     // each has what the other has not
	Rewritten                 // it had the other's tip and has it no more, or has made a commit of the other's again
)

// Relate says how the history up to a tip, in the book in dir, is to another copy's, whose tip was seen in the
// folder other. The other's commits are looked for there and here.
func Relate(dir, tip, other, seen string) (Relation, error) {
	if tip == seen {
		return Same, nil
	}
	s, err := OpenStore(dir)
	if err != nil {
		return Unknown, err
	}
	defer s.Close()
	ours, settle, err := s.walk(plumbing.NewHash(tip))
	settle()
	if err != nil {
		return Unknown, err
	}
	has := map[id]bool{}
	for _, n := range ours {
		has[n.id] = true
	}
	if has[plumbing.NewHash(seen)] {
		return Ahead, nil
	}
	held := s.Has(plumbing.NewHash(seen)) == nil
	theirs, err := walkIn(other, seen)
	if err != nil && held {
		theirs, err = walkIn(dir, seen)
	}
	var broken *BrokenError
	if errors.As(err, &broken) || errors.Is(err, ErrNotRepository) || err != nil {
		return Unknown, nil
	}
	if held {
		if reached, err := s.pointedAt(plumbing.NewHash(seen)); err != nil || !reached {
			return Rewritten, err
		}
	}
	return relation(ours, theirs, has), nil
}

// relation compares two histories neither of which is known to hold the other's tip.
func relation(ours, theirs []*node, has map[id]bool) Relation {
	type made struct {
		name, email string
		at          int64
	}
	by := func(n *node) made { return made{n.raw.author.name, n.raw.author.email, n.raw.author.at.Unix()} }
	their, again := map[id]bool{}, map[made]bool{}
	common := false
	for _, n := range theirs {
		their[n.id] = true
		common = common || has[n.id]
		if !has[n.id] {
			again[by(n)] = true
		}
	}
	switch {
	case their[ours[len(ours)-1].id]:
		return Behind
	case !common, slices.ContainsFunc(ours, func(n *node) bool { return !their[n.id] && again[by(n)] }):
		return Rewritten
	}
	return Aside
}

func walkIn(dir, tip string) ([]*node, error) {
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	nodes, settle, err := s.walk(plumbing.NewHash(tip))
	settle()
	return nodes, err
}

// pointedAt reports whether any ref has a commit in its past: what only came from elsewhere has.
func (s *Store) pointedAt(commit id) (bool, error) {
	refs, err := s.objects.IterReferences()
	if err != nil {
		return false, err
	}
	defer refs.Close()
	found := errors.New("found")
	err = refs.ForEach(func(r *plumbing.Reference) error {
		if r.Type() != plumbing.HashReference {
			return nil
		}
		nodes, settle, err := s.walk(r.Hash())
		settle()
		if err != nil {
			return nil // a tag of its own, or a ref to what is not here: the book's own state does not depend on it
		}
		if slices.ContainsFunc(nodes, func(n *node) bool { return n.id == commit }) {
			return found
		}
		return nil
	})
	if errors.Is(err, found) {
		return true, nil
	}
	return false, err
}
