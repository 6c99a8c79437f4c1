package logbook

import (
	"slices"
	"testing"
)

// Every key of the schema is gone through once, blocks before what is in them, written or not; lists of blocks are left out.
func TestSays(t *testing.T) {
	o, _ := ReadOverhaul("overhauls/me1/c1/2020-07-01-h-1.md", []byte("---\nholder: \"H-1\"\nas_left: {opening_pressure: [300 bar, 305 bar], end_cap: {torque: 120 N·m}}\ntries: [{why: dirt}]\n---\n"))
	var keys, written []string
	Says(o, func(s Said) {
		keys = append(keys, s.Key)
		if a, ok := s.Value.(*Amount); ok && a.Valid() {
			written = append(written, s.Key+" "+s.Leaf.Written)
		}
		if s.Key == "as_left.end_cap.torque" && (s.Block == nil || s.Block.Key != "as_left.end_cap") {
			t.Errorf("%s is in %+v", s.Key, s.Block)
		}
	})
	at := func(key string) int { return slices.Index(keys, key) }
	if at("holder") != 0 || at("as_left.end_cap") < 0 || at("as_left.end_cap.torque") < at("as_left.end_cap") || at("as_found.seat.for") < 0 || at("tries") >= 0 {
		t.Errorf("keys %v", keys)
	}
	if !slices.Equal(written, []string{"as_left.end_cap.torque 120 N·m"}) {
		t.Errorf("written %v", written)
	}
}
