package trace

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
)

// history judges the commits of a walk one after the other, oldest first, and gathers what each did to
// which file.
type history struct {
	store     *Store
	storeLock sync.Mutex // held where several goroutines read
	nodes     []*node
	founding  int   // -1 when no commit brings a register
	again     []int // commits for which a further founding proof vouches, in their order
	force     *force
	commits   []logbook.Commit
	verdicts  []verdict
	blamed    []bool // what stands in the way of a proved history, beside the writer

	// Of signers/allowed_signers: the blob at each commit, and the last well-formed lines.
	registers []register
	readLines map[id]parsedRegister
	roll      roll
	prints    map[string]string // fingerprints by key

	files map[string]*file  // by key
	moved map[string]string // path to the key of the file that moved there
	lost  map[string]int    // key to the merge that dropped a text of it

	merges map[int]*merge
	rows   []logbook.RepeatedRow
}

type parsedRegister struct {
	lines register
	err   error
}

// verdict is what is known of a commit's writer as seen from its own place.
type verdict struct {
	state logbook.State
	why   string
	line  *line // the line it was signed by; nil unless state is Signed
	// ahead is set when nothing in the commit's past grants the key: whether it is unknown, or only
	// not in force there, the whole history decides.
	ahead bool
}

// blame adds a mark that stands in the way of a proved history.
func (h *history) blame(commit int, format string, a ...any) {
	c := &h.commits[commit]
	c.Marks = append(c.Marks, fmt.Sprintf(format, a...))
	h.blamed[commit] = true
}

// sight is the set of a commit and all that it has in its past.
func (h *history) sight(commit int) bits {
	b := newBits(len(h.nodes))
	b.set(commit)
	for c := commit; c >= 0; c-- {
		if b.has(c) {
			for _, p := range h.nodes[c].parents {
				b.set(p)
			}
		}
	}
	return b
}

// judge goes through all commits.
func (h *history) judge() error {
	beforeFounding := bits(nil)
	if h.founding >= 0 {
		beforeFounding = h.sight(h.founding)
	}
	for i, n := range h.nodes {
		h.commits[i] = h.plain(n)
		h.force.arrive(i, n.parents)
		switch {
		case h.root(i):
			h.verdicts[i] = h.found(n)
		case h.founding < 0 || beforeFounding.has(i):
			h.verdicts[i] = h.unjudged()
		default:
			h.verdicts[i] = h.writer(i, n)
		}
		judged := h.verdicts[i].state != logbook.NotJudged
		h.record(i, n.sides, judged)
		if err := h.register(i, n.sides, judged); err != nil {
			return err
		}
		if len(n.parents) < 2 {
			n.sides = nil
		}
		if judged && i != h.founding {
			h.clock(i)
		}
		if slices.Contains(h.again, i) {
			c := &h.commits[i]
			c.Marks = append(c.Marks, "founded again: a founding proof vouches for this commit, no signer before it")
		}
	}
	if err := h.meets(); err != nil {
		return err
	}
	if err := h.compromised(); err != nil {
		return err
	}
	vouched := h.vouching()
	for i := range h.nodes {
		h.conclude(i, vouched)
	}
	if err := h.adopt(); err != nil {
		return err
	}
	h.unproved()
	h.pending(vouched)
	for i := range h.commits {
		c := &h.commits[i]
		before := h.founding >= 0 && c.State == logbook.NotJudged
		c.Stands = !h.blamed[i] && (c.State.Speaks() || before)
	}
	return nil
}

// pending marks where a key was let in that waits for a superintendent.
func (h *history) pending(vouched *vouching) {
	for g, e := range h.force.events {
		first := g == slices.IndexFunc(h.force.events, func(o event) bool {
			return o.sight == nil && o.line.key == e.line.key && o.line.signer() == e.line.signer()
		})
		if first && h.commits[e.at].State == logbook.Signed && vouched.letIn(e.line.key, e.line.signer()).pending {
			c := &h.commits[e.at]
			c.Marks = append(c.Marks,
				fmt.Sprintf("key pending, does not count for four eyes until a superintendent confirms it: %s", e.line.principal))
		}
	}
}

