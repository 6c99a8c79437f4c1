package logbook

import (
	"fmt"
	"testing"
	"testing/fstest"
)

// TestFurtherValves: the pilot valves of an engine have their own positions and limits, and its cylinders, counter and heads.
func TestFurtherValves(t *testing.T) {
	read := func(pilot string) *Book {
		t.Helper()
		b, err := Read(fstest.MapFS{
			"book.md": {Data: []byte("---\nengines:\n  - {id: ME1, cylinders: [1, 2], limits: main, interval: 2000 h}\n  - " + pilot +
				"\nopening:\n  date: 2020-01-01\n  fitted:\n    - {engine: ME1, cylinder: 2, holder: H-2, nozzle: N-2, counter: 100 h}\n" +
				"    - {engine: ME1P, cylinder: 2, holder: P-2, nozzle: Q-2, counter: 100 h}\n" +
				"head_exchanged: [{engine: ME1, cylinder: 2, date: 2020-03-01, counter: 500 h, head: K-7}]\n---\n")},
			"limits/main.md":  {Data: []byte("---\nrevisions: [{from: 2019-01-01, interval: 2000 h}]\n---\n")},
			"limits/pilot.md": {Data: []byte("---\nrevisions: [{from: 2019-01-01, interval: 4000 h}]\n---\n")},
			"hours/me1.csv":   {Data: []byte("date,counter_h,note\n2020-01-01,100,\n2020-02-01,300,\n2020-03-01,500,\n2020-04-01,700,\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	b := read("{id: ME1P, valves_of: ME1, limits: pilot}")
	if got := fmt.Sprint(b.Positions(), b.Problems); got != "[ME1-1 ME1-2 ME1P-1 ME1P-2] []" {
		t.Errorf("positions %s", got)
	}
	p := Position{"ME1P", "2"}
	s := b.Lives().At(p, b.Today())
	if s == nil || s.Holder != "P-2" || s.Hours != 600 || !s.HoursKnown {
		t.Errorf("hours by the engine's counter: %+v", s)
	}
	i, _ := b.IntervalOn(p, b.Today())
	if b.LimitsOf("ME1P").Name != "pilot" || i.Hours.Written != "4000 h" || !b.PaceOf("ME1P", b.Today()).Known {
		t.Errorf("limits %v, interval %s", b.LimitsOf("ME1P"), i.Hours)
	}
	heads := map[Position]int{}
	for _, h := range b.HeadStays(b.Today()) {
		heads[h.Position]++
	}
	if heads[p] != 2 || heads[Position{"ME1", "2"}] != 2 || len(heads) != 2 {
		t.Errorf("the head of a cylinder holds every valve in it: %v", heads)
	}
	for _, alone := range []string{"{id: ME1P, valves_of: ME9, cylinders: [2]}", "{id: ME1P, valves_of: ME1P, cylinders: [2]}"} {
		if b := read(alone); b.HostOf("ME1P") != "ME1P" || b.Lives().At(p, b.Today()).HoursKnown {
			t.Errorf("%s: an engine by itself, without a counter", alone)
		}
	}
}
