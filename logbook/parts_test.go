package logbook

import (
	"testing"
	"testing/fstest"
)

// A complete valve is often bought with one number on holder and nozzle: each has a file of its own, told apart by its kind.
func TestHolderAndNozzleOfOneNumber(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	b, err := Read(fstest.MapFS{
		"book.md":            file("---\nvessel: Test\n---\n"),
		"parts/12.md":        file("---\nserial: \"12\"\nkind: holder\ncondemned: {date: 2020-01-01, why: cracked}\n---\n"),
		"parts/12-nozzle.md": file("---\nserial: \"12\"\nkind: nozzle\nmarking: 8x0.30\n---\n"),
		"parts/13.md":        file("---\nserial: \"13\"\nmarking: 8x0.31\n---\n"),
		"parts/12-again.md":  file("---\nserial: \"12\"\nkind: nozzle\n---\n"),
	})
	if err != nil {
		t.Fatal(err)
	}
	if h, n := b.Part("holder", "12"), b.Part("nozzle", "12"); h == nil || n == nil || !h.Condemned.Stated() || n.Condemned.Stated() || n.Path != "parts/12-again.md" && n.Path != "parts/12-nozzle.md" {
		t.Errorf("holder %+v, nozzle %+v", h, n)
	}
	if b.Part("nozzle", "13") == nil || b.Part("holder", "13") == nil || b.Part("nozzle", "14") != nil {
		t.Error("a file without a kind serves for any, and a number without a file for none")
	}
	if len(b.Problems) != 1 || b.Problems[0].Slip != SlipSameStem {
		t.Errorf("two files of one nozzle: %v", b.Problems)
	}
}
