package trace_test

import (
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// Of a limits file the trail holds every text, of other files none. No outside source.
func TestTextsOfLimits(t *testing.T) {
	texts := []string{"---\ntype: QZ\n---\n", "---\ntype: QZ\nlaps: 2\n---\n"}
	s := found(shore, berg, ivanov)
	s.by(shore, "limits/qz.md", texts[0])
	s.by(ivanov, record, overhaul("by", "ivanov"))
	s.by(shore, "limits/qz.md", texts[1])
	dir, ids := s.book(t)
	var last *logbook.Trail
	for range 2 {
		trail, err := trace.Again(dir, last, trace.Options{FoundingProof: proof(ids)})
		if err != nil {
			t.Fatal(err)
		}
		versions := trail.Records["limits/qz.md"].Versions
		if n := len(versions); n < 2 || versions[n-2].Text != texts[0] || versions[n-1].Text != texts[1] {
			t.Errorf("the versions of the limits are %v, want the last two to be %q", versions, texts)
		}
		if x := trail.Records[record].Now().Text; x != "" {
			t.Errorf("the text of a record is held: %q", x)
		}
		last = trail
	}
}
