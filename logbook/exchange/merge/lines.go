package merge

import (
	"bytes"
	"slices"
)

// lines splits a text behind its line feeds; the last line may have none.
func lines(text []byte) []string {
	var all []string
	for l := range bytes.Lines(text) {
		all = append(all, string(l))
	}
	return all
}

// hunk is a stretch in which one list differs from another: was[from:to] became is[at:until].
type hunk struct{ from, to, at, until int }

// changes compares two lists and gives the stretches that differ, in order, with at least one equal element between two
// of them. It finds the fewest changes by Myers' method in linear space ("An O(ND) Difference Algorithm and Its
// Variations", 1986), and gives up looking for the fewest where that would take long: a stretch then counts as
// replaced.
func changes[E comparable](was, is []E) []hunk {
	gone, come := make([]bool, len(was)), make([]bool, len(is))
	d := &differ[E]{was: was, is: is, gone: gone, come: come}
	d.compare(0, len(was), 0, len(is))
	slide(was, gone, come)
	slide(is, come, gone)
	var all []hunk
	for i, j := 0, 0; i < len(was) || j < len(is); {
		if i < len(was) && j < len(is) && !gone[i] && !come[j] {
			i, j = i+1, j+1
			continue
		}
		h := hunk{from: i, at: j}
		for i < len(was) && gone[i] {
			i++
		}
		for j < len(is) && come[j] {
			j++
		}
		h.to, h.until = i, j
		all = append(all, h)
	}
	return all
}

type differ[E comparable] struct {
	was, is    []E
	gone, come []bool
	fore, back []int
}

// patience bounds how many changes a stretch may have before the search for the fewest is given up.
const patience = 4000

func (d *differ[E]) compare(a, b, c, e int) {
	for a < b && c < e && d.was[a] == d.is[c] {
		a, c = a+1, c+1
	}
	for a < b && c < e && d.was[b-1] == d.is[e-1] {
		b, e = b-1, e-1
	}
	x, y, ok := 0, 0, false
	if a < b && c < e {
		x, y, ok = d.middle(a, b, c, e)
	}
	if !ok {
		for i := a; i < b; i++ {
			d.gone[i] = true
		}
		for j := c; j < e; j++ {
			d.come[j] = true
		}
		return
	}
	d.compare(a, x, c, y)
	d.compare(x, b, y, e)
}

// middle finds a point that a shortest way from (a, c) to (b, e) goes through, by going from both ends at once. It is
// false where no element is common, or where finding it takes too long.
func (d *differ[E]) middle(a, b, c, e int) (x, y int, ok bool) {
	n, m := b-a, e-c
	size := n + m + 3
	if len(d.fore) < 2*size {
		d.fore, d.back = make([]int, 2*size), make([]int, 2*size)
	}
	delta, odd := n-m, (n-m)&1 != 0
	fore := func(k int) *int { return &d.fore[k+size] }
	back := func(k int) *int { return &d.back[k+size] }
	*fore(1), *back(1) = 0, 0
	for steps := 0; steps <= (n+m+1)/2 && steps <= patience; steps++ {
		for k := -steps; k <= steps; k += 2 {
			i := 0
			if k == -steps || k != steps && *fore(k - 1) < *fore(k + 1) {
				i = *fore(k + 1)
			} else {
				i = *fore(k - 1) + 1
			}
			j := i - k
			for i < n && j >= 0 && j < m && d.was[a+i] == d.is[c+j] {
				i, j = i+1, j+1
			}
			*fore(k) = i
			if r := delta - k; odd && r >= -(steps-1) && r <= steps-1 && i+*back(r) >= n && i <= n && j >= 0 && j <= m {
				return a + i, c + j, !(i == 0 && j == 0) && !(i == n && j == m)
			}
		}
		for k := -steps; k <= steps; k += 2 {
			i := 0
			if k == -steps || k != steps && *back(k - 1) < *back(k + 1) {
				i = *back(k + 1)
			} else {
				i = *back(k - 1) + 1
			}
			j := i - k
			for i < n && j >= 0 && j < m && d.was[b-1-i] == d.is[e-1-j] {
				i, j = i+1, j+1
			}
			*back(k) = i
			if r := delta - k; !odd && r >= -steps && r <= steps && i+*fore(r) >= n && i <= n && j >= 0 && j <= m {
				return b - i, e - j, !(i == 0 && j == 0) && !(i == n && j == m)
			}
		}
	}
	return 0, 0, false
}

