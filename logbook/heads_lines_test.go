package logbook

import (
	"testing"
	"testing/fstest"
)

// The heads that the ship writes down in her table stand beside those of book.md, for every valve of the cylinder.
func TestHeadLines(t *testing.T) {
	b, err := Read(fstest.MapFS{
		"book.md": {Data: []byte("---\nvessel: T\nengines:\n  - {id: A, cylinders: [1, 2], limits: t}\n" +
			"  - {id: AP, name: pilot valves, valves_of: A, limits: t}\n" +
			"head_exchanged: [{engine: A, cylinder: 1, date: 2020-01-10, head: C-2}]\n---\n")},
		"heads.csv": {Data: []byte("engine,cylinder,date,counter,head,off\nA,1,2020-03-01,900 h,C-3,\nA,2,2020-04-01,,C-4,C-1\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range b.Problems {
		t.Errorf("%v", p)
	}
	for _, c := range []struct{ engine, cylinder, on, head string }{
		{"A", "1", "2020-02-28", "C-2"}, {"A", "1", "2020-03-01", "C-3"}, {"AP", "1", "2020-03-01", "C-3"},
		{"A", "2", "2020-03-31", ""}, {"A", "2", "2020-04-01", "C-4"},
	} {
		on, _ := ParseDay(c.on)
		s, ok := b.HeadOn(Position{c.engine, c.cylinder}, on)
		if s.Head != c.head || ok != (c.head != "") {
			t.Errorf("%s-%s on %s: head %q, %v; want %q", c.engine, c.cylinder, c.on, s.Head, ok, c.head)
		}
	}
	if got := b.Vessel.Heads[1].Counter.String(); got != "900 h" || b.Vessel.Heads[1].Place.Path != "heads.csv" {
		t.Errorf("the counter of the first line is %q at %v", got, b.Vessel.Heads[1].Place)
	}
}
