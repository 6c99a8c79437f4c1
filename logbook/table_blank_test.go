package logbook

import (
	"slices"
	"testing"
	"testing/fstest"
)

// A tab or a no-break space between the words of a cell is a blank, in texts alone: in a number it may part its thousands.
func TestBlanksOfTableTexts(t *testing.T) {
	b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n---\n")},
		"crew.csv": {Data: []byte("id,name,rank,from,to\nc.one,C.\tOne,chief\u00a0engineer,2020-01-01,2021-01-01\n")}})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Crew) != 1 || b.Crew[0].Name.Written != "C. One" || b.Crew[0].Rank.Written != "chief engineer" {
		t.Errorf("read %+v", b.Crew)
	}
}

// So it is in the texts of front matter: a marking with tabs is the marking with blanks.
func TestBlanksOfTexts(t *testing.T) {
	b, err := Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n---\n")}, "parts/n-1.md": {Data: []byte("---\nserial: \"N-1\"\nkind: nozzle\nmarking: 9x0.27\tH\n---\n")}})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Parts) != 1 || b.Parts[0].Marking.Written != "9x0.27 H" {
		t.Errorf("read %+v", b.Parts)
	}
}

// A table of which the names of the columns alone were saved is a slip at that line; a table that somebody has begun is none.
func TestTableOfNamesAlone(t *testing.T) {
	for text, want := range map[string]bool{
		"id,name,rank":                   true,
		"id,name,rank,from,to":           true,
		"id,name,rank,from,to\n":         false,
		"id,name,rank,from,to\r\n":       false,
		"id,name,rank,from,to\na.one,A.": false,
		"":                               false,
	} {
		_, problems := readTable[CrewPeriod]("crew.csv", []byte(text))
		got := slices.ContainsFunc(problems, func(p Problem) bool { return p.Found == "nothing below the names of the columns" })
		if got != want {
			t.Errorf("%q: said is %v, want %v (%v)", text, got, want, problems)
		}
	}
}
