package checks

import (
	"testing"

	"needlebook/logbook"
)

// TestLooked counts the checks that have something to look at: all of the example vessel but those of a history, which a
// plain folder has not, and of conditions of class, which she has none of. Outside source: none.
func TestLooked(t *testing.T) {
	b := exampleVessel(t)
	did, not := Run(b, Options{}).Looked()
	if did+not != len(All()) || not != 13 {
		t.Errorf("%d checked, %d not applicable of %d; want 13 not applicable", did, not, len(All()))
	}
	r := Run(b, Options{Trail: &logbook.Trail{UnderGit: true}})
	if _, not := r.Looked(); not != 1 || r.Applies(conditionOfClass) {
		t.Errorf("with a history %d are not applicable, want the conditions of class alone", not)
	}
	for _, o := range b.Overhauls {
		want := 0 // of a valve with its tries, fitted again
		if !o.Received.Present() {
			want += 2 // by which limits its certificate is, and what was looked at on board
		}
		for _, none := range []bool{o.Tries == nil, o.Logs == nil, o.Papers == nil, o.Corrections == nil} {
			if none {
				want++
			}
		}
		if !o.Removed.Present() {
			want += 3 // why it came out, its hours, and the places that are looked at then
		}
		if !o.Fitted.Present() {
			want += 5 // what is tightened and looked at on the engine, and its running data
		}
		if _, not := r.LookedAt(o); o.AsFound.Present() && o.Stripped.Present() && o.Decided.Present() && not != want {
			t.Errorf("%s: %d checks are not applicable, want %d", o.Stem, not, want)
		}
	}
}
