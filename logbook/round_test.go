package logbook

import (
	"testing"
	"testing/fstest"
)

// TestJobOfARound: a round's job is what its records name, once each; one record that names it is enough.
func TestJobOfARound(t *testing.T) {
	record := func(holder, cylinder, job string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("---\nholder: " + holder + "\nremoved: {engine: A, cylinder: " + cylinder +
			", date: 2020-03-01, counter: 100 h}\n" + job + "---\n")}
	}
	files := fstest.MapFS{"book.md": {Data: []byte("---\nengines: [{id: A, cylinders: [1, 2, 3]}]\n---\n")},
		"overhauls/a/c1/2020-03-01-h-1.md": record("H-1", "1", ""),
		"overhauls/a/c2/2020-03-01-h-2.md": record("H-2", "2", "job: 4711-20\n"),
		"overhauls/a/c3/2020-03-01-h-3.md": record("H-3", "3", "job: {number: 4711-20, permit: P-9, risk_assessment: RA-4}\n")}
	b, err := Read(files)
	if err != nil || len(b.Problems) > 0 {
		t.Fatal(err, b.Problems)
	}
	if r := b.Rounds(); len(r) != 1 || r[0].Job() != "job 4711-20, permit P-9, risk assessment RA-4" {
		t.Errorf("%d rounds, %q", len(r), r[0].Job())
	}
	files["overhauls/a/c3/2020-03-01-h-3.md"] = record("H-3", "3", "job: not known (breakdown)\n")
	delete(files, "overhauls/a/c2/2020-03-01-h-2.md")
	if b, err = Read(files); err != nil || b.Rounds()[0].Job() != "" {
		t.Errorf("%v, %q", err, b.Rounds()[0].Job())
	}
}
