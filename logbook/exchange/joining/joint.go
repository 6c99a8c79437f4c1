// Package joining merges what two copies of a book did since they parted, and keeps a merge that waits for a person
// where git keeps it: in its index and MERGE_HEAD, so that either may finish it.
//
// Begin with TakeIn, which merges a tip that was fetched, and ReadOpen, which tells of a merge that waits.
//
// # Two sides
//
// Who changed a file is asked of the commits, not of a merge base. When two tips meet, a file that only one side's
// commits changed is as that side has it. With several nearest bases, after two sides merged each other's work, a
// comparison with one of them would call a file changed that was not, or pass over a change that was taken back. A
// side that wrote a value into a record and took it back is left to a person.
//
// Of two photos under one name the one not chosen is kept beside the other (tip-2.jpg), because no text can say what
// it showed; and a record that one side took out and a person puts back is no loss. The verb verify asks where the
// bytes are, not under which name.
//
// The index goes first and MERGE_HEAD last when a merge is left to a person, and the other way round when it is given
// up. Whoever is stopped in between leaves an index with stages, which keeps everybody from committing by mistake,
// and which resolve --give-up takes back.
package joining

import (
	"bytes"
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/events"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/merge"
	"needlebook/logbook/trace"
)

// A Joint is what becomes of the files of two tips of one book: the changes to make to ours, and the files in which a
// signer has to decide. Working it out writes nothing.
type Joint struct {
	// Merged are the files whose new text is neither side's, by path: whoever signs the merge answers for them.
	Merged []string
	// Conflicts are the files in which a signer has to decide, by path.
	Conflicts []Conflict
	// Twice are the rows of tables that both sides brought alike, and that stand twice: somebody has to say whether they
	// are one.
	Twice []TwiceRow

	targets []target
}

// A TwiceRow is a row that both sides brought.
type TwiceRow struct {
	// Path is the table.
	Path string
	merge.Twice
}

// A Conflict is one file that both sides changed and no rule merges. In the index it stands as git leaves such a file:
// base, ours and theirs in the stages 1 to 3; in the folder lies the text with markers.
type Conflict struct {
	merge.Sides
	merge.Outcome
	// Moved is where there has moved it, when both sides did and not to the same place: it stays where here has it.
	Moved string

	stages [3]plumbing.Hash // blobs of base, ours and theirs, zero where the file is not there
}

// target is one file of the folder and the index as it is to be.
type target struct {
	path    string
	was, is plumbing.Hash // the text that the tip has and the one to stand there; zero where there is none
	exec    bool          // git's mark of a program, which nobody's book needs, kept as it came
	text    []byte        // a text that is in no store yet, until put gives it its id
}

// meeting is two tips, and what each side did since they parted.
type meeting struct {
	store        *trace.Store
	graph        *graph.Graph
	tips         [2]plumbing.Hash
	ours, theirs plumbing.Hash // the trees of the tips
	us, them     touched
	bases        []mergeBase
	walked       []plumbing.Hash // what commits has found
}

// mergeBase is one of the commits that both tips have in their past and that none such has in its
// own. After two sides have merged each other's work there are several.
type mergeBase struct {
	us, them *side
	later    touched // what the other bases have in their past, and this one has not
}

// touched are the files that some commits changed, by path, an overhaul by its name as well. A file in which a merge
// took over what one side had is not changed by the merge.
type touched map[string]bool

func (d touched) note(paths ...string) {
	for _, p := range paths {
		d[p] = true
		if strings.HasPrefix(p, "overhauls/") {
			d["overhauls/"+path.Base(p)] = true
		}
	}
}

func (d touched) touch(paths ...string) bool {
	for _, p := range paths {
		if d[p] || strings.HasPrefix(p, "overhauls/") && d["overhauls/"+path.Base(p)] {
			return true
		}
	}
	return false
}

// touchedBy gathers what the commits of a set changed against all their parents.
func touchedBy(g *graph.Graph, only graph.Set) (touched, error) {
	all := touched{}
	for c := range only {
		n, err := g.At(c)
		if err != nil {
			return nil, err
		}
		count := map[string]int{}
		for _, p := range n.Parents {
			before, err := g.At(p)
			if err != nil {
				return nil, err
			}
			list, err := g.Store.Differences(before.Tree, n.Tree)
			if err != nil {
				return nil, err
			}
			for _, d := range list {
				for _, name := range []string{d.Path, d.From} {
					if count[name]++; name != "" && count[name] == len(n.Parents) {
						all.note(name)
					}
				}
			}
		}
	}
	return all, nil
}

