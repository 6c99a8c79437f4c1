package events

import (
	"math/big"
	"slices"
)

// History is what happened to the items of one file: its events. The zero value has none. It belongs to one
// goroutine.
type History struct{ all []event }

// event is one item that a commit brought.
type event struct {
	Item
	commit int
	of     int // the event in whose place it came, -1
	out    int // the last commit that took it out, -1
	outs   []int
	odd    Odd
}

// Odd says that no commit brought an item: it is there by the way in which a merge was made.
type Odd uint8

// The ways.
const (
	Brought Odd = iota // by a commit: not odd
	Doubled            // it stands there already, and a merge by lines put it in once more
	Back               // a side had taken it out or changed it, and the merge has it again
)

// State is what a file holds at one commit. A nil State is a file that never was.
type State struct {
	// Live are the events of the items, in the order of the text.
	Live []int
	// known are all events in the commit's past: what is known and not live was taken out.
	known *big.Int
}

// Knows reports whether an event lies in the past.
func (s *State) Knows(event int) bool { return s != nil && s.known.Bit(event) == 1 }

func (s *State) live() []int {
	if s == nil {
		return nil
	}
	return s.Live
}

func (s *State) knowledge() *big.Int {
	if s == nil {
		return new(big.Int)
	}
	return s.known
}

// Item is the item that an event brought, as it was written first.
func (h *History) Item(event int) *Item { return &h.all[event].Item }

// By is the commit that brought an item, Out the last one that took it out, -1 where none did.
func (h *History) By(event int) int { return h.all[event].commit }

// Out is the last commit that took an item out, -1 where none did.
func (h *History) Out(event int) int { return h.all[event].out }

// Elder are the events before one that brought the same text.
func (h *History) Elder(event int) (list []int) {
	for e := range event {
		if h.all[e].is() == h.all[event].is() {
			list = append(list, e)
		}
	}
	return list
}

// Holds says that an item of an event's text stands in a state.
func (h *History) Holds(s *State, event int) bool {
	return slices.ContainsFunc(s.live(), func(e int) bool { return h.all[e].is() == h.all[event].is() })
}

// Outs are the commits that took an item out: one on each side where several did.
func (h *History) Outs(event int) []int { return h.all[event].outs }

// Of is the event in whose place one came, -1 where there is none.
func (h *History) Of(event int) int { return h.all[event].of }

// Odd says in which way an item is there that no commit brought.
func (h *History) Odd(event int) Odd { return h.all[event].odd }

// Next is the state after a commit on one other: items that stood there stay, wherever they stand now, the others
// are its own. Of several equal ones that which no commit brought goes first, and the newest.
func (h *History) Next(commit int, before *State, items []Item) *State {
	next, gone, born := h.follow(before.live(), items)
	known := before.knowledge()
	if len(born) > 0 {
		known = new(big.Int).Set(known)
	}
	h.bear(commit, next, gone, born, before.live(), items, func(e int) { known.SetBit(known, e, 1) })
	for _, e := range gone {
		h.takeOut(e, commit)
	}
	return &State{next, known}
}

func (h *History) takeOut(e, commit int) {
	h.all[e].out, h.all[e].outs = commit, append(h.all[e].outs, commit)
}

// follow finds the items of a text among the events that stood before it: next has their events, -1 for a new one;
// gone are the events that no item has, born the places of the new items.
func (h *History) follow(was []int, items []Item) (next, gone, born []int) {
	next = make([]int, len(items))
	from := 0
	for from < len(was) && from < len(items) && h.all[was[from]].is() == items[from].is() {
		next[from] = was[from]
		from++
	}
	to, end := len(was), len(items)
	for to > from && end > from && h.all[was[to-1]].is() == items[end-1].is() {
		to, end = to-1, end-1
		next[end] = was[to]
	}
	gone, born = h.match(was[from:to], items[from:end], next[from:end])
	for i := range born {
		born[i] += from
	}
	if len(gone) > 0 {
		h.settle(next, gone)
	}
	return next, gone, born
}

