package trace

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// compromise says that a key is good only for a commit and what lies in its past.
type compromise struct {
	last   bits
	by     string // who declared it
	reason string
}

var withdrawnForm = regexp.MustCompile(`^(SHA256:[A-Za-z0-9+/]{43}) compromised last-good=([0-9a-f]{40}|none)(?: +(.*))?$`)

// declaration is a line of signers/withdrawn that holds, and the commit that brought it.
type declaration struct {
	text, print string
	at          int
	compromise
}

// compromised reads signers/withdrawn, its versions oldest first: each holds from then on when its signer
// was entitled, and not himself declared by what held before, so that whoever holds a stolen key cannot
// take the declaration back. A declaration ends with a version that has it in its past and not in its text;
// one made beside that goes on, and of two about one key only the commits that both call good are.
func (h *history) compromised() error {
	f := h.files[withdrawnPath]
	if f == nil {
		return nil
	}
	all := h.force.seen[len(h.nodes)-1]
	var hold []declaration
	counted := map[string]bool{}
	for _, v := range f.versions {
		l := h.verdicts[v.commit].line
		if l == nil || v.notHis != "" {
			continue
		}
		found, err := h.declarations(v, l.principal)
		var broken *BrokenError
		if errors.As(err, &broken) {
			return err
		} else if err != nil {
			h.blame(v.commit, "%s is refused, the version before it holds: %v", withdrawnPath, err)
			continue
		}
		fresh, err := h.fresh(v, found, counted)
		if err != nil {
			return err
		}
		if l.roles&superintendent == 0 && h.declaresOffice(fresh) {
			h.disown(v.commit, withdrawnPath, "a superintendent's key is for a superintendent to declare")
			continue
		}
		s, _, _ := h.force.stand(h.nodes[v.commit].sig.key, v.commit, h.force.before[v.commit], all)
		if s == usable || h.root(v.commit) {
			hold = after(hold, found, h.sight(v.commit))
			h.force.compromised = byPrint(hold)
			for _, d := range found {
				counted[d.text] = true
			}
		}
	}
	return nil
}

// after is what holds after a version: what stands in it, and what it had not in its past.
func after(hold, found []declaration, sight bits) []declaration {
	stands := func(list []declaration, text string) bool {
		return slices.ContainsFunc(list, func(d declaration) bool { return d.text == text })
	}
	next := slices.DeleteFunc(slices.Clone(hold), func(d declaration) bool {
		return sight.has(d.at) && !stands(found, d.text)
	})
	for _, d := range found {
		if !stands(next, d.text) {
			next = append(next, d)
		}
	}
	return next
}

// fresh are the declarations that a version brings: not those that its file held before and that once counted,
// which another side may have ended meanwhile.
func (h *history) fresh(v version, found []declaration, counted map[string]bool) ([]declaration, error) {
	before := map[string]bool{}
	for _, blob := range v.olds {
		if blob.IsZero() {
			continue
		}
		lines, err := h.lines(blob)
		var broken *BrokenError
		if errors.As(err, &broken) {
			return nil, err
		}
		for _, l := range lines {
			before[l.text] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(found), func(d declaration) bool {
		return before[d.text] && counted[d.text]
	}), nil
}

// byPrint gives for each declared key what is left of it.
func byPrint(hold []declaration) map[string]*compromise {
	all := map[string]*compromise{}
	for _, d := range hold {
		c := d.compromise
		if before := all[d.print]; before != nil {
			c = *before
			c.last = c.last.both(d.last)
		}
		all[d.print] = &c
	}
	return all
}

// declaresOffice reports whether one of these declarations is of a key that ever was a superintendent's.
// A chief makes none: a thief with his key could shut the office out.
func (h *history) declaresOffice(fresh []declaration) bool {
	return slices.ContainsFunc(h.force.events, func(e event) bool {
		print := fingerprint([]byte(e.line.key))
		return e.line.roles&superintendent != 0 &&
			slices.ContainsFunc(fresh, func(d declaration) bool { return d.print == print })
	})
}

// declarations reads one version.
func (h *history) declarations(v version, by string) (found []declaration, err error) {
	if v.blob.IsZero() {
		return nil, nil
	}
	lines, err := h.lines(v.blob)
	if err != nil {
		return nil, err
	}
	for _, l := range lines {
		m := withdrawnForm.FindStringSubmatch(l.text)
		if m == nil {
			return nil, fmt.Errorf("line %d is not of the form SHA256:… compromised last-good=COMMIT REASON: %q", l.number,
				clip(l.text))
		}
		d := declaration{l.text, m[1], v.commit, compromise{by: by, reason: m[3]}}
		if m[2] != "none" {
			at := slices.IndexFunc(h.nodes, func(n *node) bool { return n.id.String() == m[2] })
			if at < 0 {
				return nil, fmt.Errorf("line %d: commit %s is not in the history", l.number, m[2])
			}
			d.last = h.sight(at)
		}
		found = append(found, d)
	}
	return found, nil
}

// numberedLine is a line of a list under hands, without comments and empty lines.
type numberedLine struct {
	number int
	text   string
}

// lines reads a list under hands.
func (h *history) lines(blob id) ([]numberedLine, error) {
	text, err := h.store.read(blob, plumbing.BlobObject)
	if err != nil {
		return nil, err
	}
	if len(text) > maxRegister {
		return nil, fmt.Errorf("it is longer than %d KiB", maxRegister>>10)
	}
	var all []numberedLine
	n := 0
	for l := range strings.Lines(string(text)) {
		n++
		if l = strings.TrimSuffix(l, "\n"); l != "" && l[0] != '#' {
			all = append(all, numberedLine{n, l})
		}
	}
	return all, nil
}