// unproved marks where a superintendent was let in whose key has signed nothing since: nobody has shown that he
// holds it.
func (h *history) unproved() {
	signed := map[string]bool{}
	for i, n := range h.nodes {
		if h.commits[i].State == logbook.Signed {
			signed[n.sig.key] = true
		}
	}
	last := len(h.nodes) - 1
	for _, e := range h.force.events {
		if e.by == nil || e.line.roles&(superintendent|commits) != superintendent|commits || signed[e.line.key] {
			continue
		}
		if s, l, _ := h.force.stand(e.line.key, h.force.next(), h.force.seen[last], h.force.seen[last]); s == usable &&
			l == e.line {
			c := &h.commits[e.at]
			c.Marks = append(c.Marks,
				fmt.Sprintf("the key of %s, let in as superintendent, has signed nothing yet: nobody has shown who holds it",
					e.line.principal))
		}
	}
}

// plain is what the commit says of itself.
func (h *history) plain(n *node) logbook.Commit {
	a, c := n.raw.author, n.raw.committer
	out := logbook.Commit{
		ID: n.id.String(), Parents: n.parents, Stated: c.at, Message: n.raw.message,
		AuthorName: a.name, AuthorEmail: a.email, CommitterName: c.name, CommitterEmail: c.email,
	}
	if n.sig.key != "" {
		if h.prints[n.sig.key] == "" {
			h.prints[n.sig.key] = fingerprint([]byte(n.sig.key))
		}
		out.Key = h.prints[n.sig.key]
	}
	return out
}

func (h *history) unjudged() verdict {
	if h.founding < 0 {
		return verdict{state: logbook.NotJudged, why: "the history holds no readable " + signersPath}
	}
	return verdict{state: logbook.NotJudged, why: "before the founding commit"}
}

// form says what the commit's bytes alone leave of it; ok means a good signature in the accepted form.
func form(n *node) (v verdict, ok bool) {
	switch err := n.sig.err; {
	case n.raw.malformed != "":
		return verdict{state: logbook.Malformed, why: n.raw.malformed}, false
	case errors.Is(err, errNone):
		return verdict{state: logbook.Unsigned}, false
	case errors.Is(err, errBad):
		return verdict{state: logbook.BadSignature, why: err.Error()}, false
	case errors.Is(err, errOtherKind):
		return verdict{state: logbook.OtherSignature, why: err.Error()[len(errOtherKind.Error())+2:]}, false
	case err != nil:
		return verdict{state: logbook.Malformed, why: err.Error()}, false
	}
	return verdict{state: logbook.Signed}, true
}

// found judges the founding commit, which brings the register it is held against: the founder must
// stand in it as superintendent. Whether it is the right founding commit only a proof from outside can
// say.
func (h *history) found(n *node) verdict {
	v, ok := form(n)
	if !ok {
		return v
	}
	lines, err := h.registerIn(n.raw.tree)
	if err != nil {
		return verdict{state: logbook.NotInForce, why: err.Error()}
	}
	l := lines[n.sig.key]
	switch {
	case l == nil:
		return verdict{state: logbook.UnknownKey, why: "the founder's key is not in " + signersPath}
	case l.roles&superintendent == 0 || l.roles&commits == 0:
		return verdict{state: logbook.NotInForce, why: fmt.Sprintf("the founder, %s, is no superintendent who signs commits",
			l.principal)}
	case !l.holds(n.raw.committer.at):
		return outside(l, n.raw.committer.at)
	}
	v.line = l
	return v
}

// writer judges a commit against the register in force at its place.
func (h *history) writer(i int, n *node) verdict {
	if len(n.parents) == 0 {
		return verdict{state: logbook.SecondRoot, why: "begins a second history beside the founding commit"}
	}
	v, ok := form(n)
	if !ok {
		return v
	}
	s, l, against := h.force.inPlace(n.sig.key, i)
	switch s {
	case notGranted:
		return verdict{state: logbook.UnknownKey, ahead: true}
	case usable:
	default:
		return verdict{state: logbook.NotInForce, why: h.explain(s, against)}
	}
	switch {
	case l.roles&commits == 0:
		return verdict{state: logbook.NotInForce, why: fmt.Sprintf("the key of %s may not sign commits", l.principal)}
	case !l.holds(n.raw.committer.at):
		return outside(l, n.raw.committer.at)
	}
	v.line = l
	return v
}

