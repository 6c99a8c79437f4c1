package logbook_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// laid checks that the nodes of a tree lie one behind the other and cover their stretch, and that its stretches are the file; it
// gives the single values as Values does.
func laid(t *testing.T, src []byte, o *tree.Tree) (all []string) {
	t.Helper()
	at := 0
	for _, s := range o.All() {
		if s.From != at || s.To <= s.From {
			t.Fatalf("%q: the stretch %+v does not follow %d", src, s, at)
		}
		if text := src[s.From:s.To]; s.Kind == tree.Remark && text[0] != '#' || s.Kind == tree.Blank && strings.Trim(string(text), " \t\r\n") != "" {
			t.Fatalf("%q: %+v is %q", src, s, text)
		}
		at = s.To
	}
	if at != len(src) {
		t.Fatalf("%q: the stretches end at %d of %d", src, at, len(src))
	}
	var walk func(above *tree.Node, path string, from, to int)
	walk = func(above *tree.Node, path string, from, to int) {
		flow := above.Style == tree.Brackets
		for i, e := range above.Below {
			at := path + "." + e.Key
			if e.Key == "" {
				at = fmt.Sprintf("%s[%d]", path, i)
			}
			if path == "" {
				at = at[min(1, len(at)):]
				if e.Key == "" {
					at = fmt.Sprintf("[%d]", i)
				}
			}
			if !flow && e.From != from || e.From < from || e.KeyAt < e.From || e.KeyEnd < e.KeyAt || e.ValueAt < e.KeyEnd || e.ValueEnd < e.ValueAt || e.To < e.ValueEnd || e.To > to {
				t.Fatalf("%q: %s lies at %+v, which does not follow %d or leaves %d", src, at, e.Spans, from, to)
			}
			// in brackets a key may go on in the next line, which is read as a blank
			if key := folded(string(src[e.KeyAt:e.KeyEnd])); e.Key != "" && !strings.Contains(key, folded(e.Key)) && !strings.ContainsAny(key, `\'`) {
				t.Fatalf("%q: %s lies at %q", src, at, key)
			}
			from = e.To
			switch {
			case e.Vague:
			case e.Kind == tree.Value:
				all = append(all, at+" = "+e.Value)
			case e.Kind == tree.Unread:
				walk(e, at, e.ValueEnd, e.To)
			default:
				walk(e, at, e.ValueAt, e.ValueEnd)
			}
		}
		if !flow && len(above.Below) > 0 && from != to {
			t.Fatalf("%q: the entries of %q end at %d, not at %d", src, path, from, to)
		}
	}
	walk(o.Root, "", o.Front, o.Close)
	return all
}

func folded(key string) string { return strings.Join(strings.Fields(key), " ") }

func valuesOf(src []byte) (all []string) {
	for _, v := range logbook.Values(src) {
		if v.Path != "remarks" {
			all = append(all, v.Path+" = "+v.Written)
		}
	}
	return all
}

// Every record of the example vessel is taken apart, into the values that the reader finds.
func TestTreeOfExampleVessel(t *testing.T) {
	root := os.DirFS(filepath.Join("..", "example-vessel"))
	n := 0
	err := fs.WalkDir(root, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(name, ".md") || name == "README.md" {
			return err
		}
		src, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		plain := string(src)
		for _, text := range []string{plain, strings.ReplaceAll(plain, "\n", "\r\n"), "\xef\xbb\xbf" + plain, strings.ReplaceAll(plain, "\n", "\r")} {
			o := logbook.TreeOf([]byte(text))
			if o.Doubt != "" {
				t.Errorf("%s: %s", name, o.Doubt)
				continue
			}
			if got, want := laid(t, []byte(text), o), valuesOf([]byte(text)); strings.Join(got, "\n") != strings.Join(want, "\n") {
				t.Errorf("%s: values\n%q\nwant\n%q", name, got, want)
			}
		}
		for cut := 0; cut < len(src); cut += 97 { // not saved whole
			laid(t, src[:cut], logbook.TreeOf(src[:cut]))
		}
		n++
		return nil
	})
	if err != nil || n < 100 {
		t.Errorf("%d records looked at, %v", n, err)
	}
}

// Of a text in doubt the keys are told all the same, each with its bytes.
var doubtful = []struct{ src, doubt, keys string }{
	{"no dashes\n", "no front matter", "no"},
	{"", "no front matter", ""},
	{"---\na: 1\nb:\n  c: 2\n", "no front matter", "a b b.c"},
	{"---\na: 1\na: 2\n---\n", "repeats a key", "a a"},
	{"---\na: &x 1\nb: *x\n---\n", "anchor", "a b"},
	{"---\na: !!str 1\n---\n", "tag", "a"},
	{"---\na: {b: 1\nc:\n  d: 1\n---\n", "not YAML", "a c c.d"},
	{"---\nx: 1\n# so\na:\n  - b: {c: 1\n    d: 2\ny: 3\n---\n", "not YAML", "x a a.b a.d y"},
	{"---\nx: 1\n\ta: 2\ny: 3\n---\n", "not YAML", "x x.a y"},
	{"---\nx:\n\ta: 2\ny: 3\n---\n", "not YAML", "x x.a y"},
	{"---\n{a: 1}\n---\n", "one key a line", ""},
	{"---\n? a\n: 1\nb: 2\n---\n", "does not begin with its key", "? b"},
	{"---\na: {b: 1, b: 2}\n---\n", "brackets", "a a.b a.b"},
	{"---\na: “x”\n---\n", "", "a"},
	{"---\na: |\n  x\n\n  y\nb: 1\n---\n", "", "a b"},
	{"---\ra: 1\r---\r", "", "a"},
	{"\xff\xfe-\x00-\x00-\x00", "UTF-8", ""},
	{"---\na: x\u2028b: 1\n---\n", "line ends", "a"},
	{"---\na: {b\n: \n1}\nc: 2\n---\n", "not YAML", "a 1} c"},
	{"---\na: \"x\n: y\nb\"} z\"\nc: 2\n---\n", "not YAML", "a b\"} c"},
	{"---\na: 'x\n<<<<<<< here\n>>>>>>> there\ny'\nc: 2\n---\n", "not YAML", "a <<<<<<< y c"},
	{"---\n<<<<<<< here\na: 1\n=======\na: 2\n>>>>>>> there\nb: 2\n---\n", "not YAML", "b"},
}

