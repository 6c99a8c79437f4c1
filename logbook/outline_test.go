package logbook_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
)

// outlined checks that the entries of an outline lie one behind the other and cover their stretch, and gives their single values as
// Values does.
func outlined(t *testing.T, src []byte, o *logbook.Outline) (all []string) {
	t.Helper()
	var walk func(entries []logbook.Entry, path string, from, to int, flow bool)
	walk = func(entries []logbook.Entry, path string, from, to int, flow bool) {
		for i, e := range entries {
			at := path + "." + e.Key
			if e.Key == "" {
				at = fmt.Sprintf("%s[%d]", path, i)
			}
			at = strings.TrimPrefix(at, ".")
			if !flow && e.From != from || e.From < from || e.KeyAt < e.From || e.ValueAt < e.KeyAt || e.ValueEnd < e.ValueAt || e.To < e.ValueEnd || e.To > to {
				t.Fatalf("%q: %s lies at %+v, which does not follow %d or leaves %d", src, at, e, from, to)
			}
			from = e.To
			if e.Kind == logbook.EntryValue {
				all = append(all, at+" = "+e.Written)
				continue
			}
			end := e.ValueEnd
			walk(e.Entries, at, e.ValueAt, end, e.Flow)
		}
		if !flow && len(entries) > 0 && from != to {
			t.Fatalf("%q: the entries of %q end at %d, not at %d", src, path, from, to)
		}
	}
	walk(o.Entries, "", o.From, o.To, false)
	return all
}

func valuesOf(src []byte) (all []string) {
	for _, v := range logbook.Values(src) {
		if v.Path != "remarks" {
			all = append(all, v.Path+" = "+v.Written)
		}
	}
	return all
}

// Every record of the example vessel is taken apart, into the values that the reader finds.
func TestOutlineOfExampleVessel(t *testing.T) {
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
		for _, text := range []string{string(src), strings.ReplaceAll(string(src), "\n", "\r\n"), "\xef\xbb\xbf" + string(src)} {
			o, why := logbook.OutlineOf([]byte(text))
			if o == nil {
				t.Errorf("%s: %s", name, why)
				continue
			}
			if got, want := outlined(t, []byte(text), o), valuesOf([]byte(text)); strings.Join(got, "\n") != strings.Join(want, "\n") {
				t.Errorf("%s: values\n%q\nwant\n%q", name, got, want)
			}
		}
		n++
		return nil
	})
	if err != nil || n < 100 {
		t.Errorf("%d records looked at, %v", n, err)
	}
}

func TestOutlineRefuses(t *testing.T) {
	for src, want := range map[string]string{
		"no dashes\n":                 "no front matter",
		"---\na: 1\na: 2\n---\n":      "repeats a key",
		"---\na: &x 1\nb: *x\n---\n":  "anchor",
		"---\na: !!str 1\n---\n":      "tag",
		"---\na: {b: 1\n---\n":        "not YAML",
		"---\n{a: 1}\n---\n":          "one key a line",
		"---\n? a\n: 1\n---\n":        "does not begin with its key",
		"---\na: {b: 1, b: 2}\n---\n": "brackets",
		"---\ra: 1\r---\r":            "line ends",
		"\xff\xfe-\x00-\x00-\x00":     "UTF-8",
		"---\na: x\u2028b: 1\n---\n":  "line ends",
	} {
		if o, why := logbook.OutlineOf([]byte(src)); o != nil || !strings.Contains(why, want) {
			t.Errorf("OutlineOf(%q) = %v, %q, want %q", src, o, why, want)
		}
	}
}

func FuzzOutline(f *testing.F) {
	f.Add([]byte("---\na: 1 # x\nb:\n  - c: {d: [1, 'e'], \"f\":\"g\"}\n\n  -\n    - |\n      h\n---\nbody"))
	f.Fuzz(func(t *testing.T, src []byte) {
		o, why := logbook.OutlineOf(src)
		if o == nil {
			if why == "" {
				t.Errorf("%q: refused without a reason", src)
			}
			return
		}
		if got, want := outlined(t, src, o), valuesOf(src); strings.Join(got, "\n") != strings.Join(want, "\n") {
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
