package checks

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// The file of a part that says it is of the other kind is asked about, wherever the part is named: as it was found, as it
// was left, or as the holder. Outside source: none.
func TestPartOfTheOtherKindIsAsked(t *testing.T) {
	record := strings.Replace(recordOf(4, ""), `left: "N-4"`, `left: "N-9"`, 1)
	for _, x := range []struct{ serial, kind, says string }{
		{"N-4", "holder", "N-4 is a holder by its file, and a nozzle wherever it is named"},
		{"N-9", "holder", "N-9 is a holder by its file, and a nozzle wherever it is named"},
		{"H-4", "nozzle", "H-4 is a nozzle by its file, and a holder wherever it is named"},
		{"N-9", "nozzle", ""},
	} {
		book := folder(t, "testdata/base")
		book["overhauls/me1/c4/2020-03-01-h-4.md"] = &fstest.MapFile{Data: []byte(record)}
		book["parts/"+logbook.FileName(x.serial)+".md"] = &fstest.MapFile{
			Data: []byte("---\nserial: \"" + x.serial + "\"\nkind: " + x.kind + "\n---\n")}
		b, err := logbook.Read(book)
		if err != nil {
			t.Fatal(err)
		}
		is := ""
		for _, f := range Run(b, Options{Only: []*Check{nameUnknown}}).Findings {
			if strings.HasPrefix(f.Place.Path, "parts/") {
				is = f.Message
			}
		}
		if is != x.says {
			t.Errorf("%s as %s: %q, want %q", x.serial, x.kind, is, x.says)
		}
	}
}
