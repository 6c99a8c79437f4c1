package trace

import (
	"errors"
	"slices"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/events"
)

// roll is signers/allowed_signers on its way through the history: which commit brought which line. A line is one value,
// its key's.
type roll struct {
	events events.History
	at     []*events.State // by commit
	texts  []id
}

// meeting is what a merge made of the registers of its sides.
type meeting struct {
	joint *events.Joint
	met   events.Met
	own   bool     // its text is none of its sides'
	sides register // the lines of its sides, by their text
	lines register // what its sides come to, by key; nothing where they gave the key two names
	apart register // the lines that its sides have for a key of which each changed the line, by their text
	has   register // what the merge has, by key
}

// follow goes to one commit, whose text of the register is given; the meeting is nil for a commit on one other.
func (h *history) follow(i int, text id, own bool) (*meeting, error) {
	parents := h.nodes[i].parents
	states := make([]*events.State, len(parents))
	same := len(parents) > 0
	for j, p := range parents {
		states[j] = h.roll.at[p]
		same = same && states[j] == states[0] && h.roll.texts[p] == text
	}
	h.roll.texts[i] = text
	if same {
		h.roll.at[i] = states[0]
		return nil, nil
	}
	var items []events.Item
	if !text.IsZero() {
		b, err := h.store.read(text, plumbing.BlobObject)
		var broken *BrokenError
		if err != nil && !errors.As(err, &broken) {
			return nil, err
		}
		if len(b) <= maxRegister {
			items = events.Of(signersPath, b)
		}
	}
	switch len(parents) {
	case 0:
		h.roll.at[i] = h.roll.events.Next(i, nil, items)
		return nil, nil
	case 1:
		h.roll.at[i] = h.roll.events.Next(i, states[0], items)
		return nil, nil
	}
	m := &meeting{joint: h.roll.events.Join(states...), own: own, sides: register{}, apart: register{}}
	h.roll.at[i], m.met = h.roll.events.Meet(i, states, items)
	for _, s := range states {
		if s != nil {
			for _, l := range h.roll.entries(s.Live) {
				m.sides[l.text] = l
			}
		}
	}
	m.lines, m.has = h.roll.entries(m.joint.Live), h.roll.entries(h.roll.at[i].Live)
	m.contested(&h.roll)
	return m, nil
}

// contested finds the lines between which a merge has to decide: those of a key whose line each side had changed.
func (m *meeting) contested(r *roll) {
	add := func(e int) {
		if l := r.line(e); l != nil {
			m.apart[l.text] = l
		}
	}
	for over, first := range m.joint.Over {
		add(over)
		if first >= 0 {
			add(first)
		}
	}
	first := map[string]int{}
	for _, e := range m.joint.Live {
		l := r.line(e)
		if l == nil {
			continue
		}
		if other, twice := first[l.key]; twice {
			add(other)
			add(e)
			delete(m.lines, l.key)
		} else {
			first[l.key] = e
		}
	}
}

// holds reports whether a line is what the sides of a merge come to.
func (m *meeting) holds(l *line) bool {
	return m != nil && m.lines[l.key] != nil && m.lines[l.key].text == l.text
}

// entries are the well-formed lines among some events, by key.
func (r *roll) entries(live []int) register {
	all := register{}
	for _, e := range live {
		if l := r.line(e); l != nil {
			all[l.key] = l
		}
	}
	return all
}

// line is the line that an event brought, nil where it is none.
func (r *roll) line(e int) *line {
	it := r.events.Item(e)
	if it.Kind != events.Entry {
		return nil
	}
	l, err := parseLine(it.Text)
	if err != nil {
		return nil
	}
	return l
}

// decides reports whether a line that a merge holds for a key, and that a side has, decides between the sides:
// each of them had changed the line of the key, and none withdrew it.
func (h *history) decides(i int, m *meeting, now *line) bool {
	s, _, _ := h.force.stand(now.key, h.force.next(), h.force.before[i], h.force.before[i])
	return m.apart[now.text] != nil && s == usable
}

// keepsLines says which lines of the register a merge dropped or brought back without a decision of its signer:
// where it has one side's text of a line that another side had changed, and where it has a line no more and its
// text is one side's whole. What it has of its own is a change like any other, and register judges it.
func (h *history) keepsLines(i int, m *meeting) {
	by := h.verdicts[i].line
	said := map[int]bool{}
	drop := func(commit int) {
		if commit >= 0 && !said[commit] {
			said[commit] = true
			h.blame(i, "drops %s as commit %s wrote it", signersPath, h.short(commit))
		}
	}
	for _, e := range m.met.Lost {
		if !h.mayDrop(i, m, by, e) {
			drop(h.roll.events.By(e))
		}
	}
	for _, e := range m.met.Back {
		l := h.roll.line(e)
		if l == nil || m.sides[l.text] == nil || by != nil && by.lets(l) && h.decides(i, m, l) {
			continue
		}
		for _, commit := range h.roll.tookOut(e, i) {
			drop(commit)
		}
	}
}

// tookOut are the commits whose word a merge, one of the commits, does not keep when it has an event's line again:
// those that took out the line, or the nearest one in whose place it came, but for the one that wrote it. Where there
// are none, it is that one.
func (r *roll) tookOut(e, merge int) []int {
	by := r.events.By(e)
	for o := e; o >= 0; o = r.events.Of(o) {
		outs := slices.DeleteFunc(slices.Clone(r.events.Outs(o)), func(c int) bool { return c == merge || c == by })
		if len(outs) > 0 {
			return outs
		}
	}
	return []int{by}
}

// mayDrop reports whether what a merge has in place of a line is its signer's decision.
func (h *history) mayDrop(i int, m *meeting, by *line, e int) bool {
	if h.roll.events.Item(e).Kind != events.Entry {
		return m.own && by != nil && by.roles&(chief|superintendent) != 0
	}
	l := h.roll.line(e)
	switch {
	case by == nil || l == nil && by.roles&superintendent == 0 || l != nil && !by.lets(l):
		return false
	case l == nil || m.has[l.key] == nil || m.sides[m.has[l.key].text] == nil:
		return m.own
	}
	return h.decides(i, m, m.has[l.key])
}

// lets reports whether the holder of a line may let another one in and out.
func (l *line) lets(other *line) bool {
	return l.roles&superintendent != 0 || l.roles&chief != 0 && other.pure()
}

// came reports whether a line had come into force before a commit, and its last minute was not over then.
func (f *force) came(l *line, commit int) bool {
	return slices.ContainsFunc(f.grants[l.key], func(g int) bool {
		e := &f.events[g]
		return f.before[commit].has(g) && e.line.text == l.text && !e.ended
	})
}
