package checks

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// TestChecksKeepTheirIDs holds the permanent ids and versions of the checks against the list of those ever given out: an
// answer in a book knows its check by them. A new check is a new line (-update writes it); a line never goes and never
// changes but for a raised version. Outside source: none.
func TestChecksKeepTheirIDs(t *testing.T) {
	const name = "testdata/ids.txt"
	var is []string
	for _, k := range All() {
		is = append(is, fmt.Sprint(k.ID(), " ", k.Version))
	}
	slices.Sort(is)
	if len(slices.Compact(slices.Clone(is))) != len(is) {
		t.Error("two checks have one id")
	}
	text, err := os.ReadFile(name)
	if err != nil && !*update {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		id, _, _ := strings.Cut(line, " ")
		if line != "" && !slices.ContainsFunc(is, func(l string) bool { return strings.HasPrefix(l, id+" ") && l >= line }) {
			t.Errorf("the id and version %q were given out and are no check's now: state FirstNamed", line)
		}
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(name, []byte(strings.Join(is, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got := strings.Join(is, "\n") + "\n"; got != string(text) && !t.Failed() {
		t.Error("a check is new or its version was raised: run with -update, and look at the difference")
	}
}

// TestNeverEnded names the checks whose findings no later overhaul and no removal ends. The list is the page that decides
// what a finding is; common practice, no source.
func TestNeverEnded(t *testing.T) {
	want := []string{
		"changed-after-countersigning", "limits-rewritten", "writer-unknown", "clock-jump", // changed, history rewritten
		"record-alike", "figures-on-limit", "readings-always-equal", // copied figures
		"part-in-two-places",    // one serial in two places
		"marking-not-permitted", // nozzle marking
		"deferral-run-out",      // a deferral exceeded
		"leak-check",            // leak check or shields
		"crack-not-condemned", "condemned-part-returns",
		"keep-for-claim", // parts held for a claim
		"instrument-not-proven", "gauge-in-doubt",
	}
	var got []string
	for _, k := range All() {
		if k.Ends.Never {
			got = append(got, k.Name)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("never ended:\n got %v\nwant %v", got, want)
	}
}
