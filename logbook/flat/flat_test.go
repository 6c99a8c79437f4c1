package flat

import (
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/adrg/frontmatter"
	"go.yaml.in/yaml/v4"
)

// library reads a text with the YAML library: the reference.
func library(text string) (*yaml.Node, error) {
	var root yaml.Node
	if err := yaml.Load([]byte(text), &root); err != nil {
		return nil, err
	}
	if root.Kind == yaml.DocumentNode && len(root.Content) == 1 {
		return root.Content[0], nil
	}
	return &root, nil
}

// difference tells two trees apart by all that a reader of records looks at; empty where they are the same.
func difference(got, want *yaml.Node) string {
	said := func(n *yaml.Node) string {
		return fmt.Sprintf("kind %d style %d null %t value %q anchor %q at %d:%d with %d", n.Kind, n.Style, n.Tag == "!!null", n.Value, n.Anchor, n.Line, n.Column, len(n.Content))
	}
	if g, w := said(got), said(want); g != w {
		return "got  " + g + "\nwant " + w
	}
	for i := range got.Content {
		if d := difference(got.Content[i], want.Content[i]); d != "" {
			return d
		}
	}
	return ""
}

// same holds the reader against the library and says whether the reader took the text.
func same(t *testing.T, r *Reader, text string) bool {
	t.Helper()
	got, ok := r.Read(text)
	if !ok {
		return false
	}
	want, err := library(text)
	if err != nil {
		t.Fatalf("Read(%q) took what the library refuses: %v", text, err)
	}
	if d := difference(got, want); d != "" {
		t.Fatalf("Read(%q) differs from the library\n%s", text, d)
	}
	return true
}

var cases = []struct {
	name, text string
	taken      bool
}{
	{"keys", "a: 1\nb: two words\n", true},
	{"no line end", "a: 1", true},
	{"block", "a:\n  b: 1\n\n  # said\n  c: 2 # why\nd: 3\n", true},
	{"nothing at a key", "a:\nb: 1\n", true},
	{"nothing at the last key", "a: 1\nb:\n", true},
	{"null", "a: null\n", true},
	{"null as a key", "a:\n null: 1\n", false},
	{"null as a key in braces", "a: {null: 1}\n", false},
	{"quotes", "a: 'H-115'\nb: \"N # 2: 046\"\nc: \"\"\n", true},
	{"group", "a: {engine: ME2, cylinder: 3, counter: 57705 h} # so\n", true},
	{"list", "a: [300 bar, 300 bar, 305 bar]\nb: []\nc: {}\nd: [[1, 2], {a: 'x'}]\n", true},
	{"list of groups", "a:\n  - {b: 1}\n  - {b: 2}\n", true},
	{"list of blocks", "a:\n  - b: 1\n    c: 2\n  - b: 3\n", true},
	{"list that is not indented", "a:\n- b: 1\n- two\nc: 3\n", true},
	{"wide characters", "é: 1\n", false},
	{"columns are characters", "a: {b: 21 °C, c: 90 N·m, d: ∅}\n", true},
	{"negative", "a: -2 K\nb: +2 bar\n", true},
	{"indented as a whole", "  a: 1\n  b: 2\n", true},
	{"repeated", "a: 1\na: 2\n", true},
	{"escape", "a: \"x\\ty\"\n", false},
	{"doubled quote", "a: 'it''s'\nb: ['''', 'x''''y''']\n", true},
	{"open quote", "a: 'it''s\n", false},
	{"text over lines", "a: one\n  two\n", false},
	{"folded", "a: >\n  two\n", false},
	{"anchor", "a: &x 1\nb: *x\n", false},
	{"tag", "a: !!str 1\n", false},
	{"tab", "a:\t1\n", false},
	{"colon in text", "a: b: c\n", false},
	{"reason cut at its comma", "a: {b: not measured (no gauge, none aboard)}\n", false},
	{"group over lines", "a: {b: 1,\n  c: 2, # so\n", false},
	{"brackets over lines", "a: {b: 1,\n\n # so\n  c: [\n 2,\n    3], d: é\n}\n", false},
	{"brackets over lines, further in", "a: {b: 1,\n\n # so\n  c: [\n 2,\n    3], d: é} # so\ne: 4\n", true},
	{"brackets over lines, not further in", "a: {b: 1,\nc: 2}\n", false},
	{"value over lines in brackets", "a: {b: one\n  two}\n", false},
	{"open bracket", "a: [1, 2\n", false},
	{"second document", "a: 1\n---\nb: 2\n", false},
	{"ends in comma", "a: [1, 2, ]\n", false},
	{"no-break space", "a: 1\u00a0bar\n", true},
	{"line separator", "a: 1\u2028bar\n", false},
	{"nothing", "", false},
	{"comment only", "# so\n", false},
	{"less indented than the first", "  a: 1\nb: 2\n", false},
}

