package invent_test

import (
	"bytes"
	"testing"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// An honest vessel reads without a slip, and every valve is in one place at a time.
func TestHonestVesselsReadWell(t *testing.T) {
	for seed := range uint64(40) {
		v := invent.Vessel(seed, invent.Options{})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for _, p := range b.Problems {
			t.Errorf("seed %d (%s): %s", seed, v.Traits, p)
		}
		for _, f := range b.Lives().Faults {
			t.Errorf("seed %d (%s): %s %s %s at %s, %s", seed, v.Traits, f.Kind, f.Position, f.Holder, f.Place, f.Related)
		}
		if len(b.Overhauls) != v.Overhauls || v.Overhauls == 0 {
			t.Errorf("seed %d (%s): %d overhauls read, %d made", seed, v.Traits, len(b.Overhauls), v.Overhauls)
		}
	}
}

// The same seed makes the same bytes.
func TestSameSeedSameBytes(t *testing.T) {
	for seed := range uint64(5) {
		a, b := invent.Vessel(seed, invent.Options{}), invent.Vessel(seed, invent.Options{})
		if len(a.Files) != len(b.Files) {
			t.Fatalf("seed %d: %d files, then %d", seed, len(a.Files), len(b.Files))
		}
		for name, data := range a.Files {
			if !bytes.Equal(data, b.Files[name]) {
				t.Errorf("seed %d: %s differs", seed, name)
			}
		}
	}
}
