package site

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/net/html"

	"needlebook/site/address"
	"needlebook/site/look"
)

// venom breaks out of elements, attributes, addresses, drawings and comments where nothing stops it, and holds characters that
// nobody sees.
const venom = `"><script>alert(1)</script><svg/onload=alert(2)>' onmouseover='alert(3)--><!-- javascript:alert(4) {{.}} </title></style>` + "\u202e\u200b\ufeff"

// venomRemarks is Markdown of the same mind.
const venomRemarks = "# " + venom + `

<script>alert(1)</script>

<img src=x onerror=alert(1)> <b onclick="alert(1)">b</b>

[a](javascript:alert(1)) [b](JaVaScRiPt&colon;alert(1)) [c](vbscript:x) [d](data:text/html,<script>alert(1)</script>) [e](ms-msdt:x) [f](search-ms:x)
[g](intent:x) [h](//evil.example/x) [i](\\evil\share) [j](../../../../etc/passwd) [k](file:///etc/passwd) [l](https://user@evil.example/) [m](http://good.example/)
[n](mailto:a@b.example) [o](feed:x) [p](jar:x) [q](#nowhere) [r][ref] <javascript:alert(1)> <https://auto.example/> <x@y.example>

[ref]: javascript:alert(1) "title \" onmouseover=alert(1)"

![remote](https://evil.example/track.png) ![data](data:image/svg+xml;base64,PHN2Zz4=) ![up](../../../../secret.png) ![no](photos/no.jpg)

| a | b |
|:--|--:|
| <script>alert(1)</script> | ![x](https://evil.example/y.png) |

&#x202e;turned &#x200b;hidden <!-- comment --> <?php x ?> <![CDATA[ x ]]> ~~gone~~

` + "```<script>\ncode </pre><script>alert(1)</script>\n```\n"

func spitefulFiles(t testing.TB) fstest.MapFS {
	q := func(s string) string { // YAML takes JSON's quotes; a byte-order mark inside is kept as an escape
		b, err := json.Marshal(s)
		must(t, err)
		return string(b)
	}
	v := q(venom)
	long := q(strings.Repeat("x<", 400))
	return fstest.MapFS{
		"book.md": {Data: []byte("---\nvessel: " + v + "\nengines:\n  - {id: " + v + ", name: " + v + ", type: " + v + ", cylinders: [" + v + `, "../../x", "..\\..\\x", "A", "a", ` + long + `], limits: l, numbered_from: ` + v +
			"}\n  - {id: V1, name: vee, cylinders: [A1, A2, B1, B2], limits: l}\nopening:\n  date: 2020-01-01\n  fitted:\n    - {engine: V1, cylinder: A1, holder: \"h-1\", nozzle: \"n-1\", counter: 10 h, left: 300 bar}\n    - {engine: V1, cylinder: B1, holder: \"H-1\", nozzle: \"N 1\", counter: 10 h}\n---\n" + venomRemarks)},
		"hours/v1.csv": {Data: []byte("date,counter_h,note\n2020-01-01,10,\"" + strings.ReplaceAll(venom, `"`, `""`) + "\"\n2021-01-01,1000,\n")},
		"limits/l.md":  {Data: []byte("---\ntype: x\nrevisions:\n  - from: 2020-01-01\n    source: " + v + "\n    opening_pressure: {used: 300 +10/-0 bar, as_found: {cause: 250 bar}}\n    markings: [" + v + "]\n    exhaust_deviation: {look: 25 K, act: 40 K}\n---\n" + venomRemarks)},
		"overhauls/v1/ca1/2020-06-01-h-1.md": {Data: []byte("---\nholder: " + v + "\nnozzle: {found: " + v + ", left: " + v + ", marking: " + v + "}\nremoved: {engine: " + v + ", cylinder: " + v + ", date: 2020-06-01, counter: 400 h, reason: symptom, pocket: " + v +
			"}\nas_found: {date: 2020-06-01, gauge: " + v + ", opening_pressure: [280 bar, " + v + "], running_before: {note: " + v + "}}\ninspected: {note: " + v + "}\ndecided: {why: " + v + "}\nby: " + v + "\nfitted: {engine: V1, cylinder: \"../../x\", date: 2020-06-02, counter: 401 h}\nphotos: [" + v +
			", \"../../../etc/passwd\", photos/bomb.png, photos/script.jpg]\ncorrections:\n  - {date: 2020-06-02, by: " + v + ", what: " + v + ", was: " + v + ", why: " + v + "}\n---\n" + venomRemarks)},
		"overhauls/v1/ca1/2020-07-01-h-2.md": {Data: []byte("---\nholder: \"../../h\"\nnozzle: {found: \"..\\\\..\\\\n\", left: \"con\"}\nremoved: {engine: V1, cylinder: A1, date: 2020-07-01, counter: 500 h}\n---\n" + strings.Repeat("|a", 300) + "\n" + strings.Repeat("|-", 300) + "\n" + strings.Repeat("|x\n", 4000))},
		"overhauls/v1/cb1/2020-07-01-h-2.md": {Data: []byte("---\nholder: \"..\\\\..\\\\h\"\nremoved: {engine: V1, cylinder: B1, date: 2020-07-01, counter: 500 h}\n---\n" + strings.Repeat(">", 5000) + " deep")},
		"instruments/i.md":                   {Data: []byte("---\nid: " + v + "\nkind: gauge\nfound_wrong:\n  - {from: 2020-01-01, to: 2021-01-01, factor: 1.1, why: " + v + "}\ncomparisons:\n  - {date: 2020-02-01, against: " + v + ", true: 300 bar, shows: 330 bar, by: " + v + "}\n---\n")},
		"parts/p.md":                         {Data: []byte("---\nserial: " + v + "\nkind: holder\ncondemned: {date: 2020-08-01, why: " + v + "}\n---\n" + venomRemarks)},
		"crew.csv":                           {Data: []byte("id,name,rank,from,to\n\"" + strings.ReplaceAll(venom, `"`, `""`) + "\",\"" + strings.ReplaceAll(venom, `"`, `""`) + "\",x,2020-01-01,\n")},
		"photos/bomb.png":                    {Data: bombPNG(40000, 40000)},
		"photos/script.jpg":                  {Data: []byte("<script>alert(1)</script>")},
		"deferrals/" + "x.md":                {Data: []byte("---\nid: " + v + "\nreason: " + v + "\n---\n" + venomRemarks)},
	}
}

