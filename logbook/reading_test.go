package logbook

import "testing"

// A file at which this program fails is a problem of its own, at its first line, and the next one is read.
func TestFileThatFails(t *testing.T) {
	b := newBook()
	b.reading("crew.csv", func() []Problem { panic("boom") })
	b.reading("book.md", func() []Problem { return []Problem{{Slip: SlipTab}} })
	if len(b.Problems) != 2 || b.Problems[0].Slip != SlipFault || b.Problems[0].Place.Path != "crew.csv" || b.Problems[1].Slip != SlipTab {
		t.Errorf("%v", b.Problems)
	}
}
