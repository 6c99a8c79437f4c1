// Package graph walks the commits of a book: what a tip has in its past, in which order, and the merge bases of two
// tips.
package graph

import (
	"slices"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/trace"
)

// Hashes are ids as git has them.
func Hashes(list []string) []plumbing.Hash {
	out := make([]plumbing.Hash, len(list))
	for i, h := range list {
		out[i] = plumbing.NewHash(h)
	}
	return out
}

// Graph is the commits of a book and what each stands on, read when they are asked for.
type Graph struct {
	Store *trace.Store
	Known map[plumbing.Hash]Node
}

// Node is one commit: its tree and what it stands on.
type Node struct {
	Tree    plumbing.Hash
	Parents []plumbing.Hash
}

// Set is a set of commits.
type Set map[plumbing.Hash]bool

// New is the graph of the commits in a store.
func New(store *trace.Store) *Graph {
	return &Graph{Store: store, Known: map[plumbing.Hash]Node{}}
}

// At reads one commit.
func (g *Graph) At(c plumbing.Hash) (Node, error) {
	n, ok := g.Known[c]
	if !ok {
		var err error
		if n.Tree, n.Parents, err = g.Store.Commit(c); err != nil {
			return n, err
		}
		g.Known[c] = n
	}
	return n, nil
}

// Past is the tips and all that they have in their past, but for what without holds.
func (g *Graph) Past(without Set, tips ...plumbing.Hash) (Set, error) {
	seen := Set{}
	for next := slices.Clone(tips); len(next) > 0; {
		c := next[len(next)-1]
		next = next[:len(next)-1]
		if seen[c] || without[c] {
			continue
		}
		seen[c] = true
		n, err := g.At(c)
		if err != nil {
			return nil, err
		}
		next = append(next, n.Parents...)
	}
	return seen, nil
}

// Since is what a tip has in its past that a commit has not, where every way back from the tip leads to that commit; ok
// says that it does. No way back goes on from there, so that it costs what is new, and not the age of the book.
func (g *Graph) Since(commit, tip plumbing.Hash) (s Set, ok bool, err error) {
	if s, err = g.Past(Set{commit: true}, tip); err != nil {
		return nil, false, err
	}
	for c := range s {
		if len(g.Known[c].Parents) == 0 {
			return s, false, nil
		}
	}
	return s, true, nil
}

// Order lists a set oldest first, each commit after its parents; the order depends on the commits alone.
func (g *Graph) Order(s Set, tip plumbing.Hash) []plumbing.Hash {
	type frame struct {
		c    plumbing.Hash
		next int
	}
	var list []plumbing.Hash
	done := Set{}
	if !s[tip] {
		return nil
	}
	stack := []frame{{c: tip}}
	done[tip] = true
	for len(stack) > 0 {
		f := &stack[len(stack)-1]
		if parents := g.Known[f.c].Parents; f.next < len(parents) {
			p := parents[f.next]
			f.next++
			if s[p] && !done[p] {
				done[p] = true
				stack = append(stack, frame{c: p})
			}
			continue
		}
		list = append(list, f.c)
		stack = stack[:len(stack)-1]
	}
	return list
}

// Bases are the commits that both sets hold and that no other such commit has in its past, in the order of their ids.
func (g *Graph) Bases(us, them Set) []plumbing.Hash {
	covered := Set{}
	var common []plumbing.Hash
	for c := range us {
		if them[c] {
			common = append(common, c)
			for _, p := range g.Known[c].Parents {
				covered[p] = true
			}
		}
	}
	best := slices.DeleteFunc(common, func(c plumbing.Hash) bool { return covered[c] })
	slices.SortFunc(best, func(a, b plumbing.Hash) int { return slices.Compare(a[:], b[:]) })
	return best
}
