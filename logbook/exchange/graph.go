package exchange

import (
	"slices"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/trace"
)

// graph is the commits of a book and what each stands on, read when they are asked for.
type graph struct {
	store *trace.Store
	known map[plumbing.Hash]node
}

type node struct {
	tree    plumbing.Hash
	parents []plumbing.Hash
}

type set map[plumbing.Hash]bool

func newGraph(store *trace.Store) *graph {
	return &graph{store: store, known: map[plumbing.Hash]node{}}
}

func (g *graph) at(c plumbing.Hash) (node, error) {
	n, ok := g.known[c]
	if !ok {
		var err error
		if n.tree, n.parents, err = g.store.Commit(c); err != nil {
			return n, err
		}
		g.known[c] = n
	}
	return n, nil
}

// past is the tips and all that they have in their past, but for what without holds.
func (g *graph) past(without set, tips ...plumbing.Hash) (set, error) {
	seen := set{}
	for next := slices.Clone(tips); len(next) > 0; {
		c := next[len(next)-1]
		next = next[:len(next)-1]
		if seen[c] || without[c] {
			continue
		}
		seen[c] = true
		n, err := g.at(c)
		if err != nil {
			return nil, err
		}
		next = append(next, n.parents...)
	}
	return seen, nil
}

// order lists a set oldest first, each commit after its parents; the order depends on the commits alone.
func (g *graph) order(s set, tip plumbing.Hash) []plumbing.Hash {
	type frame struct {
		c    plumbing.Hash
		next int
	}
	var list []plumbing.Hash
	done := set{}
	if !s[tip] {
		return nil
	}
	stack := []frame{{c: tip}}
	done[tip] = true
	for len(stack) > 0 {
		f := &stack[len(stack)-1]
		if parents := g.known[f.c].parents; f.next < len(parents) {
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

// bases are the commits that both sets hold and that no other such commit has in its past, in the order of their ids.
func (g *graph) bases(us, them set) []plumbing.Hash {
	covered := set{}
	var common []plumbing.Hash
	for c := range us {
		if them[c] {
			common = append(common, c)
			for _, p := range g.known[c].parents {
				covered[p] = true
			}
		}
	}
	best := slices.DeleteFunc(common, func(c plumbing.Hash) bool { return covered[c] })
	slices.SortFunc(best, func(a, b plumbing.Hash) int { return slices.Compare(a[:], b[:]) })
	return best
}
