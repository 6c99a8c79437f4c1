package site

import (
	"html"
	"strings"
	"testing"
	"unicode/utf8"

	xhtml "golang.org/x/net/html"
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
		if got := visible(in); got != want {
			t.Errorf("visible(%q) = %q, want %q", in, got, want)
		}
	}
}

// FuzzText: any text, and within an element or a quoted attribute it stays text: no markup survives, nothing is lost, nothing hides.
func FuzzText(f *testing.F) {
	f.Add(venom)
	f.Add("a<b>&amp;\"'\x00\xff\u202e")
	f.Fuzz(func(t *testing.T, text string) {
		out := string(appendText(nil, text))
		if strings.ContainsAny(out, `<>"'`) || !utf8.ValidString(out) {
			t.Fatalf("appendText(%q) = %q", text, out)
		}
		if html.UnescapeString(out) != visible(text) {
			t.Fatalf("appendText(%q) reads %q, want %q", text, html.UnescapeString(out), visible(text))
		}
		for _, r := range out {
			if r != '\n' && r != '\t' && unseen(r) {
				t.Fatalf("appendText(%q) hides %U", text, r)
			}
		}
	})
}

// FuzzRemarks: any Markdown, and what comes out holds only elements, attributes and addresses that cannot act.
func FuzzRemarks(f *testing.F) {
	f.Add(venomRemarks)
	f.Add("[a](b) ![c](d) <e> `f` | g\n|-|\n|h|")
	s := &site{}
	s.pages.file = map[string]ref{}
	book := bookOf(f, spitefulFiles(f), nil)
	s.Input = book
	marked := newRemarks(s)
	f.Fuzz(func(t *testing.T, body string) {
		sh := &sheet{site: s, marked: marked}
		sh.markdown("overhauls/v1/ca1/x.md", body)
		for z := xhtml.NewTokenizer(strings.NewReader(string(sh.b))); z.Next() != xhtml.ErrorToken; {
			switch tok := z.Token(); tok.Type {
			case xhtml.StartTagToken, xhtml.SelfClosingTagToken:
				if !elements[tok.Data] {
					t.Fatalf("markdown(%q): <%s>", body, tok.Data)
				}
				for _, a := range tok.Attr {
					if !attributes[a.Key] {
						t.Fatalf("markdown(%q): attribute %s", body, a.Key)
					}
					if a.Key == "href" && !mayLead(a.Val) {
						t.Fatalf("markdown(%q): address %q", body, a.Val)
					}
				}
			case xhtml.CommentToken, xhtml.DoctypeToken:
				t.Fatalf("markdown(%q): %v", body, tok)
			}
		}
	})
}

// mayLead says that an address cannot act on the reader's machine.
func mayLead(to string) bool {
	for _, ok := range []string{"http://", "https://", "mailto:", "#r-"} {
		if strings.HasPrefix(strings.ToLower(to), ok) {
			return true
		}
	}
	return false
}
