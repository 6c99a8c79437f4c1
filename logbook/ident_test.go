package logbook

import (
	"testing"
	"testing/fstest"
)

// An instrument that bears the id of another file is known by its own file's name, where records name that. No outside
// source.
func TestIdentOfAnotherFile(t *testing.T) {
	record := &fstest.MapFile{Data: []byte("---\nholder: H-1\nas_left: {gauge: PG-01}\n---\n")}
	gauge := func(id string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("---\nid: " + id + "\nkind: gauge\n---\n")}
	}
	read := func(files fstest.MapFS) *Book {
		files["book.md"] = &fstest.MapFile{Data: []byte("---\nvessel: V\n---\n")}
		b, err := Read(files)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	slips := func(b *Book) (all []string) {
		for _, p := range b.Problems {
			if p.Slip == SlipIdent || p.Slip == SlipSameStem {
				all = append(all, p.Place.Path+" "+p.Slip+" "+p.Type)
			}
		}
		return all
	}
	b := read(fstest.MapFS{"instruments/pg-01.md": gauge("PG-03"), "instruments/pg-03.md": gauge("PG-03"),
		"overhauls/2024-01-01-h-1.md": record})
	for _, id := range []string{"PG-01", "PG-03"} {
		if i := b.Instruments[id]; i == nil || i.Path != "instruments/"+FileName(id)+".md" {
			t.Errorf("%s is %v, want the file named after it", id, i)
		}
	}
	if got := slips(b); len(got) != 1 || got[0] != "instruments/pg-01.md "+SlipIdent+" PG-01" || len(b.Instruments) != 2 {
		t.Errorf("slips %q, %d instruments", got, len(b.Instruments))
	}
	b = read(fstest.MapFS{"instruments/pg-01.md": gauge("PG-03"), "instruments/pg-03.md": gauge("PG-03")})
	if got := slips(b); len(got) != 1 || got[0] != "instruments/pg-01.md "+SlipSameStem+" " || len(b.Instruments) != 1 {
		t.Errorf("nobody names PG-01: slips %q, %d instruments", got, len(b.Instruments))
	}
}
