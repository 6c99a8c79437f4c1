package site

import (
	"strings"
	"testing"

	xhtml "golang.org/x/net/html"
)

// FuzzRemarks: any Markdown, and what comes out holds only elements, attributes and addresses that cannot act.
func FuzzRemarks(f *testing.F) {
	f.Add(venomRemarks)
	f.Add("[a](b) ![c](d) <e> `f` | g\n|-|\n|h|")
	s := newSite(bookOf(f, spitefulFiles(f), nil), nil)
	f.Fuzz(func(t *testing.T, body string) {
		for z := xhtml.NewTokenizer(strings.NewReader(remarksOf(t, s, "overhauls/v1/ca1/x.md", body))); z.Next() != xhtml.ErrorToken; {
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