// TestSpitefulIsInert looks at every page of the hostile book as a browser would: no element, attribute or address beyond what our own
// pages use.
func TestSpitefulIsInert(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	in := bookOf(t, spitefulFiles(t), nil)
	in.Trail = spitefulTrail(in.Book)
	in = bookOf(t, in.Files, in.Trail)
	must(t, build(in, out))
	pages := pagesIn(t, out)
	if len(pages) < 25 {
		t.Fatalf("%d pages, want one for everything that the book names", len(pages))
	}
	for _, name := range pages {
		text, err := os.ReadFile(filepath.Join(out, name))
		must(t, err)
		inertPage(t, name, text)
	}
	for name := range read0(t, out) {
		if name != manifestFile && !address.Flat(name) {
			t.Errorf("file %q is not flat and lower case", name)
		}
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(out), "x")); err == nil {
		t.Error("something was written beside the output folder")
	}
}

// elements and attributes are all that pages are made of.
var (
	elements   = set("html head meta title link script body a header nav span main footer p code section h1 h2 h3 h4 h5 h6 ol ul li div dl dt dd small b i br strong em del q article table thead tbody tr th td details summary figure figcaption img pre blockquote hr svg g path circle rect text desc")
	attributes = set("lang charset http-equiv content name rel href class aria-label aria-hidden aria-current aria-labelledby id role tabindex scope colspan data-day data-month start align src alt width height loading title d viewbox cx cy r x y fill-rule preserveaspectratio")
)

func set(words string) map[string]bool {
	all := map[string]bool{}
	for _, w := range strings.Fields(words) {
		all[w] = true
	}
	return all
}

