package trace

import (
	"container/heap"
	"errors"
	"path"
	"strings"

	"needlebook/logbook/budget"
)

// step is one file in which a commit differs from one parent; from is set when the file moved.
type step struct {
	path, from string
	was, is    entry
}

// compare fills in, for each commit, the files in which it differs from each of its parents; a root is
// compared with nothing. What all commits change together is bounded too.
func (s *Store) compare(nodes []*node) error {
	left := budget.OfHistory(s.ctx, len(nodes))
	for _, n := range nodes {
		if err := s.compareOne(nodes, n); err != nil {
			return err
		}
		changes := 0
		for _, side := range n.sides {
			changes += len(side)
		}
		if err := left.Add(int64(changes), 0); errors.Is(err, budget.ErrStopped) {
			return err
		} else if err != nil {
			return &BrokenError{ID: n.id.String(), Why: "goes beyond the changes that the commits up to it may make"}
		}
	}
	return nil
}

// compareOne compares a commit with its parents, unless that is known.
func (s *Store) compareOne(nodes []*node, n *node) (err error) {
	if n.known {
		return nil
	}
	n.sides = make([][]step, max(1, len(n.parents)))
	for j := range n.sides {
		before := id{}
		if len(n.parents) > 0 {
			before = nodes[n.parents[j]].raw.tree
		}
		if n.sides[j], err = s.steps(before, n.raw.tree); err != nil {
			return err
		}
	}
	return nil
}

// steps compares a commit's tree with one parent's. A file that is gone, and one of the same name that
// is new elsewhere in the same top folder, are one file that moved.
func (s *Store) steps(before, now id) ([]step, error) {
	var all []step
	gone, made := 0, 0
	err := s.differ(before, now, "", func(c change) error {
		// Names point into the tree's bytes; the path is enough.
		c.was.name, c.is.name = nil, nil
		all = append(all, step{path: c.path, was: c.was, is: c.is})
		switch {
		case c.is.mode == "":
			gone++
		case c.was.mode == "":
			made++
		}
		return nil
	})
	if err == nil && gone > 0 && made > 0 {
		all = joinMoves(all)
	}
	return all, err
}

func joinMoves(all []step) []step {
	gone := map[string]int{}
	for i, st := range all {
		if st.is.mode == "" {
			gone[moveName(st.path)] = i
		}
	}
	drop := make([]bool, len(all))
	for i := range all {
		st := &all[i]
		g, ok := gone[moveName(st.path)]
		if st.was.mode != "" || st.is.mode == "" || !ok || drop[g] {
			continue
		}
		st.from, st.was, drop[g] = all[g].path, all[g].was, true
	}
	kept := all[:0]
	for i, st := range all {
		if !drop[i] {
			kept = append(kept, st)
		}
	}
	return kept
}

// moveName is what a file keeps when it moves.
func moveName(p string) string {
	top, _, _ := strings.Cut(p, "/")
	return top + "/" + path.Base(p)
}

// sides says for a merge which of its parents have a commit in their past: bit i for parent i. Commits
// that it does not hold are in the past of all. The walk ends where the sides meet.
func (h *history) sides(merge int) map[int]uint8 {
	parents := h.nodes[merge].parents
	full := uint8(1<<len(parents) - 1)
	mask := map[int]uint8{}
	queue := &ints{}
	open := 0 // queued commits not yet on every side
	reach := func(c int, m uint8) {
		old, queued := mask[c]
		mask[c] = old | m
		switch {
		case !queued:
			heap.Push(queue, c)
			if m != full {
				open++
			}
		case old != full && mask[c] == full:
			open--
		}
	}
	for i, p := range parents {
		reach(p, 1<<i)
	}
	for queue.Len() > 0 && open > 0 {
		c := heap.Pop(queue).(int)
		m := mask[c]
		if m != full {
			open--
		}
		for _, p := range h.nodes[c].parents {
			reach(p, m)
		}
	}
	return mask
}

// ints is a heap with the greatest first.
type ints []int

func (q ints) Len() int           { return len(q) }
func (q ints) Less(i, j int) bool { return q[i] > q[j] }
func (q ints) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *ints) Push(x any)        { *q = append(*q, x.(int)) }
func (q *ints) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
