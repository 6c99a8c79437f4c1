package exchange

import (
	"path"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/merge"
	"needlebook/logbook/trace"
)

// A Joint is what becomes of the files of two tips of one book: the changes to make to ours, and the files in which a hand has to
// decide. Working it out writes nothing.
type Joint struct {
	// Merged are the files whose new text is neither side's, by path: whoever signs the merge answers for them.
	Merged []string
	// Conflicts are the files in which a hand has to decide, by path.
	Conflicts []Conflict

	targets []target
}

// A Conflict is one file that both sides changed and no rule merges. In the index it stands as git leaves such a file: base, ours
// and theirs in the stages 1 to 3; in the folder lies the text with markers.
type Conflict struct {
	merge.Sides
	merge.Outcome

	stages [3]plumbing.Hash // blobs of base, ours and theirs, zero where the file is not there
}

// target is one file of the folder and the index as it is to be.
type target struct {
	path    string
	was, is plumbing.Hash // the text that the tip has and the one to stand there; zero where there is none
	exec    bool          // git's mark of a program, which nobody's book needs, kept as it came
	text    []byte        // a text that is in no store yet, until put gives it its id
}

// join works out the trees of two tips over the tree of their base.
func join(store *trace.Store, base, ours, theirs plumbing.Hash) (*Joint, error) {
	us, err := sideOf(store, base, ours)
	if err != nil {
		return nil, err
	}
	them, err := sideOf(store, base, theirs)
	if err != nil {
		return nil, err
	}
	j := &Joint{}
	for _, key := range them.order {
		t, u := them.files[key], us.files[key]
		switch {
		case u == nil:
			if t.From != "" {
				j.targets = append(j.targets, target{path: t.From, was: t.Was})
				t.Was = plumbing.ZeroHash
			}
			j.targets = append(j.targets, target{path: t.Path, was: t.Was, is: t.Is, exec: isExec(t)})
		case u.Is == t.Is && u.Path == t.Path: // both did the same
		default:
			if err := j.both(store, u, t); err != nil {
				return nil, err
			}
		}
	}
	slices.SortFunc(j.targets, func(a, b target) int { return strings.Compare(a.path, b.path) })
	slices.SortFunc(j.Conflicts, func(a, b Conflict) int { return strings.Compare(a.Path, b.Path) })
	slices.Sort(j.Merged)
	return j, nil
}

// side is what one side did, by what a file keeps when it moves.
type side struct {
	files map[string]*trace.Difference
	order []string
}

func sideOf(store *trace.Store, base, tip plumbing.Hash) (*side, error) {
	list, err := store.Differences(base, tip)
	if err != nil {
		return nil, err
	}
	s := &side{files: map[string]*trace.Difference{}}
	for i := range list {
		k := key(&list[i])
		if s.files[k] != nil { // two records of one name: each by its path
			k = list[i].Path
		}
		s.files[k] = &list[i]
		s.order = append(s.order, k)
	}
	return s, nil
}

func isExec(d *trace.Difference) bool { return d.Mode == "100755" }

// key is the path that the file had in the base, or its path when it is new. A new overhaul goes by its name alone: the same record
// may be begun in two folders.
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
func (j *Joint) both(store *trace.Store, u, t *trace.Difference) error {
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
		b, err := store.Blob(c.stages[i])
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
	case !moved && u.Is == u.Was && !t.Is.IsZero():
		at.is = t.Is
	case !moved && t.Is == t.Was && !u.Is.IsZero():
		at.is = u.Is
	default:
		c.Outcome = merge.File(c.Sides)
		if !c.Clean || moved {
			c.Clean = false
			j.Conflicts = append(j.Conflicts, c)
			return nil
		}
		at.text = c.Text
		j.Merged = append(j.Merged, c.Sides.Path)
	}
	j.targets = append(j.targets, at)
	return nil
}
