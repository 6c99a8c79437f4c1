package trace

import (
	"errors"
	"fmt"
	"slices"
)

// register takes a commit's change of signers/allowed_signers into force when its signer was allowed to make it.
// A file that is not well-formed, or was changed by another, leaves the last register in force.
func (h *history) register(i int, sides [][]step, judged bool) error {
	n := h.nodes[i]
	if len(n.parents) > 0 {
		h.registers[i] = h.registers[n.parents[0]]
	}
	now, touched := entry{}, 0
	for _, steps := range sides {
		at := slices.IndexFunc(steps, func(s step) bool { return s.path == signersPath || s.from == signersPath })
		switch {
		case at < 0:
		case steps[at].path == signersPath:
			now, touched = steps[at].is, touched+1
		default: // moved away: gone
			touched++
		}
	}
	text := now.text()
	if touched == 0 && len(n.parents) > 0 {
		text = h.roll.texts[n.parents[0]]
	}
	m, err := h.follow(i, text, touched == len(sides))
	if err != nil {
		return err
	}
	if m != nil && judged && !h.root(i) {
		h.keepsLines(i, m)
	}
	if touched == 0 {
		return nil
	}
	lines, err := h.registerAt(now)
	var broken *BrokenError
	if errors.As(err, &broken) {
		return err
	}
	if !judged {
		if err == nil {
			h.registers[i] = lines
		}
		return nil
	}
	if err != nil {
		h.blame(i, "the register is refused, the last good one stays in force: %v", err)
		return nil
	}
	parents := make([]register, len(n.parents))
	for j, p := range n.parents {
		parents[j] = h.registers[p]
	}
	h.registers[i] = lines
	if i == h.founding {
		parents = nil // what stood before it was nobody's register
	}
	c := h.changedLines(i, lines, parents, m)
	// whoever stood in the register before and does not now is out, whoever stands in it was let in by the proof
	if h.root(i) {
		h.force.enter(i, c, nil)
		return nil
	}
	v := h.verdicts[i]
	if v.line == nil {
		if len(c.grants)+len(c.takes) > 0 {
			h.blame(i, "the change of %s is not taken into force", signersPath)
		}
		return nil
	}
	if why := signersNotHis(v.line, c, len(parents) > 1); why != "" {
		h.disown(i, signersPath, why)
		return nil
	}
	h.force.enter(i, c, v.line)
	return nil
}

// changed are the lines of a register that come in at a commit, and those whose key loses something, as events without
// their commit.
type changed struct{ grants, takes []event }

// changedLines compares a register with what was in force and with the parents' files. A line that stood in
// a parent's file but never came into force does not come in by standing there. A line with other dates
// takes the old one's place; whether it lets its key go on, its last minute decides, see doc.go. A merge, m, is
// compared with what its sides come to: a line of one side that it prefers to that is a change as well, where both
// sides had changed the line.
func (h *history) changedLines(i int, lines register, parents []register, m *meeting) (c changed) {
	stated := h.nodes[i].raw.committer.at
	grant := func(l *line) {
		instead := func(r register) bool { return r[l.key] != nil && !r[l.key].same(l) }
		known := h.force.knows(l.key, i)
		c.grants = append(c.grants, event{line: l, known: known, ended: known && l.endedBy(stated),
			renewed: slices.ContainsFunc(parents, instead)})
	}
	for _, l := range sorted(lines) {
		if m.holds(l) && !h.root(i) {
			continue
		}
		if h.root(i) || m != nil && h.decides(i, m, l) || !slices.ContainsFunc(parents,
			func(r register) bool { return r[l.key] != nil && r[l.key].text == l.text }) {
			grant(l)
		}
	}
	for _, had := range h.force.lines(i) {
		now := lines[had.key]
		if now != nil && now.covers(had) {
			continue
		}
		if now != nil && m.holds(now) && h.force.came(now, i) {
			c.grants = append(c.grants, event{line: now, known: true, joined: true})
			continue
		}
		take := event{line: had}
		if now != nil && now.allows(had) && !now.endedBy(stated) {
			take.now = now
		}
		c.takes = append(c.takes, take)
		if now != nil && !slices.ContainsFunc(c.grants, func(e event) bool { return e.line == now }) {
			grant(now)
		}
	}
	return c
}

// signersNotHis says why the lines were not the signer's to change. Everybody lets in a further key of his
// own. A merge that only brings together lines of its parents changes none.
func signersNotHis(by *line, c changed, merge bool) string {
	others := slices.Concat(slices.DeleteFunc(slices.Clone(c.grants), func(e event) bool {
		return e.joined || !e.known && e.line.furtherKeyOf(by)
	}), c.takes)
	switch {
	case by.roles&superintendent != 0 || len(others) == 0 && (merge || len(c.grants) > 0):
		return ""
	case by.roles&chief == 0:
		return fmt.Sprintf("%s is for chief or superintendent to change", signersPath)
	}
	for _, e := range others {
		if !e.line.pure() {
			return fmt.Sprintf("a chief lets engineers in or out, %s is more", e.line.principal)
		}
	}
	return ""
}

func sorted(r register) []*line {
	var all []*line
	for _, l := range r {
		all = append(all, l)
	}
	slices.SortFunc(all, func(a, b *line) int {
		if a.text < b.text {
			return -1
		}
		return 1
	})
	return all
}
