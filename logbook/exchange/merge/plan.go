package merge

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// step is one entry with its text in the base and on both sides, each of which may be missing.
type step struct{ b, o, t node }

func (s step) key() string {
	for _, n := range []node{s.o, s.t, s.b} {
		if n.there() {
			return n.Key
		}
	}
	return ""
}

// plan says which entries of the three texts are the same one, and in what order they stand in the merged text: in
// ours, unless only the other side changed the order; what only one side added stands behind what it stood behind
// there. It is false for readings that were not only changed but grew or shrank on both sides: nobody took such a set.
func plan(f *logbook.Field, b, o, t []node) ([]step, bool) {
	ids, ok := identities(f, b, o, t)
	if !ok {
		return nil, false
	}
	at := map[string]*step{}
	for i, list := range [][]node{b, o, t} {
		for j, n := range list {
			s := at[ids[i][j]]
			if s == nil {
				s = &step{}
				at[ids[i][j]] = s
			}
			*[]*node{&s.b, &s.o, &s.t}[i] = n
		}
	}
	order, other := ids[1], ids[2]
	if in := common3(ids[0], ids[1], ids[2]); slices.Equal(in(ids[0]), in(ids[1])) &&
		!slices.Equal(in(ids[0]), in(ids[2])) {
		order, other = other, order
	}
	order = slices.Clone(order)
	for i, id := range other {
		if slices.Contains(order, id) {
			continue
		}
		order = slices.Insert(order, behind(order, other, i), id)
	}
	for _, id := range ids[0] { // gone on both sides, for the table
		if !at[id].o.there() && !at[id].t.there() {
			order = append(order, id)
		}
	}
	steps := make([]step, len(order))
	for i, id := range order {
		steps[i] = *at[id]
	}
	return steps, true
}

// behind is where an entry that only one side has goes: behind the nearest one before it that is in the order, and
// behind those that the other side added there.
func behind(order, other []string, i int) int {
	at := 0
	for j := i - 1; j >= 0; j-- {
		if k := slices.Index(order, other[j]); k >= 0 {
			at = k + 1
			break
		}
	}
	for at < len(order) && !slices.Contains(other, order[at]) {
		at++
	}
	return at
}

// common3 picks from a list of ids those that all three lists hold.
func common3(a, b, c []string) func([]string) []string {
	return func(list []string) []string {
		var all []string
		for _, id := range list {
			if slices.Contains(a, id) && slices.Contains(b, id) && slices.Contains(c, id) {
				all = append(all, id)
			}
		}
		return all
	}
}

// identities name the entries of the three texts, so that the same entry has the same name in each: by key in a group;
// in a list by the keys that the schema names, where they tell the items apart, else by what stays the same around a
// change.
func identities(f *logbook.Field, b, o, t []node) (ids [3][]string, ok bool) {
	all := [3][]node{b, o, t}
	if first := append(slices.Clone(o), t...); len(first) > 0 && first[0].Key != "" {
		for i, list := range all {
			for _, n := range list {
				ids[i] = append(ids[i], n.Key)
			}
		}
		return ids, true
	}
	if f != nil && (f.Shape == logbook.ShapeAmounts || f.Shape == logbook.ShapeNumbers) {
		for i, list := range all {
			for j := range list {
				ids[i] = append(ids[i], fmt.Sprint(j))
			}
		}
		return ids, len(o) == len(t) && (b == nil || len(b) == len(o))
	}
	if f != nil && len(f.Same) > 0 && byKeys(f.Same, all, &ids) {
		return ids, true
	}
	for i := range b {
		ids[0] = append(ids[0], fmt.Sprint(i))
	}
	ids[1], ids[2] = aligned(b, o), aligned(b, t)
	return ids, true
}

// byKeys names items by the values of some of their keys; false where two items of one list have the same ones.
func byKeys(keys []string, all [3][]node, ids *[3][]string) bool {
	for i, list := range all {
		ids[i] = nil
		for _, n := range list {
			var id []string
			for _, e := range n.below() {
				if slices.Contains(keys, e.Key) && e.Kind == tree.Value && !e.Null {
					id = append(id, e.Key+"="+e.Value)
				}
			}
			slices.Sort(id)
			name := strings.Join(id, "\x00")
			if name == "" || slices.Contains(ids[i], name) {
				return false
			}
			ids[i] = append(ids[i], name)
		}
	}
	return true
}

// aligned names the items of a side's list after the places of the base's: equal items are the same, and between them
// changed ones where there are as many as there were, or where they still hold half of their values; others are new,
// and go by what they hold.
func aligned(base, side []node) []string {
	was, is := held(base), held(side)
	ids := make([]string, len(side))
	seen := map[string]int{}
	i, j := 0, 0
	name := func(upto int) {
		for ; j < upto; i, j = i+1, j+1 {
			ids[j] = fmt.Sprint(i)
		}
	}
	for _, h := range changes(was, is) {
		name(h.at)
		if h.to-h.from == h.until-h.at {
			name(h.until)
			continue
		}
		for ; j < h.until; j++ {
			k := i
			for k < h.to && !alikeEnough(base[k], side[j]) {
				k++
			}
			if k < h.to {
				ids[j], i = fmt.Sprint(k), k+1
				continue
			}
			seen[is[j]]++
			ids[j] = fmt.Sprint("new ", seen[is[j]], " ", is[j])
		}
		i = h.to
	}
	name(len(side))
	return ids
}

// held is what each item of a list holds, as one text.
func held(list []node) []string {
	all := make([]string, len(list))
	for i, n := range list {
		for _, l := range n.leaves("") {
			all[i] += fmt.Sprintf("%q=%q ", l.path, l.written)
		}
	}
	return all
}

// alikeEnough says that two groups share at least half of their values.
func alikeEnough(a, b node) bool {
	x, y := a.leaves(""), b.leaves("")
	n := 0
	for _, l := range x {
		if slices.Contains(y, l) {
			n++
		}
	}
	return a.Kind == tree.Group && a.Kind == b.Kind && n > 0 && 2*n >= max(len(x), len(y))
}
