package logbook

import (
	"slices"
	"testing"
	"testing/fstest"

	"needlebook/logbook/language"
)

// A book may name the languages that there are words in, and no other; the first is taken without asking.
func TestLanguagesOfABook(t *testing.T) {
	allowed := func(f Field) []string { return f.Words }
	for _, f := range KindNamed("book").Fields {
		if f.Key == "languages" && !slices.Equal(allowed(f), language.Known()) {
			t.Errorf("book.md may name %v, and there are words in %v", f.Words, language.Known())
		}
	}
	for written, want := range map[string][]string{"": {"en"}, "languages: [es, id]\n": {"es", "id"}, "languages: id\n": {"id"}, "languages: [de, es]\n": {"es"}, "languages: es, en\n": {"es", "en"}} {
		b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n" + written + "engines:\n  - {id: ME1, type: T, cylinders: [1], numbered_from: free end, limits: t}\n---\n")}})
		if err != nil {
			t.Fatal(err)
		}
		if got := b.Languages(); !slices.Equal(got, want) {
			t.Errorf("%q names %v, want %v", written, got, want)
		}
	}
}

// A decision in a language that there are words in is not read, and its standard word is what to type.
func TestStandardWordIsProposed(t *testing.T) {
	for word, want := range map[string]string{"desechar": "condemn", "diganti": "renew", "condem": "condemn", "quizás": ""} {
		problems := Problems("overhauls/me1/c1/2024-01-01-h-1.md", []byte("---\nholder: H-1\ndecided: {nozzle: "+word+"}\nby: a.b\n---\n"))
		if len(problems) != 1 || problems[0].Type != want || problems[0].Read {
			t.Errorf("%s: %+v, want one that proposes %q", word, problems, want)
		}
	}
}
