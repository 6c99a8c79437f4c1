package logbook

import (
	"testing"
	"testing/fstest"
)

// A setting that cannot be read falls to its default: no rule may run with a threshold of nothing. No outside source.
func TestUnreadSettingKeepsItsDefault(t *testing.T) {
	b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\nsettings: {spare_test_age: ninety days, set_least: few, oil_range: warm, late_entry: 7 d}\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	s := b.Vessel.Settings.WithDefaults()
	if got := s.SpareTestAge.String() + ", " + s.SetLeast.Written + ", " + s.OilRange.Span.String() + ", " + s.LateEntry.String(); got != "90 d, 3, 15 to 30 °C, 7 d" {
		t.Errorf("WithDefaults = %s, want the defaults 90 d, 3, 15 to 30 °C, and the stated 7 d", got)
	}
	if len(b.Problems) != 3 {
		t.Errorf("problems = %v, want one for each setting that could not be read", b.Problems)
	}
}
