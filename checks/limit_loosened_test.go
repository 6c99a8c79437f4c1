package checks

import (
	"testing"

	"needlebook/logbook"
)

// On a day before a limit was corrected nothing is known of that, and from that day on it is. Outside source: none.
func TestLoosenedFromItsDayOn(t *testing.T) {
	files, trail := caseFiles(t, folder(t, "testdata/base"), "testdata/limit-loosened/corrected.txtar")
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for day, want := range map[string]int{"2021-05-31": 0, "2021-06-01": 1} {
		on, err := logbook.ParseDay(day)
		if err != nil {
			t.Fatal(err)
		}
		got := 0
		for _, f := range Run(b, Options{Only: []*Check{limitLoosened}, Trail: trail, On: on}).Findings {
			if f.Check == limitLoosened.Name {
				got++
			}
		}
		if got != want {
			t.Errorf("on %s %d corrections loosen a limit, want %d", day, got, want)
		}
	}
}

// What was begun with blanks states no limit, whatever stands around them. Outside source: none.
func TestBlanksLimitNothing(t *testing.T) {
	const blanks = "---\ntype: 4T20\nrevisions:\n  - from: 2020-01-01\n    source: owner's manual 4T20, section 5\n" +
		"    rule: simple\n    seat: {at: , for: }\n    effective_lift: {max: "
	for text, want := range map[string]bool{blanks + "}\n---\n": false, blanks + "0.65 mm}\n---\n": true} {
		if got := limitsAnything(limitValues(text)); got != want {
			t.Errorf("%s\nstates a limit: %v, want %v", text, got, want)
		}
	}
}