func inertPage(t *testing.T, name string, text []byte) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	for n := range root.Descendants() {
		switch n.Type {
		case html.CommentNode:
			t.Errorf("%s: comment %q", name, n.Data)
		case html.TextNode:
			for _, r := range n.Data {
				if r != '\n' && r != '\t' && unseen(r) {
					t.Errorf("%s: hidden character %U in text", name, r)
					return
				}
			}
		case html.ElementNode:
			if !elements[n.Data] {
				t.Errorf("%s: element <%s>", name, n.Data)
			}
			if n.Data == "script" && len(n.Attr) != 1 {
				t.Errorf("%s: a script that is not our file", name)
			}
			for _, a := range n.Attr {
				if !attributes[strings.ToLower(a.Key)] {
					t.Errorf("%s: attribute %s=%q on <%s>", name, a.Key, a.Val, n.Data)
				}
				for _, r := range a.Val {
					if unseen(r) {
						t.Errorf("%s: hidden character %U in %s", name, r, a.Key)
						return
					}
				}
				switch a.Key {
				case "src":
					if n.Data == "script" {
						if a.Val != string(look.ComfortFile) || n.FirstChild != nil {
							t.Errorf("%s: script %q", name, a.Val)
						}
						continue
					}
					if !strings.HasPrefix(a.Val, "picture-") {
						t.Errorf("%s: picture %q", name, a.Val)
					}
				case "href":
					if !allowedTarget(a.Val) {
						t.Errorf("%s: address %q", name, a.Val)
					}
				}
			}
		}
	}
}

func allowedTarget(to string) bool {
	for _, ok := range []string{"http://good.example/", "https://auto.example/", "mailto:a@b.example", "mailto:x@y.example"} {
		if to == ok {
			return true
		}
	}
	page, _, _ := strings.Cut(to, "#")
	return page == "" && strings.HasPrefix(to, "#") || address.Flat(page)
}

// TestSpitefulIsShown holds that nothing is swallowed: what cannot be followed or run is there to read.
func TestSpitefulIsShown(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	must(t, build(bookOf(t, spitefulFiles(t), nil), out))
	page, err := os.ReadFile(filepath.Join(out, "overhaul-2020-06-01-h-1.html"))
	must(t, err)
	text := words(t, page)
	for _, want := range []string{"javascript:alert(1)", "ms-msdt:x", "//evil.example/x", "<script>alert(1)</script>", "https://evil.example/track.png", "⟨U+202E⟩turned", "⟨U+200B⟩hidden", "photos/bomb.png is too large to be shown: 40000 × 40000", "photos/script.jpg is no JPEG or PNG picture"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not show %q", want)
		}
	}
}

// words is the text of a page as a reader sees it.
func words(t testing.TB, page []byte) string {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	must(t, err)
	var b strings.Builder
	for n := range root.Descendants() {
		switch {
		case n.Type == html.TextNode:
			b.WriteString(n.Data)
		case n.Type == html.ElementNode && n.Data != "b" && n.Data != "a" && n.Data != "span" && n.Data != "i" && n.Data != "code" && n.Data != "strong" && n.Data != "em":
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// TestSearchIsInert reads the search index of the hostile book as the data it must be: one call with texts, every address one of our pages,
// nothing in it that ends a script or starts one.
func TestSearchIsInert(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	in := bookOf(t, spitefulFiles(t), nil)
	in.Trail = spitefulTrail(in.Book)
	must(t, build(in, out))
	text, err := os.ReadFile(filepath.Join(out, string(address.Search)))
	must(t, err)
	if bytes.ContainsAny(text, "<>&\u2028\u2029") {
		t.Error("the index holds a character that markup or a line end could be made of")
	}
	body, ok := bytes.CutPrefix(text, []byte("needlebookIndex("))
	body, end := bytes.CutSuffix(body, []byte(");\n"))
	if !ok || !end {
		t.Fatalf("the index is not one call: %.60q", text)
	}
	var rows [][3]string
	must(t, json.Unmarshal(body, &rows))
	if len(rows) < 10 {
		t.Fatalf("%d rows", len(rows))
	}
	venomous := false
	for _, r := range rows {
		page, _, _ := strings.Cut(r[0], "#")
		if _, err := os.Stat(filepath.Join(out, page)); err != nil || !address.Flat(page) {
			t.Errorf("%q leads to no page of ours", r[0])
		}
		venomous = venomous || strings.Contains(r[1]+r[2], "<script>alert(1)</script>")
		for _, c := range r[1] + r[2] {
			if unseen(c) {
				t.Errorf("hidden character %U in the index", c)
			}
		}
	}
	if !venomous {
		t.Error("the hostile text is not searched: the test looks at nothing")
	}
}
