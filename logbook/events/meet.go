package events

import (
	"math/big"
	"slices"
)

// A Joint is what the items of several sides come to.
type Joint struct {
	// Live are the events that stand: what any side holds and none has taken out, in the order of the first side
	// and then of the others. Of items other than rows that two sides wrote alike there is one.
	Live []int
	// Alike maps an event that does not stand, because another side did the same, to that side's.
	Alike map[int]int
	// Apart are items that the first two sides changed, and not to the same.
	Apart []Contradiction
	// Twice are equal rows that two sides really brought, the second of each pair.
	Twice []int
	// Over maps a line of the register that does not stand, because another side did more to the line of its key,
	// to that side's: the one that ends first, or -1 where it took the line out. See earlier.
	Over map[int]int
}

// A Contradiction is one item that two sides changed: what each made of it, -1 where it took it out.
type Contradiction struct{ Was, Ours, Theirs int }

// Join works out what the items of several sides come to.
func (h *History) Join(sides ...*State) *Joint {
	j := &Joint{Alike: map[int]int{}, Over: map[int]int{}}
	seen, in := map[int]bool{}, make([]map[int]bool, len(sides))
	for i, s := range sides {
		in[i] = make(map[int]bool, len(s.live()))
		for _, e := range s.live() {
			in[i][e] = true
		}
	}
	for _, s := range sides {
		for _, e := range s.live() {
			if seen[e] {
				continue
			}
			seen[e] = true
			tookOut := func(i int) bool { return sides[i].Knows(e) && !in[i][e] }
			if !slices.ContainsFunc(seq(len(sides)), tookOut) {
				j.Live = append(j.Live, e)
			}
		}
	}
	h.alike(j, sides)
	h.over(j, sides)
	if len(sides) == 2 {
		h.apart(j, sides[0], sides[1], in)
	}
	return j
}

