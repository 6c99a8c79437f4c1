package logbook_test

import (
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// files are the example vessel's, in memory.
func files(t *testing.T) fstest.MapFS {
	t.Helper()
	all := fstest.MapFS{}
	root := os.DirFS(filepath.Join("..", "example-vessel"))
	b, err := logbook.Read(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range b.Files {
		src, err := os.ReadFile(filepath.Join("..", "example-vessel", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		all[name] = &fstest.MapFile{Data: src}
	}
	return all
}

// same compares all that a book shows to other packages.
func same(t *testing.T, what string, got, want *logbook.Book) {
	t.Helper()
	g, w := reflect.ValueOf(*got), reflect.ValueOf(*want)
	for i := range g.NumField() {
		if f := g.Type().Field(i); f.IsExported() && !reflect.DeepEqual(g.Field(i).Interface(), w.Field(i).Interface()) {
			t.Errorf("%s: %s differs", what, f.Name)
		}
	}
	if !reflect.DeepEqual(got.Lives().ServicePeriods, want.Lives().ServicePeriods) || !reflect.DeepEqual(got.Lives().Faults, want.Lives().Faults) {
		t.Errorf("%s: lives differ", what)
	}
}

// Whatever was read before, a book read again is the book read for the first time.
func TestReaderReadsWhatStandsThere(t *testing.T) {
	disk := files(t)
	r := logbook.NewReader(disk)
	for _, step := range []struct {
		what   string
		change map[string]string // empty text: the file goes
	}{
		{"first", nil},
		{"again", nil},
		{"a record changed", map[string]string{"overhauls/me1/c3/2024-01-24-h-103.md": "---\nholder: H-103\nremoved: {engine: ME1, cylinder: 3, date: 2024-01-24, counter: 1 h}\nmeasured: {lift: \"0,72 mm\"}\n---\n"}},
		{"a record gone, one new, one twice", map[string]string{"overhauls/me1/c1/2021-02-10-h-101.md": "", "overhauls/me1/c1/2030-01-01-h-1.md": "---\nholder: \"H-1\"\n---\n", "overhauls/me2/c1/2030-01-01-h-1.md": "---\nholder: \"H-1\"\n---\n"}},
		{"limits, hours and crew changed", map[string]string{"limits/6qz31.md": "---\ntype: 6QZ31\n---\n", "hours/me1.csv": "date,counter_h\n2021-01-11,1\n", "crew.csv": "id,name\n"}},
		{"book changed", map[string]string{"book.md": "---\nvessel: Other\n---\n"}},
	} {
		for name, text := range step.change {
			if disk[name] = (&fstest.MapFile{Data: []byte(text)}); text == "" {
				delete(disk, name)
			}
		}
		got, err := r.Read()
		if err != nil {
			t.Fatal(err)
		}
		want, err := logbook.Read(disk)
		if err != nil {
			t.Fatal(err)
		}
		same(t, step.what, got, want)
	}
}

// A book with unsaved texts is the book that will be read once they are saved; the disk's own texts come back when they are dropped.
func TestReaderWithUnsavedTexts(t *testing.T) {
	disk := files(t)
	r := logbook.NewReader(disk)
	for what, text := range map[string]map[string]string{
		"nothing":     nil,
		"a record":    {"overhauls/me1/c3/2024-01-24-h-103.md": "---\nholder: \"H-103\"\nmeasured: {lift: \"0,72 mm\"}\n"},
		"a new one":   {"overhauls/me1/c3/2024-06-24-h-115.md": "---\nholder: \"H-115\"\n---\n"},
		"a table":     {"hours/me2.csv": "date,counter_h\n2021-01-11,1\nx,y\n"},
		"limits":      {"limits/6qz31.md": "---\ntype: 6QZ31\nrevisions: [{from: 2021-01-01}]\n---\n"},
		"the book":    {"book.md": "---\nvessel: Other\n"},
		"no record":   {"nowhere/a.md": "text"},
		"many":        {"crew.csv": "", "stores/stock.csv": "", "parts/n-2046.md": "---\n"},
		"not of book": {"readme.txt": "text", ".hidden/a.md": "text", "signers/allowed_signers": "x"},
	} {
		over, saved := map[string][]byte{}, maps.Clone(disk)
		for name, t := range text {
			over[name] = []byte(t)
			if what != "not of book" {
				saved[name] = &fstest.MapFile{Data: []byte(t)}
			}
		}
		got, err := r.With(over)
		if err != nil {
			t.Fatal(err)
		}
		want, err := logbook.Read(saved)
		if err != nil {
			t.Fatal(err)
		}
		same(t, what, got, want)
	}
}
