package checks

import (
	"os"
	"slices"
	"testing"

	"needlebook/logbook"
)

// A look at one overhaul says of it what the run over the whole book says, for every overhaul of the example vessel.
func TestLookSaysWhatTheRunSays(t *testing.T) {
	b, err := logbook.Read(os.DirFS("../example-vessel"))
	if err != nil {
		t.Fatal(err)
	}
	whole := Run(b, Options{}).Findings
	said := 0
	for _, o := range b.Overhauls {
		of := func(all []Finding) []string {
			var words []string
			for _, f := range all {
				if k := Named(f.Check); k != nil && k.Alone() && len(k.Slips) == 0 && f.Place.Path == o.Path {
					words = append(words, f.Place.String()+" "+f.Check+" "+f.Message)
				}
			}
			return words
		}
		got, want := of(Look(b, Options{}, o)), of(whole)
		said += len(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: Look says\n%q, Run\n%q", o.Path, got, want)
		}
	}
	if said == 0 {
		t.Error("nothing was said of any overhaul: the test compares nothing")
	}
}
