package trace_test

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"needlebook/logbook"
	"needlebook/logbook/trace"
)

// A history read again is the history read anew, whatever happened in the folder and to the tip in between.
func TestAgain(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("by", "ivanov"))
	s.by(ivanov, "overhauls/me1/c2/2024-02-02-h-2.md", overhaul("by", "ivanov"))
	dir, ids := s.book(t)
	opt := trace.Options{FoundingProof: proof(ids)}
	put := func(name, text string) func() {
		return func() {
			full := filepath.Join(dir, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(full), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(full, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	var last *logbook.Trail
	for _, c := range []struct {
		what   string
		change func()
	}{
		{"first", func() {}},
		{"nothing happened", func() {}},
		{"a committed record changed", put(record, overhaul("by", "berg"))},
		{"changed again", put(record, overhaul("by", "berg", "round", "x"))},
		{"a new file", put("overhauls/me1/c1/2024-03-03-h-3.md", overhaul())},
		{"one gone", func() { os.Remove(filepath.Join(dir, "limits", "qz.md")) }},
		{"the tip went back", func() { setTip(t, dir, ids[1]) }},
		{"and forth", func() { setTip(t, dir, ids[2]) }},
	} {
		c.change()
		got, err := trace.Again(dir, last, opt)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		want, err := trace.Read(dir, opt)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got.WorkTree, want.WorkTree) || got.Head != want.Head || got.Headline != want.Headline || !reflect.DeepEqual(got.Records[record], want.Records[record]) {
			t.Errorf("%s: Again gives %q with %v, Read %q with %v", c.what, got.Headline, got.WorkTree, want.Headline, want.WorkTree)
		}
		last = got
	}
}
