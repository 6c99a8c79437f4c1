package trace

import (
	"strings"
)

// letIn is how a key came in under a person's name, as seen from the tip.
type letIn struct {
	// by is who let it in: of several the first who vouches for it; nil for a founding commit.
	by *line
	// pending is set while nobody vouches for it who may: it works, and counts as no second person.
	pending bool
}

// vouching knows which lines make their key count as the person they name.
type vouching struct {
	force *force
	seen  bits         // the events that the tip sees
	sure  map[int]bool // grants that vouch for their key
	folds map[string]folded
}

// vouching goes over the grants until nothing changes: whoever vouches for another has to count himself, by
// a line that may have come in later, and nobody counts by his own word or by that of those he let in.
func (h *history) vouching() *vouching {
	v := &vouching{force: h.force, seen: h.force.seen[len(h.nodes)-1], sure: map[int]bool{}, folds: map[string]folded{}}
	for more := true; more; {
		more = false
		for g := range v.force.events {
			if !v.sure[g] && v.granted(g) && v.vouches(g) {
				v.sure[g], more = true, true
			}
		}
	}
	return v
}

// granted reports whether an event is a line that came in, and that the tip sees.
func (v *vouching) granted(e int) bool { return v.force.events[e].sight == nil && v.seen.has(e) }

// letIn says who let a key in under a name.
func (v *vouching) letIn(key, signer string) letIn {
	answer := letIn{pending: true}
	for _, g := range v.force.grants[key] {
		e := &v.force.events[g]
		switch {
		case !v.granted(g) || !v.one(e.line.signer(), signer):
		case v.sure[g]:
			return letIn{by: e.by}
		case answer.by == nil:
			answer.by = e.by
		}
	}
	return answer
}

// vouches reports whether a line that came in makes its key count as the person it names. The founding
// commit's does; what a superintendent brings, or writes another comment to; what the person's own other key
// brings; and what a chief brings, where nobody of that name was there. A word of the line can only take that
// away.
func (v *vouching) vouches(g int) bool {
	e := &v.force.events[g]
	switch {
	case e.joined, e.line.saysPending():
		return false
	case e.by == nil:
		return true
	case !v.stood(e) || v.letIn(e.by.key, e.by.signer()).pending:
		return false
	case e.by.roles&superintendent != 0:
		return !e.renewed
	case v.one(e.by.signer(), e.line.signer()):
		return e.by.key != e.line.key
	}
	return !v.further(g)
}

// stood reports whether whoever let a line in was entitled to, as the tip sees it.
func (v *vouching) stood(e *event) bool {
	if e.by == nil {
		return true
	}
	s, _, _ := v.force.stand(e.by.key, e.at, v.force.before[e.at], v.seen)
	return s == usable
}

// further reports whether somebody of the name had come in with another key when a line came in, still there
// or not, or came in beside it: of two that did not know of each other neither is the first.
func (v *vouching) further(g int) bool {
	e := &v.force.events[g]
	for o := range v.force.events {
		other := &v.force.events[o]
		later := other.at != e.at && v.force.before[other.at].has(g)
		if v.granted(o) && !later && other.line.key != e.line.key && v.one(other.line.signer(), e.line.signer()) &&
			v.stood(other) {
			return true
		}
	}
	return false
}

// one is samePerson, each name folded once.
func (v *vouching) one(a, b string) bool {
	for _, name := range []string{a, b} {
		if _, known := v.folds[name]; !known {
			v.folds[name] = fold(name)
		}
	}
	return v.folds[a].like(v.folds[b])
}

// PendingWords end the comment of a line whose key waits for a superintendent. They are for the reader of
// the file: a key that nobody vouches for is pending without them.
const PendingWords = "key pending"

func (l *line) saysPending() bool {
	return strings.HasSuffix(strings.TrimRight(l.comment, " "), PendingWords)
}

// folded is a name without what a reader overlooks, a 1 read as l and as i.
type folded [2]string

func (f folded) like(o folded) bool { return f[0] == o[0] || f[1] == o[1] }

var overlooked = [2]*strings.Replacer{
	strings.NewReplacer("0", "o", "1", "l", "5", "s", "rn", "m", "vv", "w", ".", "", "-", "", "_", ""),
	strings.NewReplacer("0", "o", "1", "i", "5", "s", "rn", "m", "vv", "w", ".", "", "-", "", "_", ""),
}

func fold(name string) folded {
	return folded{overlooked[0].Replace(name), overlooked[1].Replace(name)}
}

// SamePerson reports whether two names, the parts of principals before the @, may be one person's: equal but
// for dots, dashes and underscores, and for letters that look alike on a page.
func SamePerson(a, b string) bool { return a == b || fold(a).like(fold(b)) }

// furtherKeyOf reports whether a line gives the one who holds another line a further key, and lets him do no
// more with it, nor for longer.
func (l *line) furtherKeyOf(own *line) bool {
	return l.principal == own.principal && l.key != own.key && l.roles&^own.roles == 0 &&
		(own.before.IsZero() || !l.before.IsZero() && !l.before.After(own.before))
}
