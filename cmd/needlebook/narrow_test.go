package main

import (
	"strings"
	"testing"
)

// TestPlanningTakesNames narrows the planning tables of the example vessel to things by the names a person has for them: every row left
// names one of them, by itself or as a cylinder of the engine, and each is there.
func TestPlanningTakesNames(t *testing.T) {
	for _, c := range []struct {
		args []string
		some []string // in the rows that are left
		none []string
	}{
		{[]string{"due", "me1-5"}, []string{"H-117 / N-2033", "nozzle life"}, []string{"ME2", "PG-01", "ME1-4"}},
		{[]string{"due", "PG-01", "N-2033"}, []string{"calibration", "ME1-5"}, []string{"TW-3", "N-2034"}},
		{[]string{"due", "ME2"}, []string{"ME2-1", "ME2-6", "DR-09"}, []string{"ME1-", "PG-01"}},
		{[]string{"due", "dr-05"}, []string{"review of interval", "220 h of 2000 h"}, []string{"DR-09", "PG-01"}},
		{[]string{"recurring", "H-109"}, []string{"6 of 6"}, []string{"Gallowyn", "PG-02"}},
		{[]string{"stores", "N-2034"}, []string{"ME1-1"}, []string{"N-2035"}},
		{[]string{"stores", "PG-01"}, []string{"nothing of PG-01"}, nil},
	} {
		text := string(printed(t, c.args...))
		text, _, _ = strings.Cut(text, "\n- ") // the notes below the tables
		_, text, _ = strings.Cut(text, "\n\n")
		if c.args[0] == "due" {
			text = string(printed(t, append(c.args, "--format", "csv")...))
		}
		for _, want := range c.some {
			if !strings.Contains(text, want) {
				t.Errorf("%v does not say %q:\n%s", c.args, want, text)
			}
		}
		for _, bad := range c.none {
			if strings.Contains(text, bad) {
				t.Errorf("%v says %q:\n%s", c.args, bad, text)
			}
		}
	}
}
