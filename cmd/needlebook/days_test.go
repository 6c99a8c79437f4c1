package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"needlebook/checks"
	"needlebook/logbook"
)

// TestDayAgreesWithCheckout asks for the states of findings on the days of the example vessel's commits, of the book as it
// is with --on, and of the checkout of that day: what both know of, by check and digest, has one state. What was written
// down late is known to the later book alone, and named here. Outside source: none.
func TestDayAgreesWithCheckout(t *testing.T) {
	late := map[string]string{
		"leak-down-better 2023-02-13":                "the round of that day was committed on the days after it",
		"round-with-common-cause 2023-04-21":         "likewise: half of the next round was in the book",
		"set-with-gauge-out-of-tolerance 2022-12-08": "the last of those valves was committed on the day after",
		"effective-lift-over 2023-08-01":             "the hours of July were read off later",
	}
	book := filepath.Join(t.TempDir(), "book")
	if _, err := exampleBook(book); err != nil {
		t.Fatal(err)
	}
	t.Setenv("NEEDLEBOOK_CACHE", t.TempDir())
	open := func(at, on string) *opened {
		o, err := openFolder(context.Background(), book, at, on, "", "")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(o.close)
		return o
	}
	o := open("", "")
	every, days, both := 60, 0, 0
	if os.Getenv("NEEDLEBOOK_LONG") != "" {
		every = 6
	}
	for i, c := range o.trail.Commits {
		day := logbook.DayOf(c.Stated)
		if i+1 < len(o.trail.Commits) && logbook.DayOf(o.trail.Commits[i+1].Stated) == day {
			continue
		}
		if days++; days%every != 0 {
			continue
		}
		then := open(c.ID, day.String()).report
		now := checks.Run(o.book, checks.Options{Trail: o.trail, On: day})
		was := map[string]*checks.Finding{}
		for i := range then.Findings {
			f := &then.Findings[i]
			was[f.Check+" "+f.Text] = f
		}
		for i := range now.Findings {
			f := &now.Findings[i]
			w := was[f.Check+" "+f.Text]
			if w == nil {
				continue
			}
			if both++; (now.IsOpen(f) != then.IsOpen(w) || f.State != w.State) && late[f.Check+" "+day.String()] == "" {
				t.Errorf("%s: %s of %s was %s, by --on it is %s", day, f.Check, f.Subject, then.Standing(w), now.Standing(f))
			}
		}
	}
	if both < 100 {
		t.Errorf("%d findings are known to both, too few to tell anything", both)
	}
}
