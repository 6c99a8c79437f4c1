package trace

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
)

// file is what happened to one file through all its moves, in the order of the walk.
type file struct {
	versions []version
}

// version is one text of a file; a zero blob says that the commit took the file out.
type version struct {
	commit int
	path   string
	from   string // where it stood before, when the commit moved it
	blob   id
	olds   []id // what the parents that differ had, zero where the file was missing
	merged bool
	notHis string
	spare  bool // it takes out a copy: a file that is as old holds the same bytes
}

// key is what a file keeps through its moves: an overhaul its name, wherever it lies.
func (h *history) key(p string) string {
	if strings.HasPrefix(p, "overhauls/") {
		return "overhauls/" + path.Base(p)
	}
	if k, ok := h.moved[p]; ok {
		return k
	}
	return p
}

// record enters a commit's changes: the files in which it differs from all its parents, each held
// against the roles of the signer; meets says what a merge dropped.
func (h *history) record(i int, sides [][]step, judged bool) {
	c := &h.commits[i]
	if len(sides) > 1 {
		h.merges[i] = &merge{differs: touches(sides), waits: map[string]string{}}
	}
	at := make([]map[string]int, len(sides))
	for j, side := range sides[1:] {
		at[j+1] = byPath(side)
	}
	for _, s := range sides[0] {
		if s.from != "" && h.key(s.path) != h.key(s.from) {
			h.moved[s.path] = h.key(s.from)
		}
		v := version{commit: i, path: s.path, from: s.from, blob: s.is.text(), olds: []id{s.was.text()},
			merged: len(sides) > 1}
		change := logbook.PathChange{Path: s.path, From: s.from, Old: hexOrEmpty(s.was.id), New: hexOrEmpty(s.is.id),
			Merged: v.merged && s.is.mode != ""}
		own := true
		for j, other := range sides[1:] {
			k, there := at[j+1][s.path]
			if own = there; !own {
				break
			}
			v.olds = append(v.olds, other[k].was.text())
			if change.Old == "" {
				change.Old = hexOrEmpty(other[k].was.id)
			}
			if change.From == "" {
				change.From = other[k].from
			}
		}
		if !own {
			continue
		}
		c.Changes = append(c.Changes, change)
		h.file(s.path).versions = append(h.file(s.path).versions, v)
		if judged {
			h.allowed(i, s)
			h.answers(i, s, v.olds)
		}
	}
}

// byPath finds the steps of one side by their paths.
func byPath(steps []step) map[string]int {
	at := make(map[string]int, len(steps))
	for i, s := range steps {
		at[s.path] = i
	}
	return at
}

func (h *history) file(p string) *file {
	k := h.key(p)
	if h.files[k] == nil {
		h.files[k] = &file{}
	}
	return h.files[k]
}

func hexOrEmpty(h id) string {
	if h.IsZero() {
		return ""
	}
	return h.String()
}

// allowed holds one change against what may be in a book and against the signer's roles. What the
// founding commit brings is the founder's.
func (h *history) allowed(i int, s step) {
	switch {
	case s.is.mode == "" && keeps(s.path) && i != h.founding:
		if h.spare(i, s) {
			all := h.file(s.path).versions
			all[len(all)-1].spare = true
			break
		}
		h.blame(i, "takes out %s", s.path)
	case s.is.mode == modeLink:
		h.blame(i, "%s is a symbolic link", s.path)
	case s.is.mode == modeChild:
		h.blame(i, "%s is another repository", s.path)
	case s.is.mode != "" && s.is.mode != modeFile:
		h.blame(i, "%s has mode %s, wanted %s", s.path, s.is.mode, modeFile)
	case s.is.mode != "":
		if err := CheckPath(s.path); err != nil {
			h.blame(i, "%v", err)
		}
	}
	l := h.verdicts[i].line
	if l == nil || i == h.founding || s.path == signersPath {
		return
	}
	why := notHis(s.path, l.roles)
	if why != "" && h.merges[i] != nil && s.from == "" && JoinsAlone(s.path) {
		h.merges[i].waits[s.path] = why // what the sides come to is no change of his
	} else if why != "" {
		h.disown(i, s.path, why)
	} else if s.from != "" {
		if why := notHis(s.from, l.roles); why != "" {
			h.disown(i, s.path, why)
		}
	}
}

