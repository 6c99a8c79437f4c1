package deciding

import "testing"

// TestAgreement holds the comparison to its promises: only a part that goes back with less done to it than proposed asks for an answer; a
// reason, whatever it is worth, or a deferral for every limit passed, answers. Common practice, no source.
func TestAgreement(t *testing.T) {
	const worn, decided = "time: 9.0 s", "decided: {nozzle: reuse, holder: reuse, spring: reuse}\n"
	deferral := "---\nid: X-1\nrecord: " + stem + "\nlimit: effective_lift\nhours: 300 h\napproved: {by: s.shore, date: 2020-06-01}\n---\n"
	for _, c := range []struct {
		name    string
		change  []string
		left    bool
		more    []string
		want    Agreement
		answer  string
		decided string
	}{
		{name: "as proposed", want: Same, decided: "reuse"},
		{name: "bolder", change: []string{worn, "time: 2.9 s"}, want: Bolder, decided: "reuse"},
		{name: "bolder with a reason", change: []string{worn, "time: 2.9 s", "spring: reuse}", "spring: reuse, why: the bench leaked by itself}"}, want: Bolder, answer: "the bench leaked by itself", decided: "reuse"},
		{name: "bolder with what was considered", change: []string{worn, "time: 2.9 s", "spring: reuse}", "spring: reuse, considered: renewing; none on board}"}, want: Bolder, answer: "renewing; none on board", decided: "reuse"},
		{name: "a word that is no reason", change: []string{worn, "time: 2.9 s", "spring: reuse}", "spring: reuse, why: Good.}"}, want: Bolder, decided: "reuse"},
		{name: "under a deferral", change: []string{"lift: 0.70 mm", "lift: 0.79 mm", "removed:", "deferral: X-1\nremoved:"}, more: []string{"deferrals/x-1.md", deferral}, want: Bolder, answer: "deferral X-1 for 300 h", decided: "reuse"},
		{name: "a deferral for one of two limits", change: []string{"lift: 0.70 mm", "lift: 0.79 mm", "result: stops", "result: enters", "removed:", "deferral: X-1\nremoved:"}, more: []string{"deferrals/x-1.md", deferral}, want: Bolder, decided: "reuse"},
		{name: "renewed though good", change: []string{"nozzle: reuse, holder", "nozzle: renew, holder"}, want: Further, decided: "renew"},
		{name: "cleaned and reused", change: []string{"needle: free, needle_fall", "needle: stuck, needle_fall"}, want: Same, decided: "reuse"},
		{name: "not cleaned and reused", change: []string{"needle: free, needle_fall", "needle: stuck, needle_fall", "cleaned: {agent: carbon remover, brush: brass}\n", ""}, want: Bolder, decided: "reuse"},
		{name: "condemned instead of renewed", change: []string{worn, "time: 2.9 s", "nozzle: reuse, holder", "nozzle: condemn, holder"}, want: Same, decided: "condemn"},
		{name: "renewed though it could be ground", change: []string{"lift: 0.70 mm", "lift: 0.79 mm", "nozzle: reuse, holder", "nozzle: renew, holder"}, want: OtherWay, decided: "renew"},
		{name: "ground though it should be renewed", change: []string{worn, "time: 2.9 s", "nozzle: reuse, holder", "nozzle: grind, holder"}, want: Bolder, decided: "grind"},
		{name: "not decided yet", change: []string{decided, ""}, want: NotCompared},
		{name: "not decided, and built in again", change: []string{decided, ""}, left: true, want: Same, decided: "reuse"},
		{name: "not decided, and another built in", change: []string{decided, "", `left: "Z-1"`, `left: "Z-2"`}, left: true, want: Further, decided: "renew"},
		{name: "said why not decided", change: []string{decided, "decided: not done (sent ashore whole)\n"}, left: true, want: NotCompared},
		{name: "nothing proposed", change: []string{"time: 9.0 s", "time: not measured (no watch)"}, want: NotCompared, decided: "reuse"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := record
			if c.left {
				src = asLeft(src)
			}
			p := outcomeOf(t, files(with(t, src, c.change...), c.more...)).Nozzle
			if p.Agreement != c.want || p.Answer != c.answer || p.Decided != c.decided {
				t.Errorf("decided %q is %s, answered by %q; want %q, %s, %q\nproposed: %s", p.Decided, p.Agreement, p.Answer, c.decided, c.want, c.answer, p)
			}
		})
	}
}
