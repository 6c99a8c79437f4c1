package joining

import (
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/events"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/merge"
)

// commits lists the commits of both tips, oldest first, back to the last one that all of them stand on: what the
// file held there is all that both sides began with. After two sides have merged each other's work that lies
// before the bases.
func (m *meeting) commits() ([]plumbing.Hash, error) {
	if m.walked != nil {
		return m.walked, nil
	}
	us, err := m.graph.Past(nil, m.tips[0])
	if err != nil {
		return nil, err
	}
	them, err := m.graph.Past(us, m.tips[1])
	if err != nil {
		return nil, err
	}
	all := append(m.graph.Order(us, m.tips[0]), m.graph.Order(them, m.tips[1])...)
	open := graph.Set{m.tips[0]: true, m.tips[1]: true}
	from := len(all)
	var wanted []plumbing.Hash
	for len(open) > 0 && from > 0 {
		from--
		c := all[from]
		if !open[c] {
			continue
		}
		wanted = append(wanted, c)
		if len(open) == 1 && len(wanted) > 1 {
			break
		}
		delete(open, c)
		for _, p := range m.graph.Known[c].Parents {
			open[p] = true
		}
	}
	for i := range wanted {
		m.walked = append(m.walked, wanted[len(wanted)-1-i])
	}
	return m.walked, nil
}

// past follows the items of one file from where both sides began to both tips.
func (m *meeting) past(path string) (*merge.Past, error) {
	commits, err := m.commits()
	if err != nil {
		return nil, err
	}
	h := &events.History{}
	blobs := map[plumbing.Hash]plumbing.Hash{}
	states := map[plumbing.Hash]*events.State{}
	for i, c := range commits {
		n := m.graph.Known[c]
		if blobs[c], err = m.store.At(n.Tree, path); err != nil {
			return nil, err
		}
		var sides []*events.State
		same := true
		for _, p := range n.Parents {
			if _, walked := blobs[p]; !walked {
				continue
			}
			same = same && blobs[p] == blobs[c] && (len(sides) == 0 || sides[0] == states[p])
			sides = append(sides, states[p])
		}
		if same && len(sides) > 0 {
			states[c] = sides[0]
			continue
		}
		var items []events.Item
		if !blobs[c].IsZero() {
			text, err := m.store.Blob(blobs[c])
			if err != nil {
				return nil, err
			}
			items = events.Of(path, text)
		}
		switch len(sides) {
		case 0:
			states[c] = h.Next(i, nil, items)
		case 1:
			states[c] = h.Next(i, sides[0], items)
		default:
			states[c], _ = h.Meet(i, sides, items)
		}
	}
	return &merge.Past{History: h, Ours: states[m.tips[0]], Theirs: states[m.tips[1]]}, nil
}