// meet gathers what is to be known of two tips over their bases.
func meet(store *trace.Store, g *graph.Graph, bases []plumbing.Hash, us, them graph.Set, ours,
	theirs plumbing.Hash) (m *meeting,
	err error) {
	m = &meeting{store: store, graph: g, tips: [2]plumbing.Hash{ours, theirs}, ours: g.Known[ours].Tree,
		theirs: g.Known[theirs].Tree}
	if m.us, err = touchedBy(g, less(us, them)); err != nil {
		return nil, err
	}
	if m.them, err = touchedBy(g, less(them, us)); err != nil {
		return nil, err
	}
	for i, b := range bases {
		base := mergeBase{}
		tree := g.Known[b].Tree
		if base.us, err = sideOf(store, tree, m.ours); err != nil {
			return nil, err
		}
		if base.them, err = sideOf(store, tree, m.theirs); err != nil {
			return nil, err
		}
		if len(bases) > 1 {
			own, err := g.Past(nil, b)
			if err != nil {
				return nil, err
			}
			others, err := g.Past(own, slices.Delete(slices.Clone(bases), i, i+1)...)
			if err != nil {
				return nil, err
			}
			if base.later, err = touchedBy(g, others); err != nil {
				return nil, err
			}
		}
		m.bases = append(m.bases, base)
	}
	return m, nil
}

func less(a, b graph.Set) graph.Set {
	out := graph.Set{}
	for c := range a {
		if !b[c] {
			out[c] = true
		}
	}
	return out
}

// join works out every file in which the tips differ. A file that only one side's commits changed stands as that side
// has it; so nothing that anybody wrote is left behind, however the commits hang together.
func (m *meeting) join() (*Joint, error) {
	list, err := m.differences()
	if err != nil {
		return nil, err
	}
	j := &Joint{}
	for i := range list {
		d := &list[i]
		here := d.Path
		if d.From != "" {
			here = d.From
		}
		us, them := m.us.touch(here, d.Path), m.them.touch(here, d.Path)
		switch {
		case us && !them:
		case them && !us:
			if d.From != "" {
				j.targets = append(j.targets, target{path: d.From, was: d.Was})
				d.Was = plumbing.ZeroHash
			}
			j.targets = append(j.targets, target{path: d.Path, was: d.Was, is: d.Is, exec: isExec(d)})
		default:
			u, t := m.since(here, d)
			if err := j.both(m, u, t); err != nil {
				return nil, err
			}
		}
	}
	slices.SortFunc(j.targets, func(a, b target) int { return strings.Compare(a.path, b.path) })
	slices.SortFunc(j.Conflicts, func(a, b Conflict) int { return strings.Compare(a.Sides.Path, b.Sides.Path) })
	slices.Sort(j.Merged)
	return j, nil
}

// differences are the files in which the tips differ. Two files of one name in two folders are one that moved only
// where a side moved it, or where it is an overhaul, which goes by its name.
func (m *meeting) differences() ([]trace.Difference, error) {
	list, err := m.store.Differences(m.ours, m.theirs)
	var all []trace.Difference
	for _, d := range list {
		if d.From == "" || strings.HasPrefix(d.Path, "overhauls/") || m.linked(&d) {
			all = append(all, d)
			continue
		}
		all = append(all, trace.Difference{Path: d.From, Was: d.Was, Mode: d.Mode}, trace.Difference{Path: d.Path, Is: d.Is,
			Mode: d.Mode})
	}
	return all, err
}

func (m *meeting) linked(d *trace.Difference) bool {
	for _, g := range m.bases {
		u, t := g.us.of(d.From, d.Was), g.them.of(d.Path, d.Is)
		if key(u) == key(t) {
			return true
		}
	}
	return false
}

// since is what each side did to a file since the base that has its newest text; against nothing, where two bases have
// each a text that the other has not seen.
func (m *meeting) since(here string, d *trace.Difference) (u, t *trace.Difference) {
	for _, g := range m.bases {
		if g.later.touch(here, d.Path) {
			continue
		}
		u, t = g.us.of(here, d.Was), g.them.of(d.Path, d.Is)
		switch {
		case d.Was.IsZero():
			u = g.us.gone(t)
		case d.Is.IsZero():
			t = g.them.gone(u)
		}
		return u, t
	}
	return &trace.Difference{Path: here, Is: d.Was, Mode: d.Mode}, &trace.Difference{Path: d.Path, Is: d.Is, Mode: d.Mode}
}

