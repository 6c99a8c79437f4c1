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
	if did+not != len(All()) || not != 8 {
		t.Errorf("%d checked, %d not applicable of %d; want 8 not applicable", did, not, len(All()))
	}
	r := Run(b, Options{Trail: &logbook.Trail{UnderGit: true}})
	if _, not := r.Looked(); not != 1 || r.Applies(conditionOfClass) {
		t.Errorf("with a history %d are not applicable, want the conditions of class alone", not)
	}
}
