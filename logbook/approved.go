package logbook

import "slices"

// terms are the keys of a deferral that are approved, beside who did: what it covers, from when, and for how long.
var terms = []string{"record", "limit", "holder", "nozzle", "by_how_much", "from", "hours", "until"}

// Unapproved says in a few words why a deferral does not hold by its history: whoever approved it has not signed its
// terms as they stand. Empty where that person has, where there is no history to ask, and where that person signs
// nothing in this book: then the word of whoever wrote it is all that there can be.
func (t *Trail) Unapproved(d *Deferral) string {
	by := d.Approved.By.Written
	his := func(c Commit) bool { return c.State == Signed && plainLetters(c.Person) == plainLetters(by) }
	if !t.UnderGit || by == "" || !slices.ContainsFunc(t.Commits, his) {
		return ""
	}
	r := t.Records[d.Path]
	if r == nil {
		return "is not signed by " + by
	}
	changed, last := false, -1
	Says(d, func(x Said) {
		if !slices.Contains(terms, x.Key) && x.Key != d.Approved.By.Key {
			return
		}
		if !x.Leaf.Present() {
			if gone, stood := r.Gone[x.Key]; stood {
				last = max(last, gone.Commit)
			}
			return
		}
		set, ok := r.Setting(x.Key, x.Leaf.Written)
		changed, last = changed || !ok, max(last, set.Commit)
	})
	before := false
	for i, c := range t.Signed(d.Path) {
		if !his(*c) {
			continue
		}
		if before = true; !changed && r.Versions[i].Commit >= last {
			return ""
		}
	}
	if before {
		return "was changed after " + by + " signed it"
	}
	return "is not signed by " + by
}
