package content

import (
	"slices"
	"testing"

	"needlebook/checks/evidence"
	"needlebook/site/address"
)

// TestRecurring names what several records show together, each with its numbers and the way to its page.
func TestRecurring(t *testing.T) {
	example := exampleVessel(t)
	known := *example.Facts
	known.Associated = func() []evidence.Association {
		return []evidence.Association{
			{Kind: "holder", Which: "H-109", With: "failed", Bad: 6, N: 7, RestBad: 4, RestN: 97},
			{Kind: "position", Which: "ME1-3", With: "opening lost", Effect: -12.5},
			{Kind: "gauge", Which: "PG-02", With: "opening lost"}, {Kind: "nozzle batch", Which: "B-7", With: "failed"}}
	}
	w := &Writer{Facts: &known, at: example.at}
	got := w.recurring()
	want := []together{{"holder H-109", "failed 6 of 7, of the others 4 of 97", "holder-h-109.html"},
		{"position ME1-3", "opening lost by -12.5 bar", "cylinder-me1-3.html"},
		{"nozzle batch B-7", "failed 0 of 0, of the others 0 of 0", address.Recurring}}
	if !slices.Equal(got[:3], want) {
		t.Errorf("%v, want %v", got[:3], want)
	}
	gauge := slices.IndexFunc(got, func(one together) bool { return one.what == "gauge PG-02" })
	if gauge < 0 || got[gauge].words != "read wrong from 2022-03-09 to 2022-05-14; 13 records rest on it" ||
		got[gauge].to != "instrument-pg-02.html#found-wrong" {
		t.Errorf("the gauge that read wrong: %v", got)
	}
}