func outside(l *line, stated time.Time) verdict {
	window := ""
	if !l.after.IsZero() {
		window += " from " + l.after.Format("2006-01-02 15:04Z")
	}
	if !l.before.IsZero() {
		window += " until " + l.before.Format("2006-01-02 15:04Z")
	}
	return verdict{state: logbook.OutsideWindow, why: fmt.Sprintf("stated %s, the key is good%s",
		stated.Format("2006-01-02 15:04Z"), window)}
}

func (h *history) explain(s standing, e *event) string {
	where := h.short(e.at)
	switch s {
	case withdrawn:
		return "the key was withdrawn by commit " + where
	case unseen:
		return "the key was withdrawn by commit " + where + ", which had not seen this one"
	}
	return "whoever let the key in was not entitled to it, see commit " + where
}

func (h *history) short(commit int) string { return h.nodes[commit].id.String()[:12] }

// conclude gives a commit its state as seen from the tip: a later withdrawal elsewhere may have voided
// what held in its place.
func (h *history) conclude(i int, vouched *vouching) {
	v, n, c := h.verdicts[i], h.nodes[i], &h.commits[i]
	all := h.force.seen[len(h.nodes)-1]
	owner := v.line
	if v.state == logbook.Signed {
		if s, _, e := h.force.stand(n.sig.key, i, h.force.before[i], all); s != usable && !h.root(i) {
			v = verdict{state: logbook.NotInForce}
			switch s {
			case unseen:
				v.state = logbook.Unseen
			case stolen:
				v.state = logbook.Compromised
				d := h.force.compromised[c.Key]
				v.why = strings.TrimSuffix(fmt.Sprintf("declared by %s, and not among the commits known to be good: %s", d.by,
					d.reason), ": ")
			}
			if v.why == "" {
				v.why = h.explain(s, e)
			}
		}
	}
	grants := h.force.grants[n.sig.key]
	if owner == nil && len(grants) > 0 {
		owner = h.force.events[grants[len(grants)-1]].line
		if v.ahead {
			v = verdict{state: logbook.NotInForce, why: "the key comes into the register only with commit " +
				h.short(h.force.events[grants[0]].at) + ", which this one has not in its past"}
		}
	}
	if v.state == logbook.UnknownKey && v.why == "" {
		v.why = "the key stands in no line of " + signersPath + " that a superintendent or chief let in"
	}
	c.State, c.Why = v.state, v.why
	if owner != nil {
		c.Signer, c.Person, c.Roles = owner.principal, owner.signer(), owner.roles.words()
		in := vouched.letIn(n.sig.key, c.Person)
		c.Pending = in.pending
		if in.by != nil {
			c.LetInBy = in.by.principal
		}
	}
}

// clock compares the stated date with the parents'. Dates prove nothing; a date before a parent's shows
// a wrong clock.
func (h *history) clock(i int) {
	c := &h.commits[i]
	for _, p := range c.Parents {
		if c.Stated.IsZero() || h.commits[p].Stated.IsZero() {
			continue // malformed, and said so
		}
		switch back := h.commits[p].Stated.Sub(c.Stated); {
		case back > 26*time.Hour:
			c.Marks = append(c.Marks, fmt.Sprintf("date contradicted: stated %s before its parent %s", span(back), h.short(p)))
		case back > 10*time.Minute:
			c.Marks = append(c.Marks, fmt.Sprintf("clock went back: stated %s before its parent %s", span(back), h.short(p)))
		}
	}
}

func span(d time.Duration) string {
	switch {
	case d >= 48*time.Hour:
		return fmt.Sprintf("%d days", int(d.Hours())/24)
	case d >= 2*time.Hour:
		return fmt.Sprintf("%d h", int(d.Hours()))
	}
	return fmt.Sprintf("%d min", int(d.Minutes()))
}

// registerIn reads signers/allowed_signers of a tree.
func (h *history) registerIn(tree id) (register, error) {
	e, err := h.store.lookup(tree, "signers", "allowed_signers")
	if err != nil {
		return nil, err
	}
	return h.registerAt(e)
}

func (h *history) registerAt(e entry) (register, error) {
	if e.mode != modeFile {
		return nil, fmt.Errorf("%s is no plain file here", signersPath)
	}
	if p, ok := h.readLines[e.id]; ok {
		return p.lines, p.err
	}
	text, err := h.store.read(e.id, plumbing.BlobObject)
	var p parsedRegister
	if err != nil {
		p.err = err
	} else {
		p.lines, p.err = parseRegister(text)
	}
	h.readLines[e.id] = p
	return p.lines, p.err
}
