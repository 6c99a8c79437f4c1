package checks

import (
	"slices"

	"needlebook/logbook"
)

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
func (r *Report) Looked() (did, not int) { return r.LookedAtKinds() }

// LookedAt counts the checks of single overhauls that had something to look at in one, and those that had not.
func (r *Report) LookedAt(o *logbook.Overhaul) (did, not int) {
	for _, k := range All() {
		switch {
		case k.Each == nil:
		case r.Applies(k) && (k.Holds == nil || k.Holds(o)):
			did++
		default:
			not++
		}
	}
	return did, not
}

// LookedAtKinds counts the checks of what is of some kinds, as a pocket and the parts in it, that had something to look
// at in the book, and those that had not; of all kinds where none is named.
func (r *Report) LookedAtKinds(kinds ...SubjectKind) (did, not int) {
	for _, k := range All() {
		switch {
		case len(kinds) > 0 && !slices.Contains(kinds, k.Subject):
		case r.Applies(k):
			did++
		default:
			not++
		}
	}
	return did, not
}

// What a check of single overhauls looks at in one.
func wasRemoved(o *logbook.Overhaul) bool   { return o.Removed.Present() }
func wasFound(o *logbook.Overhaul) bool     { return o.AsFound.Present() }
func wasStripped(o *logbook.Overhaul) bool  { return o.Stripped.Present() || o.Inspected.Present() }
func wasCleaned(o *logbook.Overhaul) bool   { return o.Cleaned.Present() }
func wasMeasured(o *logbook.Overhaul) bool  { return o.Measured.Present() }
func wasDecided(o *logbook.Overhaul) bool   { return o.Decided.Present() }
func wasTried(o *logbook.Overhaul) bool     { return len(o.Tries) > 0 }
func wasCorrected(o *logbook.Overhaul) bool { return len(o.Corrections) > 0 }
func wasLeft(o *logbook.Overhaul) bool      { return o.AsLeft.Present() }
func wasReceived(o *logbook.Overhaul) bool  { return o.Received.Present() }
func wasFitted(o *logbook.Overhaul) bool    { return o.Fitted.Present() }
func wasTested(o *logbook.Overhaul) bool    { return wasFound(o) || wasLeft(o) }
func bothTests(o *logbook.Overhaul) bool    { return wasFound(o) && wasLeft(o) }
func wasBuilt(o *logbook.Overhaul) bool     { return o.Assembled.Present() || wasLeft(o) || wasFitted(o) }

func wasRemovedOrFitted(o *logbook.Overhaul) bool     { return wasRemoved(o) || wasFitted(o) }
func wasMeasuredOrInspected(o *logbook.Overhaul) bool { return wasMeasured(o) || o.Inspected.Present() }

// What some checks need beside what they are about.
func aHistory(_ *logbook.Book, t *logbook.Trail) bool   { return t.UnderGit }
func deferrals(b *logbook.Book, _ *logbook.Trail) bool  { return len(b.Deferrals) > 0 }
func stock(b *logbook.Book, _ *logbook.Trail) bool      { return len(b.Stock) > 0 }
func conditions(b *logbook.Book, _ *logbook.Trail) bool { return len(b.Vessel.Conditions) > 0 }
