package logbook_test

import (
	"encoding/json"
	"testing"

	"needlebook/logbook"
)

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"ø 4.7 mm ± 0.1\tN·m — 機関\r\nnext\n": "ø 4.7 mm ± 0.1\tN·m — 機関\r\nnext\n",
		"3.1 s\x1b[2K9.1 s":                  `3.1 s\u001b[2K9.1 s`,
		"a\rb\x7f\u009b":                     `a\u000db\u007f\u009b`,
		"H-\u202e911\u200b":                  `H-\u202e911\u200b`,
		"\U000e0041\u2028":                   `\udb40\udc41\u2028`,
		"\ufeffa\ufeff,\u202e":               "\ufeff" + `a\ufeff,\u202e`,
		"\xff":                               `\xff`,
	} {
		if got := string(logbook.Visible([]byte(text))); got != want {
			t.Errorf("Visible(%q) is %q, want %q", text, got, want)
		}
	}
}

// JSON made visible is the same JSON, to the last character.
func TestVisibleJSON(t *testing.T) {
	in := map[string]string{"holder": "H-\u202e911\u200b\U000e0041\x7f\u009b\x1b\u2029 ø"}
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]string
	if err := json.Unmarshal(logbook.Visible(text), &out); err != nil || out["holder"] != in["holder"] {
		t.Errorf("%q (%v), want %q", out, err, in)
	}
}
