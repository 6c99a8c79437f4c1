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

// compromised reads hands/withdrawn, its versions oldest first: each holds from then on when its signer
// was entitled, and not himself declared by the version before, so that whoever holds a stolen key cannot
// take the declaration back. A superintendent's key is declared by a superintendent only: else a thief
// with a chief's key could shut the office out.
func (h *history) compromised() error {
	f := h.files[withdrawnPath]
	if f == nil {
		return nil
	}
	all := h.force.seen[len(h.nodes)-1]
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
		if l.roles&superintendent == 0 && h.declaresOffice(found) {
			h.disown(v.commit, withdrawnPath, "a superintendent's key is for a superintendent to declare")
			continue
		}
		s, _, _ := h.force.stand(h.nodes[v.commit].sig.key, v.commit, h.force.before[v.commit], all)
		if s == usable || h.root(v.commit) {
			h.force.compromised = found
		}
	}
	return nil
}

// declaresOffice reports whether a key is declared now that was not before and that ever was a
// superintendent's.
func (h *history) declaresOffice(found map[string]*compromise) bool {
	for _, e := range h.force.events {
		print := fingerprint([]byte(e.line.key))
		if e.line.roles&superintendent != 0 && found[print] != nil && h.force.compromised[print] == nil {
			return true
		}
	}
	return false
}

// declarations reads one version, its keys by their fingerprint.
func (h *history) declarations(v version, by string) (map[string]*compromise, error) {
	found := map[string]*compromise{}
	if v.blob.IsZero() {
		return found, nil
	}
	lines, err := h.lines(v.blob)
	if err != nil {
		return nil, err
	}
	for _, l := range lines {
		m := withdrawnForm.FindStringSubmatch(l.text)
		if m == nil {
			return nil, fmt.Errorf("line %d is not of the form SHA256:… compromised last-good=COMMIT REASON: %q", l.number, clip(l.text))
		}
		c := &compromise{by: by, reason: m[3]}
		if m[2] != "none" {
			at := slices.IndexFunc(h.nodes, func(n *node) bool { return n.id.String() == m[2] })
			if at < 0 {
				return nil, fmt.Errorf("line %d: commit %s is not in the history", l.number, m[2])
			}
			c.last = h.sight(at)
		}
		found[m[1]] = c
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
