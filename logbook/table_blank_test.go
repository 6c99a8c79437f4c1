package logbook

import (
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
