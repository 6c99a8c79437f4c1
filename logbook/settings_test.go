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

// Two bounds that are exchanged have their defaults: nothing is judged between 90 and 55 %. No outside source.
func TestReversedSettingsKeepTheirDefaults(t *testing.T) {
	for _, c := range []struct{ settings, want string }{
		{"{closing_low: 90 %, closing_high: 55 %}", "55 % 90 %"},
		{"{closing_low: 60 %, closing_high: 80 %}", "60 % 80 %"},
		{"{closing_low: 60 %, closing_high: 60 %}", "60 % 60 %"},
		{"{closing_low: 95 %}", "95 % 90 %"}, // the other bound is not stated: nothing says that the two are exchanged
		{"{rate_low: 160 %, rate_high: 30 %, closing_low: 70 %}", "70 % 90 %"},
	} {
		b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\nsettings: " + c.settings + "\n---\n")}})
		if err != nil {
			t.Fatal(err)
		}
		s := b.Settings()
		if got := s.ClosingLow.String() + " " + s.ClosingHigh.String(); got != c.want {
			t.Errorf("%s: %s, want %s", c.settings, got, c.want)
		}
	}
}
