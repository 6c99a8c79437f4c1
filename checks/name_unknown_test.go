package checks

import (
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// An id that crew.csv has in other case is shown there too: that is the line to correct, once, and not every record.
func TestPersonInOtherCase(t *testing.T) {
	book := folder(t, "testdata/base")
	crew := "id,name,rank,from,to\nB.THREE,B. THREE,SECOND ENGINEER,2019-12-01,\n"
	book["crew.csv"] = &fstest.MapFile{Data: []byte(crew)}
	book["overhauls/me1/c1/2020-07-01-h-1.md"] = &fstest.MapFile{Data: []byte("---\nholder: \"H-1\"\nby: b.three\n---\n")}
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	all := Run(b, Options{Only: []*Check{nameUnknown}}).Findings
	if len(all) != 1 || len(all[0].Related) != 1 || all[0].Related[0].Place.String() != "crew.csv:2:1" {
		t.Errorf("found %v, want one that names crew.csv:2:1", all)
	}
}