func TestTreeInDoubt(t *testing.T) {
	for _, c := range doubtful {
		o := logbook.TreeOf([]byte(c.src))
		if !strings.Contains(o.Doubt, c.doubt) || o.Doubt != "" && c.doubt == "" {
			t.Errorf("TreeOf(%q) doubts %q, want %q", c.src, o.Doubt, c.doubt)
		}
		laid(t, []byte(c.src), o)
		var keys []string
		var walk func(n *tree.Node, path string)
		walk = func(n *tree.Node, path string) {
			for _, e := range n.Below {
				keys = append(keys, strings.TrimPrefix(path+"."+e.Key, "."))
				walk(e, strings.TrimPrefix(path+"."+e.Key, "."))
			}
		}
		walk(o.Root, "")
		if got := strings.Join(keys, " "); got != c.keys {
			t.Errorf("TreeOf(%q) has the keys %q, want %q", c.src, got, c.keys)
		}
	}
}

func FuzzTree(f *testing.F) {
	f.Add([]byte("---\na: 1 # x\nb:\n  - c: {d: [1, 'e'], \"f\":\"g\"}\n\n  -\n    - |\n      h\n---\nbody"))
	for _, c := range doubtful {
		f.Add([]byte(c.src))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		o := logbook.TreeOf(src)
		got := laid(t, src, o)
		if o.Doubt != "" {
			return
		}
		if want := valuesOf(src); strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%q: values %q, want %q", src, got, want)
		}
	})
}

// The keys by which items of a list are told apart are keys of the items.
func TestSameKeysAreFields(t *testing.T) {
	n := 0
	var walk func(where string, fields []logbook.Field)
	walk = func(where string, fields []logbook.Field) {
		for _, f := range fields {
			for _, key := range f.Same {
				n++
				found := false
				for _, x := range f.Fields {
					found = found || x.Key == key
				}
				if !found {
					t.Errorf("%s.%s: items are told apart by %q, which they do not have", where, f.Key, key)
				}
			}
			walk(where+"."+f.Key, f.Fields)
		}
	}
	for _, k := range logbook.Kinds() {
		walk(k.Name, k.Fields)
	}
	if n == 0 {
		t.Error("no list tells its items apart")
	}
}

// Where a key is being typed, and which one stands on a line, is told by the lines where the text is no YAML yet.
func TestPlaceInTree(t *testing.T) {
	const src = "---\nholder: \"H-1\"\nas_found:\n  date: 2024-06-11\n  spray: {open: 8,\n    weak: [2]}\n  \nparts:\n  - kind: nozzle\n    serial: \"N-1\"\n    \n  - kind: seat\nleft:\n- kind: cap\n  \nas_left:\n\tseat:\n\t\tstate: go\n\t\t\n---\nbody\n"
	for _, text := range []string{src, strings.ReplaceAll(src, "open: 8", "open 8: [")} {
		o := logbook.TreeOf([]byte(text))
		for _, c := range []struct {
			line, column int
			under, on    string
		}{
			{2, 1, "", "holder"}, {4, 3, "as_found", "as_found.date"}, {7, 3, "as_found", ""}, {7, 1, "", ""},
			{11, 5, "parts", ""}, {10, 5, "parts", "parts.serial"}, {12, 5, "parts", "parts.kind"}, {15, 3, "left", ""},
			{19, 5, "as_left.seat", ""}, {18, 3, "as_left", "as_left.seat.state"},
		} {
			if got := strings.Join(o.Under(c.line, c.column), "."); got != c.under {
				t.Errorf("%q: line %d, column %d stands under %q, want %q", text, c.line, c.column, got, c.under)
			}
			var on []string
			for _, n := range o.On(c.line) {
				if n.Key != "" {
					on = append(on, n.Key)
				}
			}
			if got := strings.Join(on, "."); got != c.on {
				t.Errorf("%q: on line %d stands %q, want %q", text, c.line, got, c.on)
			}
		}
	}
}

// The inspection list is the struct's, each place under one part.
func TestPlacesOfInspection(t *testing.T) {
	var o logbook.Overhaul
	parts := map[string][]string{}
	for _, p := range o.Inspected.Places() {
		parts[p.Part] = append(parts[p.Part], p.Name)
	}
	got := fmt.Sprint(len(o.Inspected.Places()), parts)
	const want = "14 map[dowel:[dowels] holder:[holder face inlet face drillings] nozzle:[needle seat needle end needle guide body seat tip holes nozzle face] nut:[inside of the nut] push rod:[push rod] spring:[spring]]"
	if got != want {
		t.Errorf("places %s, want %s", got, want)
	}
	o.Inspected.PlacesOf("holder")[2].Word.Written = "cracked"
	if o.Inspected.Drillings.Written != "cracked" {
		t.Error("a place's word is not the record's own")
	}
}
