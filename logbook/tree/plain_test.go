package tree

import (
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"
)

// difference tells two trees apart by all that a reader of records looks at; empty where they are the same.
func difference(got, want *Node) string {
	said := func(n *Node) string {
		flat := *n
		flat.Below = nil
		return fmt.Sprintf("%+v with %d", flat, len(n.Below))
	}
	if g, w := said(got), said(want); g != w {
		return "got  " + g + "\nwant " + w
	}
	for i := range got.Below {
		if d := difference(got.Below[i], want.Below[i]); d != "" {
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
	want, err := new(Reader).load([]byte(text))
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

// What the library hands over is found again with its lines, however the dashes are written.
func TestSplit(t *testing.T) {
	for _, c := range []struct {
		text, front, body string
		line, bodyLine    int
		opening, closing  string
	}{
		{"---\na: 1\n---\nbody\n", "a: 1\n", "body\n", 1, 4, "---\n", "---\n"},
		{"---\na: 1\n---", "a: 1\n", "", 1, 3, "---\n", "---"},
		{"---\na: 1\n---\nbody\n\n---\nmore\n", "a: 1\n", "body\n\n---\nmore\n", 1, 4, "---\n", "---\n"},
		{"\n\n --- \na: 1\n---\n", "a: 1\n", "", 3, 6, " --- \n", "---\n"},
		{"---\na: |\n  ---\nb: 1\n---\n", "a: |\n", "b: 1\n---\n", 1, 4, "---\n", "  ---\n"},
		{"---\na: x---y\n---\n", "a: x---y\n", "", 1, 4, "---\n", "---\n"},
		{"---\n---\nbody", "", "body", 1, 3, "---\n", "---\n"},
	} {
		read := ""
		p, err := Split(c.text, func(front string) { read = front })
		if want := (Parts{c.front, c.line, c.body, c.bodyLine, c.opening, c.closing}); err != nil || p != want || read != c.front {
			t.Errorf("Split(%q) = %+v, %v with %q read, want %+v", c.text, p, err, read, want)
		}
	}
	for _, text := range []string{"", "a: 1\n", "---\na: 1\n", "body\n---\na: 1\n---\n"} {
		if _, err := Split(text, func(string) { t.Errorf("%q: something was read", text) }); err != ErrNoFront {
			t.Errorf("Split(%q): %v, want %v", text, err, ErrNoFront)
		}
	}
}
