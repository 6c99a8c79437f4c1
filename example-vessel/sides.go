package vessel

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
)

// side is the book as it stands after one event. Two that were written without knowing of each other, aboard and
// ashore, are two sides, until a merge puts them together.
type side struct {
	texts   map[string][]byte
	signers map[string][]line // hand → his lines, the newest key last
	adopted []adoption
	past    map[int]bool // the events that it knows of, itself among them
}

// line is one line of the register.
type line struct {
	key    string // what the key is made from, see Secret
	window string // all but valid-before
	before string // empty while it is open
	waits  bool   // for a superintendent to confirm it
}

// adoption is a line of signers/adopted: whose commit, by the number of its event.
type adoption struct {
	event  int
	reason string
}

func (s *side) clone() *side {
	c := &side{texts: maps.Clone(s.texts), signers: map[string][]line{}, adopted: slices.Clone(s.adopted),
		past: maps.Clone(s.past)}
	for who, lines := range s.signers {
		c.signers[who] = slices.Clone(lines)
	}
	return c
}

// numbered finds an earlier event by its time.
func (t *teller) numbered(when string) (int, error) {
	n, ok := t.at[when]
	if !ok {
		return 0, fmt.Errorf("no earlier event is of %s", when)
	}
	return n, nil
}

// after lets the event build on an earlier one instead of the one before it: whoever wrote it knew of no other.
func (t *teller) after(when string) error {
	n, err := t.numbered(when)
	if err != nil {
		return err
	}
	if len(t.changed) > 0 || len(t.parents) > 0 {
		return fmt.Errorf("stands before everything else that the event brings")
	}
	t.side, t.parents = t.sides[n].clone(), []int{n}
	return nil
}

// merge brings in another side: of each file the text of the side that changed it. What both changed has to be told by
// an action of its own before it.
func (t *teller) merge(when string) error {
	n, err := t.numbered(when)
	if err != nil {
		return err
	}
	if len(t.parents) == 0 {
		t.parents = []int{len(t.story) - 1}
	}
	other, base := t.sides[n], t.common(n)
	for _, p := range sortedKeys(other.texts) {
		was, theirs, ours := base.texts[p], other.texts[p], t.side.texts[p]
		switch {
		case bytes.Equal(theirs, was) || bytes.Equal(theirs, ours) || t.told(p):
		case bytes.Equal(ours, was):
			t.put(p, theirs)
		default:
			return fmt.Errorf("both sides changed %s: say before the merge how it reads", p)
		}
	}
	maps.Copy(t.side.past, other.past)
	t.parents = append(t.parents, n)
	return nil
}

func (t *teller) told(p string) bool {
	_, ok := t.changed[p]
	return ok
}

// common is the last event that both sides know of.
func (t *teller) common(n int) *side {
	for i := n; i >= 0; i-- {
		if t.side.past[i] && t.sides[n].past[i] {
			return t.sides[i]
		}
	}
	return &side{}
}
