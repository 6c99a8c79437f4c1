package content

import (
	"testing"
	"testing/fstest"
)

// The reason why a whole block holds no value stands at the key of the block, whose commit is shown for each of its values.
// Outside source: none.
func TestReasonOfABlockIsAtItsKey(t *testing.T) {
	w := writerOf(t, fstest.MapFS{
		"book.md":        {Data: []byte("---\nvessel: A Ship\nengines:\n  - {id: ME1, type: 4T20, cylinders: [1], limits: 4t20}\nopening: {date: 2020-01-01}\n---\n")},
		"limits/4t20.md": {Data: []byte("---\ntype: 4T20\nrevisions:\n  - {from: 2020-01-01, source: a manual, end_cap: {torque: 120 N·m}}\n---\n")},
		"overhauls/me1/c1/2020-03-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nremoved: {engine: ME1, cylinder: 1, date: 2020-03-01}\n" +
			"as_left:\n  date: 2020-03-02\n  end_cap: not applicable (it has none)\n---\n")}})
	o := w.Book.Overhauls[0]
	v := w.Verdict(o, "as_left.end_cap.torque")
	if v == nil || keyAt(o, v.Place) != "as_left.end_cap" {
		t.Errorf("verdict %v: its reason stands at %q, want as_left.end_cap", v, keyAt(o, v.Place))
	}
}
