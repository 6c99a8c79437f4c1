package main

import (
	"maps"
	"strings"
	"testing"
	"time"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/memory"
	"needlebook/logbook/trace"
)

// A history in which every signature is good is proved only while it goes on from what a receiver or the reader himself has seen: R17 of
// the policy, "and the latest known receipt holds".
func TestUnprove(t *testing.T) {
	seen := &trace.Receipt{}
	for name, c := range map[string]struct {
		r    remembered
		w    *trace.Received
		want string
	}{
		"nothing against it":         {remembered{}, &trace.Received{Last: seen}, "proved: 4 commits"},
		"no receipts asked for":      {remembered{FirstLook: true}, nil, "proved: 4 commits"},
		"gone since the last look":   {remembered{Rewritten: []string{"x"}}, nil, "not proved, rewritten; in itself 4 commits"},
		"gone since it was attested": {remembered{}, &trace.Received{Last: seen, Rewritten: []string{"x"}}, "not proved, rewritten; in itself 4 commits"},
		"receipts in doubt":          {remembered{}, &trace.Received{Last: seen, Doubts: []string{"x"}}, "not proved, the receipts are in doubt; in itself 4 commits"},
		"memory in doubt":            {remembered{Doubts: []string{"x"}}, nil, "not proved, what is remembered of it is in doubt; in itself 4 commits"},
		"no receipt yet":             {remembered{}, &trace.Received{}, "not proved, not yet received ashore; in itself 4 commits"},
	} {
		trail := &logbook.Trail{Proved: true, Headline: "proved: 4 commits"}
		c.r.unprove(trail, c.w)
		if trail.Headline != c.want || trail.Proved != strings.HasPrefix(c.want, "proved") {
			t.Errorf("%s: %q, proved %v; want %q", name, trail.Headline, trail.Proved, c.want)
		}
	}
}

// What a program judges otherwise than the one that looked last is said in one line, with the checks' names; nothing where they
// judge alike, or nobody knows.
func TestJudgedOtherwise(t *testing.T) {
	at := time.Date(2026, 8, 31, 12, 0, 0, 0, time.UTC)
	alike := checkVersions()
	raised, older := maps.Clone(alike), maps.Clone(alike)
	raised["rings"]--
	for _, k := range checks.All()[:9] {
		delete(older, k.ID())
	}
	for want, m := range map[string]*memory.Memory{
		"": {Program: "needlebook 0.1", Time: at, Checks: alike},
		"judged otherwise than by needlebook 0.1 on 2026-08-31: rings": {Program: "needlebook 0.1", Time: at, Checks: raised},
		" and 4 more": {Program: "needlebook 0.1", Time: at, Checks: older},
	} {
		var r remembered
		if r.otherwise(m); strings.Join(r.Notes, "|") != want && (want == "" || !strings.HasSuffix(strings.Join(r.Notes, "|"), want)) {
			t.Errorf("%q, want %q", r.Notes, want)
		}
	}
	var r remembered
	if r.otherwise(&memory.Memory{Time: at}); len(r.Notes) > 0 {
		t.Errorf("of a memory that knows no checks: %q", r.Notes)
	}
}
