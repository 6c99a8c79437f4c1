package checks

import (
	"os"
	"slices"
	"testing"

	"needlebook/logbook"
)

// A look at one overhaul says of it what the run over the whole book says, with its state, for every overhaul of the example vessel.
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
					words = append(words, f.Place.String()+" "+f.Check+" "+f.Message+" "+f.Standing())
				}
			}
			slices.Sort(words) // the run orders by days of its own
			return words
		}
		got, want := of(Look(b, Options{Last: whole}, o)), of(whole)
		said += len(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: Look says\n%q, Run\n%q", o.Path, got, want)
		}
	}
	if said == 0 {
		t.Error("nothing was said of any overhaul: the test compares nothing")
	}
}

// A finding on what does not stand in a record at all is at the record's first line, and one that says where it is stays there; the grade
// is the check's where the finding has none.
func TestReportPlacesWhatHasNoPlace(t *testing.T) {
	b, err := logbook.Read(os.DirFS("../example-vessel"))
	if err != nil {
		t.Fatal(err)
	}
	o := b.Overhauls[0]
	c := &Case{Book: b, check: &Check{Name: "a-check", Subject: OfRecord, Ends: writing, Grade: Advice}}
	own := logbook.Place{Path: "hours/me1.csv", Line: 7, Column: 1}
	c.Report(Finding{About: About{Record: o.Stem}})
	c.Report(Finding{About: About{Record: o.Stem}, Place: own, Grade: Stop})
	c.Report(Finding{About: About{Record: "another"}})
	for i, want := range []Finding{{Place: o.Opening, Grade: Advice}, {Place: own, Grade: Stop}, {Grade: Advice}} {
		if got := c.findings[i]; got.Place != want.Place || got.Grade != want.Grade || got.Check != "a-check" {
			t.Errorf("%d: at %v, %s by %s, want %v, %s", i, got.Place, got.Grade, got.Check, want.Place, want.Grade)
		}
	}
}
