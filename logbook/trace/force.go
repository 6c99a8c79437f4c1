package trace

import (
	"maps"
	"slices"
	"time"
)

// force knows which keys are in force where. A register line comes into force, or is taken out, at a
// commit: an event. Who may sign a commit follows from the events in its past and, seen from the tip,
// from withdrawals that did not have the commit in sight. Order in the graph decides, never a date.
type force struct {
	events []event
	grants map[string][]int // by key, in the order of the walk
	takes  map[string][]int // withdrawals, by key
	// before holds for each commit the events in its past, seen those and its own.
	before, seen []bits
	// compromised keys by their fingerprint; set only when all is judged as seen from the tip.
	compromised map[string]*compromise
	// sight makes the set of a commit and all that it has in its past.
	sight func(commit int) bits
	// stated is the committer's date of a commit.
	stated func(commit int) time.Time
}

// event is a line that came into the register, or the withdrawal of what its key had, at a commit.
type event struct {
	at   int
	line *line
	// by is the line by which a grant was signed; nil for a founding commit, which the proof vouches for.
	by *line
	// known is set where the key had come in before. ended is set for a line of such a key whose last minute is over at
	// the commit that brings it: it keeps good for plain git what was signed before, and lets nobody sign.
	known, ended bool
	// renewed is set for a line that stands in place of another one of its key that allowed something else.
	renewed bool
	// joined is set for a line of which a merge makes the one that holds, and that came in before: nobody's word.
	joined bool
	// now is, for a withdrawal that only sets other dates for later, the line with those dates.
	now *line
	// sight is, for a withdrawal, everything the commit had in its past, and itself.
	sight bits
}

func newForce(commits int, sight func(int) bits, stated func(int) time.Time) *force {
	return &force{
		grants: map[string][]int{}, takes: map[string][]int{},
		before: make([]bits, commits), seen: make([]bits, commits), sight: sight, stated: stated,
	}
}

// arrive sets what a commit has in its past, before its own events are entered.
func (f *force) arrive(commit int, parents []int) {
	var b bits
	for _, p := range parents {
		b = b.union(f.seen[p])
	}
	f.before[commit], f.seen[commit] = b, b
}

// enter takes the commit's own events into force. What a line of a founding commit lets in, nobody signed for.
func (f *force) enter(commit int, c changed, by *line) {
	add := func(e event, list map[string][]int) {
		e.at = commit
		n := len(f.events)
		f.events = append(f.events, e)
		list[e.line.key] = append(list[e.line.key], n)
		f.seen[commit] = f.seen[commit].with(n)
	}
	for _, e := range c.takes {
		e.sight = f.sight(commit)
		add(e, f.takes)
	}
	for _, e := range c.grants {
		e.by = by
		add(e, f.grants)
	}
}

// knows reports whether a key was ever let in before a commit.
func (f *force) knows(key string, commit int) bool {
	return slices.ContainsFunc(f.grants[key], func(g int) bool { return f.before[commit].has(g) })
}

// standing is why a key may or may not sign at a place.
type standing int

const (
	usable standing = iota
	notGranted
	withdrawn // a withdrawal lies in the past of the commit
	unseen    // a withdrawal lies beside it
	voided    // the one who granted the key could not
	stolen    // declared compromised, and the commit is not among the good ones
)

// stand says whether a key was usable at a commit, whose past is the events before, as seen by one who
// knows the events seen; and by which line, or which event stands against it. The latest grant decides.
func (f *force) stand(key string, commit int, before, seen bits) (standing, *line, *event) {
	if len(f.compromised) > 0 {
		if c := f.compromised[fingerprint([]byte(key))]; c != nil && !c.last.has(commit) {
			return stolen, nil, nil
		}
	}
	answer, against := notGranted, (*event)(nil)
	for _, g := range slices.Backward(f.grants[key]) {
		grant := &f.events[g]
		if !before.has(g) || grant.ended {
			continue
		}
		s, e := f.against(key, grant, commit, before, seen)
		if s == usable {
			return usable, grant.line, nil
		}
		if answer == notGranted {
			answer, against = s, e
		}
	}
	return answer, nil, against
}

// against looks for what stands against one grant: a withdrawal that did not come before it and that
// had not the commit in sight, or a granter who was not entitled himself.
func (f *force) against(key string, grant *event, commit int, before, seen bits) (standing, *event) {
	for _, w := range f.takes[key] {
		take := &f.events[w]
		earlier := take.at == grant.at || take.at < grant.at && f.seen[grant.at].has(w)
		if !seen.has(w) || earlier || take.sight.has(commit) {
			continue
		}
		switch {
		case take.now != nil && (commit == f.next() || take.now.holds(f.stated(commit))):
			continue // it set other dates for later, and these hold
		case before.has(w):
			return withdrawn, take
		}
		return unseen, take
	}
	if grant.by == nil {
		return usable, nil
	}
	if s, _, e := f.stand(grant.by.key, grant.at, f.before[grant.at], seen); s != usable {
		if e == nil {
			e = grant
		}
		return voided, e
	}
	return usable, nil
}

// next stands for a commit still to come, whose date nobody knows.
func (f *force) next() int { return len(f.before) }

// inPlace says how a key stands at a commit, as seen from there.
func (f *force) inPlace(key string, commit int) (standing, *line, *event) {
	return f.stand(key, commit, f.before[commit], f.before[commit])
}

// lines returns the lines in force at a commit, as seen from there and whatever its date, by key.
func (f *force) lines(commit int) []*line {
	var all []*line
	for _, key := range slices.Sorted(maps.Keys(f.grants)) {
		if s, l, _ := f.stand(key, f.next(), f.before[commit], f.before[commit]); s == usable {
			all = append(all, l)
		}
	}
	return all
}
