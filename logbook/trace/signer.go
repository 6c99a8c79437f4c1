package trace

import (
	"slices"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
)

// A Signer is one line of signers/allowed_signers: a key, whose it is, and what it may do.
type Signer struct {
	// Line is the line as it stands, without its end.
	Line string
	// Principal is name@post, ID the part before the @: the person.
	Principal, ID string
	// Roles are of the words engineer, chief, superintendent and receiver, in that order.
	Roles []string
	// Commits is true when the line lets its key sign commits.
	Commits bool
	// From and Until bound the stated dates, both ends included; zero where the line leaves one open.
	From, Until time.Time
	// Key is the fingerprint, SHA256:….
	Key string
	// Public is the key itself.
	Public ssh.PublicKey
	// SaysPending is true when the line ends in the words "key pending".
	SaysPending bool
	// Pending is true when the key waits for a superintendent, whatever its line says. Only InForce knows it.
	Pending bool
}

func (l *line) shown() (Signer, error) {
	public, err := ssh.ParsePublicKey([]byte(l.key))
	return Signer{Line: l.text, Principal: l.principal, ID: l.signer(), Roles: l.roles.words(),
		Commits: l.roles&commits != 0,
		From:    l.after, Until: l.before, Key: fingerprint([]byte(l.key)), Public: public, SaysPending: l.saysPending()}, err
}

// Holds reports whether a date lies in the line's window.
func (h *Signer) Holds(t time.Time) bool {
	return (h.From.IsZero() || !t.Before(h.From)) && (h.Until.IsZero() || !t.After(h.Until))
}

// ParseSigners reads a whole signers/allowed_signers, its lines in their order. One line that is not of the form
// refuses the file; the error names the line.
func ParseSigners(text []byte) ([]Signer, error) {
	r, err := parseRegister(text)
	if err != nil {
		return nil, err
	}
	place := map[string]int{}
	for i, t := range strings.Split(string(text), "\n") {
		place[t] = i
	}
	lines := sorted(r)
	signers := make([]Signer, 0, len(lines))
	for _, l := range lines {
		h, err := l.shown()
		if err != nil {
			return nil, err
		}
		at := len(signers)
		for at > 0 && place[signers[at-1].Line] > place[h.Line] {
			at--
		}
		signers = append(signers[:at], append([]Signer{h}, signers[at:]...)...)
	}
	return signers, nil
}

// InForce returns the signers of the lines that are in force for the next commit on the tip of a trail, by key. The
// error is that of a line which is not of the form: a trail that was read holds none.
func InForce(t *logbook.Trail) ([]Signer, error) {
	var signers []Signer
	for _, l := range t.InForce {
		own, err := parseLine(l.Line)
		if err != nil {
			return nil, err
		}
		one, err := own.shown()
		if err != nil {
			return nil, err
		}
		one.Pending = l.Pending
		signers = append(signers, one)
	}
	return signers, nil
}

// inForce are the lines that are in force for the next commit, which stands behind all there are and sees all that they
// see.
func (h *history) inForce() (lines []logbook.RegisterLine) {
	next := h.force.next()
	seen := h.force.seen[next-1]
	vouched := h.vouching()
	for _, l := range h.force.all() {
		if st, now, _ := h.force.stand(l.key, next, seen, seen); st == usable {
			lines = append(lines, logbook.RegisterLine{Line: now.text, Pending: vouched.letIn(l.key, now.signer()).pending})
		}
	}
	return lines
}

// everNamed are the hands that ever came into the register, in the order of their coming.
func (h *history) everNamed() (names []string) {
	for _, e := range h.force.events {
		if !slices.Contains(names, e.line.signer()) {
			names = append(names, e.line.signer())
		}
	}
	return names
}

// all returns one line for each key that was ever granted, by text.
func (f *force) all() []*line {
	r := register{}
	for key, grants := range f.grants {
		r[key] = f.events[grants[len(grants)-1]].line
	}
	return sorted(r)
}

// NotHis says why one with these roles may not change a path; empty when he may. Of signers/allowed_signers the
// lines decide beside it: a chief changes engineers' lines alone.
func NotHis(path string, roles []string) string { return notHis(path, rolesOf(roles)) }

// SignersNotHis says why a signer may not change signers/allowed_signers from one text into another; empty when he may.
func SignersNotHis(by Signer, was, is []byte) (string, error) {
	before, err := parseRegister(was)
	if err != nil {
		return "", err
	}
	now, err := parseRegister(is)
	if err != nil {
		return "", err
	}
	own, err := parseLine(by.Line)
	if err != nil {
		return "", err
	}
	var c changed
	for _, l := range sorted(now) {
		if had := before[l.key]; had == nil || had.text != l.text {
			c.grants = append(c.grants, event{line: l, known: had != nil})
		}
	}
	for _, l := range sorted(before) {
		if now[l.key] == nil || !now[l.key].covers(l) {
			c.takes = append(c.takes, event{line: l})
		}
	}
	return signersNotHis(own, c, false), nil
}

func rolesOf(words []string) (has role) {
	for _, n := range namespaces {
		for _, word := range words {
			if word == n.word {
				has |= n.role
			}
		}
	}
	return has
}