// spare says that a commit takes out nothing but a copy: a file of the same folder and kind that came no later holds
// the same bytes.
func (h *history) spare(i int, s step) bool {
	top, _, _ := strings.Cut(s.path, "/")
	came := h.file(s.path).versions[0].commit
	found := errors.New("found")
	err := h.store.differ(id{}, h.nodes[i].raw.tree, "", func(c change) error {
		other := h.files[h.key(c.path)]
		if c.is.id == s.was.id && strings.HasPrefix(c.path, top+"/") && path.Ext(c.path) == path.Ext(s.path) &&
			other != nil &&
			len(other.versions) > 0 && other.versions[0].commit <= came {
			return found
		}
		return nil
	})
	return errors.Is(err, found)
}

// disown marks a change that was not the signer's to make.
func (h *history) disown(i int, p, why string) {
	c := &h.commits[i]
	at := len(c.Changes) - 1
	for at >= 0 && c.Changes[at].Path != p { // mostly the last one
		at--
	}
	if at < 0 {
		h.blame(i, "not theirs to change: %s", why)
		return
	}
	c.Changes[at].NotHis, h.blamed[i] = why, true
	for j, v := range h.file(p).versions {
		if v.commit == i {
			h.file(p).versions[j].notHis = why
		}
	}
}

// trails turns what was gathered into one trail for each file of the tip.
func (h *history) trails(tip []change) (map[string]*logbook.RecordTrail, []logbook.Vanished, error) {
	trails, there := make(map[string]*logbook.RecordTrail, len(tip)), make(map[string]bool, len(tip))
	for _, c := range tip {
		if c.is.mode == modeChild {
			continue // marked on its commit, and no text of the book
		}
		key := h.key(c.path)
		there[key] = true
		f := h.files[key]
		t := &logbook.RecordTrail{Path: c.path, Stem: stem(c.path), Current: -1}
		for _, v := range f.versions {
			if v.blob.IsZero() {
				continue
			}
			if v.path == c.path && v.blob == c.is.id {
				t.Current = len(t.Versions)
			}
			t.Versions = append(t.Versions, h.version(v))
		}
		if t.Current < 0 {
			return nil, nil, fmt.Errorf("trace: no commit brings %s as the tip holds it", c.path)
		}
		for _, v := range t.Versions {
			who := h.commits[v.Commit].Signer
			if v.State == logbook.Adopted {
				who = h.commits[v.Commit].AdoptedBy
			}
			if v.State.Speaks() && !slices.Contains(t.Signers, who) {
				t.Signers = append(t.Signers, who)
			}
		}
		trails[c.path] = t
	}
	return trails, h.vanished(there), nil
}

func stem(p string) string {
	return strings.TrimSuffix(path.Base(p), path.Ext(p))
}

func (h *history) version(v version) logbook.Version {
	c := &h.commits[v.commit]
	out := logbook.Version{Commit: v.commit, Path: v.path, Blob: v.blob.String(), State: c.State, Why: c.Why}
	if v.merged && c.State == logbook.Signed {
		out.State = logbook.MergeEdit
	}
	if v.notHis != "" {
		out.Why = v.notHis
	}
	return out
}

// vanished lists the files that a commit with a good signature once brought and that no path of the tip
// holds.
func (h *history) vanished(there map[string]bool) []logbook.Vanished {
	var all []logbook.Vanished
	for key, f := range h.files {
		if there[key] {
			continue
		}
		v := logbook.Vanished{Commit: -1}
		spoken, spare := false, false
		for _, x := range f.versions {
			if x.blob.IsZero() {
				v.Commit, spare = x.commit, x.spare
				continue
			}
			v.Path, v.Stem, v.LastBlob = x.path, stem(x.path), x.blob.String()
			spoken = spoken || h.commits[x.commit].State.Speaks()
		}
		if merge, ok := h.lost[key]; ok && v.Commit < 0 {
			v.Commit = merge
		}
		if spoken && keeps(v.Path) && !spare {
			all = append(all, v)
		}
	}
	slices.SortFunc(all, func(a, b logbook.Vanished) int { return strings.Compare(a.Path, b.Path) })
	return all
}
