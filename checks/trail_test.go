package checks

import (
	"testing"
	"testing/fstest"
	"time"

	"needlebook/logbook"
)

// committedOn is a trail in which the record at a path came with one commit, after the founding one.
func committedOn(path, day string) *logbook.Trail {
	at := func(s string) time.Time {
		t, err := time.Parse(time.DateOnly, s)
		if err != nil {
			panic(err)
		}
		return t
	}
	return &logbook.Trail{UnderGit: true, First: -1, Commits: []logbook.Commit{{Stated: at("2020-01-01"), Stands: true}, {Stated: at(day), Stands: true, Parents: []int{0}}},
		Records: map[string]*logbook.RecordTrail{path: {Path: path, Versions: []logbook.Version{{Commit: 1, Path: path}}}}}
}

// A record dated by its history: late, or ahead of the commit that brought it. No outside source.
func TestDatesAgainstHistory(t *testing.T) {
	const path = "overhauls/me1/c1/2020-07-01-h-1.md"
	book := folder(t, "testdata/base")
	book[path] = &fstest.MapFile{Data: []byte(`---
holder: "H-1"
nozzle: {found: "N-1", left: "N-1"}
removed: {engine: ME1, cylinder: 1, date: 2020-07-01}
as_found: {date: 2020-07-02}
fitted: {engine: ME1, cylinder: 1, date: 2020-07-05}
---
`)}
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		check     *Check
		committed string
		want      string
	}{
		{"L09 entered on the last day that is not late", lateEntry, "2020-07-16", ""},
		{"L09 entered late", lateEntry, "2020-07-17", "entered 2020-07-17, 15 days after the work of 2020-07-02 (first commit)"},
		{"L08 work on the day of its commit", dateOrder, "2020-07-05", ""},
		{"L08 work a day after its commit", dateOrder, "2020-07-04", ""}, // the ship's clock may be a day ahead
		{"L08 work after its commit", dateOrder, "2020-07-03", "2020-07-05 lies after it was committed, 2020-07-03"},
		// A malformed commit may state no date that can be read: the zero time.
		{"L04 work in a commit of no known date", dateOrder, "0001-01-01", ""},
		{"L04 entered in a commit of no known date", lateEntry, "0001-01-01", ""},
		{"L04 the clock of a commit of no known date", clockJump, "0001-01-01", ""},
	} {
		var got string
		for _, f := range Run(b, Options{Trail: committedOn(path, c.committed), Only: []*Check{c.check}}).Findings {
			got += f.inFull()
		}
		if got != c.want {
			t.Errorf("%s: %s, committed %s: found %q, want %q", c.name, c.check.Name, c.committed, got, c.want)
		}
	}
	founding := committedOn(path, "2020-09-01")
	founding.Commits[0].Stated = time.Date(2020, 8, 1, 0, 0, 0, 0, time.UTC)
	if fs := Run(b, Options{Trail: founding, Only: []*Check{lateEntry}}).Findings; len(fs) != 0 {
		t.Errorf("a record of work before the book was founded counts as late: %v", fs)
	}
}

// A file of which a commit left no text is taken out as one that it deleted. No outside source.
func TestEmptied(t *testing.T) {
	const name = "running/me1.csv"
	b, err := logbook.Read(folder(t, "testdata/base"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ blob, want string }{
		{emptyText, name + " was emptied"},
		{"aa", ""},
	} {
		trail := committedOn(name, "2020-07-16")
		r := trail.Records[name]
		r.Versions = []logbook.Version{{Commit: 0, Path: name, Blob: "bb"}, {Commit: 1, Path: name, Blob: c.blob}}
		r.Current = 1
		var got string
		for _, f := range Run(b, Options{Trail: trail, Only: []*Check{takenOut}}).Findings {
			got += f.Message
			if f.Facts[1] != "bb" {
				t.Errorf("the last text is %s, want bb", f.Facts[1])
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.blob, got, c.want)
		}
	}
}
