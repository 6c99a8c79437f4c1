package logbook

import "slices"

// terms are the keys of a deferral that are approved, beside who did: what it covers, from when, and for how long.
var terms = []string{"record", "limit", "holder", "nozzle", "by_how_much", "from", "hours", "until"}

// Unapproved says in a few words why a deferral does not hold by its history: whoever approved it has not signed its
// terms as they are. Empty where that person has, where there is no history to ask, and where that person signs
// nothing in this book: then the word of whoever wrote it is all that there can be.
func (t *Trail) Unapproved(d *Deferral) string {
	signs := func(c Commit) bool { return c.State == Signed && d.approvedBy(c.Person) }
	if !t.UnderGit || !d.Approved.By.Stated() || !slices.ContainsFunc(t.Commits, signs) {
		return ""
	}
	return t.unsignedTerms(d)
}

// ToConfirm says that a person approved a deferral of the history and has not signed its terms as they are.
func (t *Trail) ToConfirm(d *Deferral, person string) bool {
	return t.Records[d.Path] != nil && d.approvedBy(person) && t.unsignedTerms(d) != ""
}

// approvedBy says that a person is named as the one who approved a deferral.
func (d *Deferral) approvedBy(person string) bool {
	return d.Approved.By.Stated() && plainLetters(person) == plainLetters(d.Approved.By.Written)
}

// ConfirmedIn is the last commit in which whoever approved a deferral signed its file; nil where there is none.
func (t *Trail) ConfirmedIn(d *Deferral) (last *Commit) {
	for _, c := range t.Signed(d.Path) {
		if d.approvedBy(c.Person) {
			last = c
		}
	}
	return last
}

// ATerm says that a key of a deferral is one of its terms, or names who approved them.
func (d *Deferral) ATerm(key string) bool {
	return slices.Contains(terms, key) || key == d.Approved.By.Key
}

// unsignedTerms says in a few words what whoever approved a deferral has not signed; empty where nothing is left.
func (t *Trail) unsignedTerms(d *Deferral) string {
	by := d.Approved.By.Written
	r := t.Records[d.Path]
	if r == nil {
		return "is not signed by " + by
	}
	changed, last := false, -1
	Says(d, func(x Said) {
		if !d.ATerm(x.Key) {
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
		if !d.approvedBy(c.Person) {
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