// match gives each item an event of its text, the longest standing first.
func (h *History) match(was []int, items []Item, next []int) (gone, born []int) {
	pool := make(map[is][]int, len(was))
	for _, e := range was {
		pool[h.all[e].is()] = append(pool[h.all[e].is()], e)
	}
	for i := range items {
		left := pool[items[i].is()]
		if len(left) == 0 {
			next[i], born = -1, append(born, i)
			continue
		}
		at := 0
		for j := range left {
			if h.before(left[j], left[at]) {
				at = j
			}
		}
		next[i] = left[at]
		pool[items[i].is()] = append(left[:at:at], left[at+1:]...)
	}
	for _, e := range was {
		left := pool[h.all[e].is()]
		for i, l := range left {
			if l == e {
				gone = append(gone, e)
				pool[h.all[e].is()] = append(left[:i:i], left[i+1:]...)
				break
			}
		}
	}
	return gone, born
}

// before orders equal items: what commits brought before what none did, then the elder.
func (h *History) before(a, b int) bool {
	if x, y := h.all[a].odd, h.all[b].odd; (x == Brought) != (y == Brought) {
		return x == Brought
	}
	return a < b
}

// settle sees to it that of equal items the last in order is the one that went.
func (h *History) settle(next, gone []int) {
	of := map[is][]int{} // places in gone
	for i, e := range gone {
		of[h.all[e].is()] = append(of[h.all[e].is()], i)
	}
	for i, e := range next {
		if e < 0 {
			continue
		}
		for _, g := range of[h.all[e].is()] {
			if h.before(gone[g], next[i]) {
				gone[g], next[i] = next[i], gone[g]
			}
		}
	}
}

// bear makes events of new items, and says in whose place each came: that of the same key, or that which stood
// behind the same neighbour; a line of the register only that of its key.
func (h *History) bear(commit int, next, gone, born, was []int, items []Item, known func(int)) {
	if len(born) == 0 {
		return
	}
	of := h.inPlace(next, gone, born, was, items)
	for i, at := range born {
		next[at] = len(h.all)
		h.all = append(h.all, event{Item: items[at], commit: commit, of: of[i], out: -1})
		known(next[at])
	}
}

// inPlace gives for each new item the event in whose place it came, -1 for none.
func (h *History) inPlace(next, gone, born, was []int, items []Item) []int {
	of := make([]int, len(born))
	for i := range of {
		of[i] = -1
	}
	if len(gone) == 0 {
		return of
	}
	byKey := map[is]int{} // -1 where the key stands twice
	for _, e := range gone {
		k := is{h.all[e].Kind, h.all[e].Key}
		if _, twice := byKey[k]; twice || k.text == "" {
			byKey[k] = -1
		} else {
			byKey[k] = e
		}
	}
	used := map[int]bool{}
	mine := map[is]int{}
	for _, at := range born {
		mine[is{items[at].Kind, items[at].Key}]++
	}
	for i, at := range born {
		k := is{items[at].Kind, items[at].Key}
		if e, ok := byKey[k]; ok && e >= 0 && mine[k] == 1 {
			of[i], used[e] = e, true
		}
	}
	isGone := map[int]bool{}
	for _, e := range gone {
		isGone[e] = true
	}
	behind := map[int][]int{} // neighbour to what went behind it
	neighbour := -1
	for _, e := range was {
		if !isGone[e] {
			neighbour = e
		} else if !used[e] {
			behind[neighbour] = append(behind[neighbour], e)
		}
	}
	neighbour = -1
	came := map[int][]int{}
	isBorn := map[int]int{}
	for i, at := range born {
		isBorn[at] = i
	}
	for at, e := range next {
		i, isNew := isBorn[at]
		if !isNew {
			neighbour = e
		} else if of[i] < 0 {
			came[neighbour] = append(came[neighbour], i)
		}
	}
	for n, list := range came {
		if left := behind[n]; len(left) == len(list) {
			for j, i := range list {
				if kind := items[born[i]].Kind; kind != Entry && kind == h.all[left[j]].Kind {
					of[i] = left[j]
				}
			}
		}
	}
	return of
}
