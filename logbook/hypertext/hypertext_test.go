package hypertext

import (
	"html"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestVisible puts what cannot be seen into words.
// Source of the characters: Unicode Standard Annex 9, table 4 (bidirectional controls), and Trojan Source, Boucher and Anderson 2021.
func TestVisible(t *testing.T) {
	for in, want := range map[string]string{
		"plain 21 °C":        "plain 21 °C",
		"a\u202eb":           "a⟨U+202E⟩b",
		"\u2066x\u2069":      "⟨U+2066⟩x⟨U+2069⟩",
		"zero\u200bwidth":    "zero⟨U+200B⟩width",
		"\ufeffmark":         "⟨U+FEFF⟩mark",
		"bell\a":             "bell⟨U+0007⟩",
		"line\nnext\tcell":   "line\nnext\tcell",
		"tag\U000e0041":      "tag⟨U+E0041⟩",
		"half \xff of UTF-8": "half \ufffd of UTF-8",
		"\u0085":             "⟨U+0085⟩",
		"<b>&":               "<b>&",
	} {
		if got := Visible(in); got != want {
			t.Errorf("Visible(%q) = %q, want %q", in, got, want)
		}
	}
}

// FuzzText: any text, and within an element or a quoted attribute it stays text: no markup survives, nothing is lost, nothing hides.
func FuzzText(f *testing.F) {
	f.Add("<script>alert(1)</script>\"' onload=x \u202e&#x202e;")
	f.Add("a<b>&amp;\"'\x00\xff\u202e")
	f.Fuzz(func(t *testing.T, text string) {
		inside := string(AppendText(nil, text, false))
		if strings.ContainsAny(inside, `<>`) || html.UnescapeString(inside) != Visible(text) {
			t.Fatalf("AppendText(%q) within an element = %q", text, inside)
		}
		out := string(AppendText(nil, text, true))
		if strings.ContainsAny(out, `<>"'`) || !utf8.ValidString(out) {
			t.Fatalf("AppendText(%q) = %q", text, out)
		}
		if html.UnescapeString(out) != Visible(text) {
			t.Fatalf("AppendText(%q) reads %q, want %q", text, html.UnescapeString(out), Visible(text))
		}
		for _, r := range out {
			if r != '\n' && r != '\t' && unseen(r) {
				t.Fatalf("AppendText(%q) hides %U", text, r)
			}
		}
	})
}