// slide moves each run of marked elements as far down as it may stand, or up again to where the other list has a run as
// well, as git does (its xdl_change_compact): of several ways to read a change that are the same, both sides of a merge
// take the same one.
func slide[E comparable](list []E, marked, others []bool) {
	g, o := newRun(marked), newRun(others)
	for more := true; more; more = g.next() && o.next() {
		if g.from == g.to {
			continue
		}
		first, meets := 0, -1
		for size := -1; size != g.to-g.from; {
			size, meets = g.to-g.from, -1
			for g.from > 0 && list[g.from-1] == list[g.to-1] {
				g.up()
				o.previous()
			}
			first = g.to
			if o.to > o.from {
				meets = g.to
			}
			for g.to < len(list) && list[g.from] == list[g.to] {
				g.down()
				o.next()
				if o.to > o.from {
					meets = g.to
				}
			}
		}
		if g.to != first && meets >= 0 {
			for o.to == o.from {
				g.up()
				o.previous()
			}
		}
	}
}

// run is a run of marked elements, which may be empty: one stands before each unmarked element and one behind the last.
type run struct {
	marked   []bool
	from, to int
}

func newRun(marked []bool) *run {
	r := &run{marked: marked}
	r.grow()
	return r
}

func (r *run) grow() {
	for r.to < len(r.marked) && r.marked[r.to] {
		r.to++
	}
	for r.from > 0 && r.marked[r.from-1] {
		r.from--
	}
}

func (r *run) next() bool {
	if r.to == len(r.marked) {
		return false
	}
	r.from, r.to = r.to+1, r.to+1
	r.grow()
	return true
}

func (r *run) previous() {
	r.from, r.to = r.from-1, r.from-1
	r.grow()
}

func (r *run) down() {
	r.marked[r.from], r.marked[r.to] = false, true
	r.from, r.to = r.from+1, r.to+1
	r.grow()
}

func (r *run) up() {
	r.from, r.to = r.from-1, r.to-1
	r.marked[r.from], r.marked[r.to] = true, false
	r.grow()
}

// section is a stretch of a text that two sides made from one: b, o and t are the lines there.
type section struct {
	b, o, t []string
	who     side
}

// side says who changed a section.
type side uint8

const (
	nobody side = iota
	ours
	theirs
	alike // both, to the same
	apart // both, and not to the same
)

// sections lays two changes of one list of lines side by side. Changes that touch belong together, as in git.
func sections(base, us, them []string) []section {
	o, t := changes(base, us), changes(base, them)
	var all []section
	b, i, j := 0, 0, 0 // where we are in each
	for len(o) > 0 || len(t) > 0 {
		from := len(base) + 1
		if len(o) > 0 {
			from = o[0].from
		}
		if len(t) > 0 {
			from = min(from, t[0].from)
		}
		to, left, right := from, 0, 0
		for { // all changes that reach into one another
			switch {
			case left < len(o) && o[left].from <= to && (left+right > 0 || o[left].from == from):
				to = max(to, o[left].to)
				left++
				continue
			case right < len(t) && t[right].from <= to && (left+right > 0 || t[right].from == from):
				to = max(to, t[right].to)
				right++
				continue
			}
			break
		}
		if from > b {
			n := from - b
			all = append(all, section{b: base[b:from], o: us[i : i+n], t: them[j : j+n]})
			b, i, j = from, i+n, j+n
		}
		s := section{b: base[b:to], who: apart}
		oEnd, tEnd := reach(o[:left], i, b, to), reach(t[:right], j, b, to)
		s.o, s.t = us[i:oEnd], them[j:tEnd]
		switch {
		case right == 0:
			s.who = ours
		case left == 0:
			s.who = theirs
		case slices.Equal(s.o, s.t):
			s.who = alike
		}
		all = append(all, s)
		b, i, j = to, oEnd, tEnd
		o, t = o[left:], t[right:]
	}
	if b < len(base) {
		all = append(all, section{b: base[b:], o: us[i:], t: them[j:]})
	}
	return all
}

// reach is where a list stands when the base stands at to, its changes until there applied.
func reach(hunks []hunk, at, from, to int) int {
	for _, h := range hunks {
		at += (h.from - from) + (h.until - h.at)
		from = h.to
	}
	return at + to - from
}