func seq(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// alike finds what two sides did alike: the same change of one item, and an equal item that is no row.
func (h *History) alike(j *Joint, sides []*State) {
	groups := map[is][]int{}
	for _, e := range j.Live {
		for _, s := range sides {
			if !s.Knows(e) {
				groups[h.all[e].is()] = append(groups[h.all[e].is()], e)
				break
			}
		}
	}
	gone := map[int]bool{}
	for _, list := range groups {
		if len(list) < 2 {
			continue
		}
		slices.SortFunc(list, func(a, b int) int {
			if h.before(a, b) {
				return -1
			}
			return 1
		})
		taken := map[int]bool{}
		for x, e := range list {
			for _, f := range list[x+1:] {
				if gone[e] || gone[f] || taken[e] || !h.strangers(e, f, sides) {
					continue
				}
				brought := h.all[e].odd == Brought && h.all[f].odd == Brought
				if h.all[e].Kind != Row || !brought || h.sameOrigin(e, f, sides) {
					j.Alike[f], gone[f], taken[e] = e, true, true
				} else if !slices.Contains(j.Twice, f) {
					j.Twice = append(j.Twice, f)
				}
			}
		}
	}
	slices.Sort(j.Twice)
	j.Live = slices.DeleteFunc(j.Live, func(e int) bool { return gone[e] })
}

// strangers says that two events came on different sides: none that holds the one knows the other.
func (h *History) strangers(e, f int, sides []*State) bool {
	for _, s := range sides {
		if s.Knows(e) && s.Knows(f) {
			return false
		}
	}
	return true
}

// sameOrigin says that both came in the place of one item that both sides knew.
func (h *History) sameOrigin(e, f int, sides []*State) bool {
	for _, a := range sides {
		for _, b := range sides {
			if a.Knows(e) && b.Knows(f) {
				if o := h.origin(e, b); o >= 0 && o == h.origin(f, a) {
					return true
				}
			}
		}
	}
	return false
}

// origin is the item that a side knows in whose place an event came, -1 where there is none.
func (h *History) origin(e int, s *State) int {
	for e >= 0 && !s.Knows(e) {
		e = h.all[e].of
	}
	return e
}

// apart finds what both sides changed, and not to the same.
func (h *History) apart(j *Joint, ours, theirs *State, in []map[int]bool) {
	came := map[int]int{} // item known to both to what theirs made of it
	for _, f := range j.Live {
		if o := h.origin(f, ours); o >= 0 && o != f {
			came[o] = f
		}
	}
	for _, e := range j.Live {
		o := h.origin(e, theirs)
		if o < 0 || o == e || in[1][o] || alikeTo(j, e) {
			continue
		}
		f, changed := came[o]
		if !changed {
			if h.heldBy(o, theirs, ours) {
				continue
			}
			f = -1
		}
		j.Apart = append(j.Apart, Contradiction{o, e, f})
		delete(came, o)
	}
	for _, f := range j.Live {
		o := h.origin(f, ours)
		if o < 0 || o == f || came[o] != f || in[0][o] || h.heldBy(o, ours, theirs) || alikeTo(j, f) {
			continue
		}
		j.Apart = append(j.Apart, Contradiction{o, -1, f})
	}
}

// heldBy says that a side put something in the place of an item that the other side knows, too.
func (h *History) heldBy(o int, side, other *State) bool {
	return slices.ContainsFunc(side.live(), func(e int) bool { return other.Knows(e) && e != o && h.descends(e, o) })
}

func (h *History) descends(e, from int) bool {
	for ; e >= 0; e = h.all[e].of {
		if e == from {
			return true
		}
	}
	return false
}

func alikeTo(j *Joint, e int) bool {
	for _, f := range j.Alike {
		if f == e {
			return true
		}
	}
	return false
}

// Met is what a merge did beyond joining its sides.
type Met struct {
	// Lost are the events that a side holds, no side has taken out, and the merge does not hold.
	Lost []int
	// Decided are those of the lost that another side contradicted, and in whose place the merge has something:
	// the one's, the other's, or what its signer wrote; and those of the items that came back with which it
	// decides so.
	Decided map[int]bool
	// Back are the events that a side had taken out and the merge holds again.
	Back []int
	// Born are the items that no side had.
	Born []int
}

// Meet is the state after a merge of several sides that holds these items, and what the merge did beyond joining
// them. Of equal rows it must hold as many as that side does which has the most of those that stand; one more than
// commits brought is odd.
func (h *History) Meet(commit int, sides []*State, items []Item) (*State, Met) {
	j := h.Join(sides...)
	standing := map[int]bool{}
	for _, e := range j.Live {
		standing[e] = true
	}
	need := map[is]int{}
	for _, s := range sides {
		n := map[is]int{}
		for _, e := range s.live() {
			if _, alike := j.Alike[e]; alike || standing[e] {
				n[h.all[e].is()]++
			}
		}
		for k, v := range n {
			need[k] = max(need[k], v)
		}
	}
	next := make([]int, len(items))
	gone, born := h.match(j.Live, items, next)
	known := new(big.Int)
	for _, s := range sides {
		known.Or(known, s.knowledge())
	}
	var m Met
	has := map[is]int{}
	for i := range items {
		has[items[i].is()]++
	}
	for _, e := range gone {
		h.takeOut(e, commit)
		if k := h.all[e].is(); h.all[e].Kind != Blank && h.all[e].odd == Brought && has[k] < need[k] {
			m.Lost = append(m.Lost, e)
			has[k]++
		}
	}
	stands := map[is]bool{}
	for _, e := range j.Live {
		stands[h.all[e].is()] = true
	}
	was := map[is]int{}
	if len(born) > 0 {
		was = h.tookOut(sides, standing, j)
	}
	first := len(h.all)
	h.bear(commit, next, gone, born, j.Live, items, func(e int) { known.SetBit(known, e, 1) })
	for e := first; e < len(h.all); e++ {
		k := h.all[e].is()
		old, tookOut := was[k]
		switch {
		case h.all[e].Kind == Blank:
		case h.all[e].Kind == Row && stands[k]:
			h.all[e].odd = Doubled
		case tookOut:
			h.all[e].odd = Back
			m.Back = append(m.Back, old)
		default:
			m.Born = append(m.Born, e)
		}
	}
	h.decided(&m, j, sides, next)
	return &State{next, known}, m
}

// decided finds those of the lost that another side contradicted: it changed the same item, or gave the same key
// another value.
func (h *History) decided(m *Met, j *Joint, sides []*State, next []int) {
	m.Decided = map[int]bool{}
	for _, e := range m.Lost {
		for _, f := range j.Live {
			a, b := &h.all[e], &h.all[f]
			sameKey := a.Kind == Value && b.Kind == Value && a.Key == b.Key
			if a.is() == b.is() || !h.strangers(e, f, sides) || !sameKey && !h.sameOrigin(e, f, sides) {
				continue
			}
			if slices.ContainsFunc(next, func(n int) bool {
				c := &h.all[n]
				return n == f || c.of == e || c.of == f || a.Kind == Value && c.Kind == Value && c.Key == a.Key
			}) {
				m.Decided[e] = true
			}
		}
	}
	for _, b := range m.Back { // decided for what stood there before
		for e := range m.Decided {
			if h.descends(e, b) || h.all[e].Kind == Value && h.all[b].Kind == Value && h.all[e].Key == h.all[b].Key {
				m.Decided[b] = true
				break
			}
		}
	}
}

// tookOut are the items that a side has taken out, by their text: of equal ones that which went last.
func (h *History) tookOut(sides []*State, standing map[int]bool, j *Joint) map[is]int {
	all := map[is]int{}
	for e := range h.all {
		if _, alike := j.Alike[e]; alike || standing[e] {
			continue
		}
		for _, s := range sides {
			if !s.Knows(e) {
				continue
			}
			if other, there := all[h.all[e].is()]; !there || h.all[e].out >= h.all[other].out {
				all[h.all[e].is()] = e
			}
			break
		}
	}
	return all
}