// side is what one side did since a base.
type side struct{ list []trace.Difference }

func sideOf(store *trace.Store, base, tip plumbing.Hash) (*side, error) {
	list, err := store.Differences(base, tip)
	return &side{list}, err
}

// of is what the side did to the file that stands at a path now.
func (s *side) of(path string, blob plumbing.Hash) *trace.Difference {
	for i := range s.list {
		if s.list[i].Path == path && !s.list[i].Is.IsZero() {
			return &s.list[i]
		}
	}
	return &trace.Difference{Path: path, Was: blob, Is: blob}
}

// gone is what the side did that has no such file, when the other has it: it took it out, or never had it.
func (s *side) gone(other *trace.Difference) *trace.Difference {
	p := other.Path
	if other.From != "" {
		p = other.From
	}
	return &trace.Difference{Path: p, Was: other.Was}
}

func isExec(d *trace.Difference) bool { return d.Mode == "100755" }

// key is the path that the file had in the base, or its path when it is new. A new overhaul goes by its name alone: the
// same record may be begun in two folders.
func key(d *trace.Difference) string {
	p := d.Path
	if d.From != "" {
		p = d.From
	}
	if strings.HasPrefix(p, "overhauls/") {
		return "overhauls/" + path.Base(p)
	}
	return p
}

// both works out a file that both sides changed.
func (j *Joint) both(m *meeting, u, t *trace.Difference) error {
	c := Conflict{stages: [3]plumbing.Hash{u.Was, u.Is, t.Is}}
	c.Sides.Path = u.Path
	if u.Is.IsZero() || u.From == "" && t.From != "" && !t.Is.IsZero() {
		c.Sides.Path = t.Path // the move goes through
	}
	moved := u.Path != t.Path && u.From != "" && t.From != "" // to two places
	for i, text := range []*[]byte{&c.Base, &c.Ours, &c.Theirs} {
		if c.stages[i].IsZero() {
			continue
		}
		b, err := m.store.Blob(c.stages[i])
		if err != nil {
			return err
		}
		*text = append([]byte{}, b...)
	}
	if c.Sides.Path != u.Path && !u.Is.IsZero() {
		j.targets = append(j.targets, target{path: u.Path, was: u.Is})
	}
	at := target{path: c.Sides.Path, exec: isExec(t)}
	if c.Sides.Path == u.Path {
		at.was = u.Is
	}
	switch { // one side only moved it, the other wrote
	case !moved && u.Is == t.Is:
		at.is = t.Is
	case !moved && u.Is == u.Was && u.From != "" && !t.Is.IsZero():
		at.is = t.Is
	case !moved && t.Is == t.Was && t.From != "" && !u.Is.IsZero():
		at.is = u.Is
	default:
		byItem := events.Joins(c.Sides.Path) && u.Path == t.Path && !u.Is.IsZero() && !t.Is.IsZero()
		if byItem {
			past, err := m.past(c.Sides.Path)
			if err != nil {
				return err
			}
			c.Sides.Past = past
		}
		c.Outcome = merge.File(c.Sides)
		if c.Sides.Path == "signers/allowed_signers" && c.Clean {
			c.Clean = registerHolds(&c)
		}
		// Where a side went back to what stood before, nothing that is put together shows that it had written, but item by
		// item.
		if !c.Clean || moved || !byItem && (u.Is == u.Was || t.Is == t.Was) {
			c.Clean = false
			if moved {
				c.Moved = t.Path
			}
			j.Conflicts = append(j.Conflicts, c)
			return nil
		}
		j.asked(&c)
		switch {
		case bytes.Equal(c.Text, c.Ours) && at.was == u.Is:
			return nil
		case bytes.Equal(c.Text, c.Theirs):
			at.is = t.Is
		default:
			at.text = c.Text
			j.Merged = append(j.Merged, c.Sides.Path)
		}
	}
	j.targets = append(j.targets, at)
	return nil
}

// asked notes the rows that both sides brought.
func (j *Joint) asked(c *Conflict) {
	for _, t := range c.Twice {
		j.Twice = append(j.Twice, TwiceRow{c.Sides.Path, t})
	}
}

// registerHolds says whether a register that grew on both sides is one: a line may not stand for two, nor a key twice.
func registerHolds(c *Conflict) bool {
	_, err := trace.ParseSigners(c.Text)
	if err != nil {
		c.Plain, c.Marked, c.Text = err.Error(), c.Text, nil
	}
	return err == nil
}
