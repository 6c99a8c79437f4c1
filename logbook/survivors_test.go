package logbook

import (
	"slices"
	"testing"
	"testing/fstest"
)

// A deferral ends at its hours, on its day, or at the first of the two; one without either has no end to tell.
func TestEndOfADeferral(t *testing.T) {
	for text, want := range map[string]string{"hours: 500 h": "500 h", "until: 2023-08-09": "2023-08-09",
		"hours: 500 h\nuntil: 2023-08-09": "500 h or 2023-08-09", "holder: H-1": ""} {
		b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: A\n---\n")},
			"deferrals/d-01.md": {Data: []byte("---\nid: D-01\n" + text + "\n---\n")}})
		if err != nil || len(b.Deferrals) != 1 {
			t.Fatalf("%q: %d deferrals, %v", text, len(b.Deferrals), err)
		}
		for _, d := range b.Deferrals {
			if got := d.End(); got != want {
				t.Errorf("%q ends %q, want %q", text, got, want)
			}
		}
	}
}

// Dates with the month in words mean one day, as they are written in English.
func TestMonthsInWords(t *testing.T) {
	for _, text := range []string{"24 Jan 2024", "24 January 2024", "January 24, 2024"} {
		if got := DaysMeant(text); !slices.Equal(got, []string{"2024-01-24"}) {
			t.Errorf("%q means %q, want 2024-01-24", text, got)
		}
	}
}

// Dashes that stand indented below the front matter are told where they stand, with what belongs there.
func TestIndentedDashes(t *testing.T) {
	b, err := Read(fstest.MapFS{"book.md": {Data: []byte("  ---\nvessel: A\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(b.Problems, func(p Problem) bool { return p.Slip == SlipDelimiter })
	if i < 0 || b.Problems[i].Place.Column != 3 || b.Problems[i].Expected != "--- at the beginning of the line" {
		t.Errorf("problems %+v, want --- at the beginning of the line, column 3", b.Problems)
	}
}