func TestReadsAsTheLibraryDoes(t *testing.T) {
	var r Reader
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if taken := same(t, &r, c.text); taken != c.taken {
				t.Errorf("Read(%q) took it: %t, want %t", c.text, taken, c.taken)
			}
		})
	}
}

// fronts are the front matters of the example vessel.
func fronts(t testing.TB) []string {
	var all []string
	err := fs.WalkDir(os.DirFS("../../example-vessel"), ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(name, ".md") {
			return err
		}
		text, err := os.ReadFile("../../example-vessel/" + name)
		if _, rest, ok := strings.Cut(string(text), "---\n"); ok {
			front, _, _ := strings.Cut(rest, "\n---\n")
			all = append(all, front+"\n")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Most records have to be taken, or the reader is of no use.
func TestTakesTheRecordsOfTheExampleVessel(t *testing.T) {
	var r Reader
	all, taken := fronts(t), 0
	for _, text := range all {
		if same(t, &r, text) {
			taken++
		}
	}
	t.Logf("%d of %d taken", taken, len(all))
	if taken*10 < len(all)*8 {
		t.Errorf("only %d of %d front matters taken", taken, len(all))
	}
}

func FuzzReadsAsTheLibraryDoes(f *testing.F) {
	for _, c := range cases {
		f.Add(c.text)
	}
	for i, text := range fronts(f) {
		if i%8 == 0 {
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		var r Reader
		same(t, &r, text)
	})
}

// split holds Split against the front-matter library and says whether it took the text.
func split(t *testing.T, text string) bool {
	t.Helper()
	front, body, line, ok := Split(text)
	if !ok {
		return false
	}
	var want string
	asItStands := frontmatter.NewFormat("---", "---", func(data []byte, v any) error {
		*v.(*string) = string(data)
		return nil
	})
	wantBody, err := frontmatter.MustParse(strings.NewReader(text), &want, asItStands)
	if err != nil {
		t.Fatalf("Split(%q) took what the library refuses: %v", text, err)
	}
	if front != want || body != string(wantBody) {
		t.Fatalf("Split(%q) = %q, %q; the library gives %q, %q", text, front, body, want, wantBody)
	}
	if before := strings.Count(text[:len(text)-len(body)], "\n") + 1; line != before {
		t.Fatalf("Split(%q) puts the body on line %d, want %d", text, line, before)
	}
	return true
}

func TestSplitsAsTheLibraryDoes(t *testing.T) {
	for _, c := range []struct {
		name, text string
		taken      bool
	}{
		{"plain", "---\na: 1\n---\nbody\n", true},
		{"no body", "---\na: 1\n---\n", true},
		{"dashes in the body", "---\na: 1\n---\nbody\n\n---\nmore\n", true},
		{"end without a line end", "---\na: 1\n---", false},
		{"blank line before", "\n---\na: 1\n---\n", false},
		{"indented dashes inside", "---\na: |\n  ---\nb: 1\n---\n", false},
		{"dashes in a value", "---\na: x---y\n---\n", false},
		{"nothing between", "---\n---\n", false},
		{"not closed", "---\na: 1\n", false},
		{"no front matter", "a: 1\n", false},
		{"an empty line between", "---\n\n---\nbody", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if taken := split(t, c.text); taken != c.taken {
				t.Errorf("Split(%q) took it: %t, want %t", c.text, taken, c.taken)
			}
		})
	}
}

func FuzzSplitsAsTheLibraryDoes(f *testing.F) {
	f.Add("---\na: 1\n---\nbody\n")
	f.Add("---\r\n \u00a0---\n---\n")
	f.Fuzz(func(t *testing.T, text string) { split(t, text) })
}
