package site

import (
	"strings"
	"testing"
	"time"
)

// TestTimeBombs holds that no remarks make a page large or slow. The kinds and sizes of bombs are those published against Markdown
// readers: wide tables, nested quotes and emphasis, reference definitions (CommonMark's own pathological tests, spec 0.31).
func TestTimeBombs(t *testing.T) {
	in := bookOf(t, baseFiles(t, nil), nil)
	s := newSite(in, nil)
	for name, body := range map[string]string{
		"wide table":       strings.Repeat("|a", 190) + "\n" + strings.Repeat("|-", 190) + "\n" + strings.Repeat("|x\n", 8000),
		"very wide table":  strings.Repeat("|a", 5000) + "\n" + strings.Repeat("|-", 5000) + "\n|x",
		"nested quotes":    strings.Repeat("> ", 60000) + "a",
		"nested lists":     strings.Repeat("- ", 60000) + "a",
		"deep indents":     strings.Repeat(" ", 100000) + "a",
		"emphasis":         strings.Repeat("*a_ ", 22000),
		"open links":       strings.Repeat("[a](", 40000),
		"open brackets":    strings.Repeat("[", 100000),
		"backticks":        strings.Repeat("`a``b", 20000),
		"references":       strings.Repeat("[x]: /u\n", 20000),
		"nested emphasis":  strings.Repeat("**a ", 30000) + strings.Repeat("b** ", 30000),
		"html":             strings.Repeat("<a href=", 30000),
		"autolinks":        strings.Repeat("<http://a", 30000),
		"list of numbers":  strings.Repeat("1. a\n   2. b\n", 8000),
		"strikes":          strings.Repeat("~~a ", 30000),
		"many small lists": strings.Repeat("- a\n\n", 50000),
		"entities":         strings.Repeat("&#x202e;", 30000),
		"one long line":    strings.Repeat("a", 250000),
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			got := remarksOf(t, s, "overhauls/x.md", body[:min(len(body), 256<<10)])
			if d := time.Since(start); d > 2*time.Second {
				t.Errorf("took %v", d)
			}
			if len(got) > 2<<20 {
				t.Errorf("made %d bytes", len(got))
			}
			if len(got) == 0 {
				t.Error("nothing is shown")
			}
		})
	}
}

// TestRemarks shows what remarks may do.
func TestRemarks(t *testing.T) {
	in := bookOf(t, baseFiles(t, nil), nil)
	s := newSite(in, nil)
	from := "overhauls/me1/c1/2020-07-01-h-1.md"
	for _, c := range []struct{ body, want string }{
		{"see [that](../c2/2020-07-02-h-2.md)", `<p>see <a href="overhaul-2020-07-02-h-2.html">that</a></p>`},
		{"see [that](limits/4t20.md)", `<p>see <a href="file-limits-4t20.html">that</a></p>`},
		{"see [that](../c2/none.md)", `<p>see that [../c2/none.md]</p>`},
		{"[out](../../../../etc/passwd)", `<p>out [../../../../etc/passwd]</p>`},
		{"[web](https://a.example/b)", `<p><a href="https://a.example/b">web</a></p>`},
		{"[x](javascript:alert(1))", `<p>x [javascript:alert(1)]</p>`},
		{"![a picture](photos/none.png)", `<p>[picture: a picture, photos/none.png is not in the book]</p>`},
		{"# One\n\n# One\n\n[up](#one)", "<h3 id=\"r-one\">One</h3>\n<h3 id=\"r-one-x\">One</h3>\n<p><a href=\"#r-one\">up</a></p>"},
		{"| a |\n|:-:|\n| b |", `<th align="center">a</th>`},
		{"<b>bold</b>", `<code class="raw">&lt;b&gt;</code>bold<code class="raw">&lt;/b&gt;</code>`},
		{"~~gone~~", `<del>gone</del>`},
		{"[x](a&#x41;.md)", `<p>x [a&amp;#x41;.md]</p>`}, // as it stands, character references too
		{strings.Repeat("|a", 201) + "\n", "Shown as written: a table wider than can be shown."},
		{strings.Repeat("> ", 40) + "a", "Shown as written: nested deeper than can be shown."},
		{strings.Repeat("*a_ ", 3000), "Shown as written: more marks than words."},
		{strings.Repeat("[x]: /u\n", 201), "Shown as written: more references than can be followed."},
		{strings.Repeat("a\n", 5001), "Shown as written: more lines than a record's remarks may have."},
	} {
		got := remarksOf(t, s, from, c.body)
		if !strings.Contains(got, c.want) {
			t.Errorf("markdown(%q) = %q, want %q in it", c.body, got, c.want)
		}
	}
}
