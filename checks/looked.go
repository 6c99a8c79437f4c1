package checks

import "needlebook/logbook"

// Applies says that the book holds what a check looks at: without it, that the check says nothing means nothing.
func (r *Report) Applies(k *Check) bool {
	b := r.Book
	if k.Needs != nil {
		return k.Needs(b, r.trail)
	}
	switch k.Subject {
	case OfHolder, OfNozzle, OfPosition, OfPocket:
		v := &b.Vessel
		return len(b.Overhauls)+len(v.Opening.Fitted)+len(v.Opening.Rack)+len(v.Heads) > 0
	case OfRound:
		return len(r.Rounds) > 0
	case OfInstrument:
		return len(b.Instruments) > 0
	case OfLimits:
		return len(b.Limits) > 0
	case OfPost:
		return len(b.Crew) > 0
	}
	return true
}

// Looked counts the checks that had something to look at in the book, and those that had not.
func (r *Report) Looked() (did, not int) {
	for _, k := range All() {
		if r.Applies(k) {
			did++
		} else {
			not++
		}
	}
	return did, not
}

// What some checks need beside what they are about.
func aHistory(_ *logbook.Book, t *logbook.Trail) bool   { return t.UnderGit }
func deferrals(b *logbook.Book, _ *logbook.Trail) bool  { return len(b.Deferrals) > 0 }
func stock(b *logbook.Book, _ *logbook.Trail) bool      { return len(b.Stock) > 0 }
func conditions(b *logbook.Book, _ *logbook.Trail) bool { return len(b.Vessel.Conditions) > 0 }
