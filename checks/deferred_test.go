package checks

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// The chief alone defers a stop on a part in service once, for as long as the book allows: it is deferred until that ends,
// and open again after. What is longer, or his second for the part, defers nothing and says why. Outside source: common
// practice, no source.
func TestChiefDefersOnce(t *testing.T) {
	const limit = "lift: {value: 0.68 mm, with: DG-1}"
	by := func(id, who, rest string) string {
		return "---\nid: " + id + "\nrecord: 2020-07-01-h-1\nlimit: effective_lift\n" + rest +
			"\napproved: {by: " + who + ", date: 2020-07-02, reference: own word}\n---\n"
	}
	for _, x := range []struct {
		name, deferral, other, settings string
		on                              string
		want                            State
		why                             string
	}{
		{name: "72 h", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"), want: Deferred},
		{name: "three days", deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-05"), want: Deferred},
		{name: "three days, of the day of approval", deferral: by("D-2", "c.one", "until: 2020-07-05"), want: Deferred},
		{name: "its last day", deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-05"), on: "2020-07-05", want: Deferred},
		{name: "it has ended", deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-05"), on: "2020-07-06", want: Open},
		{name: "its hours have run", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"), on: "2020-07-12", want: Open},
		{name: "73 h", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 73 h"), want: Open,
			why: "deferral D-2 is by the chief alone, and is longer than 72 h"},
		{name: "four days", deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-06"), want: Open,
			why: "deferral D-2 is by the chief alone, and is longer than 72 h"},
		{name: "the book allows 120 h", settings: "provisional_deferral: 120 h",
			deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-06"), want: Deferred},
		{name: "the book allows 24 h", settings: "provisional_deferral: 24 h",
			deferral: by("D-2", "c.one", "from: 2020-07-02\nuntil: 2020-07-05"), want: Open,
			why: "deferral D-2 is by the chief alone, and is longer than 24 h"},
		{name: "the second engineer's", deferral: by("D-2", "a.two", "from: 2020-07-02\nhours: 48 h"), want: Open,
			why: "deferral D-2 was approved by a.two, neither chief engineer that day nor ashore"},
		{name: "the office's, longer", deferral: by("D-2", "s.ashore", "from: 2020-07-02\nhours: 500 h"), want: Deferred},
		{name: "his second", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"), want: Open,
			other: by("D-1", "c.one", "from: 2020-07-01\nhours: 48 h"),
			why:   "deferral D-2 is the chief's second for nozzle N-1, after D-1: the office gives it"},
		{name: "after one of his that did not count", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"),
			other: by("D-1", "c.one", "from: 2020-07-01\nhours: 480 h"), want: Deferred},
		{name: "after the office's", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"),
			other: by("D-1", "s.ashore", "from: 2020-07-01\nhours: 48 h"), want: Deferred},
		{name: "before his second", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"),
			other: by("D-3", "c.one", "from: 2020-07-03\nhours: 48 h"), want: Deferred},
		{name: "after his for another part", deferral: by("D-2", "c.one", "from: 2020-07-02\nhours: 72 h"), want: Deferred,
			other: strings.Replace(by("D-1", "c.one", "from: 2020-07-01\nhours: 48 h"), "record: 2020-07-01-h-1", "nozzle: N-2", 1)},
	} {
		files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/effective-lift-over/deferred.txtar")
		const record = "overhauls/me1/c1/2020-07-01-h-1.md"
		text := strings.NewReplacer("deferral: D-1", "deferral: D-2\nfitted: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 2800 h}").
			Replace(string(files[record].Data))
		files[record] = &fstest.MapFile{Data: []byte(text)}
		delete(files, "deferrals/d-1.md")
		files["deferrals/d-2.md"] = &fstest.MapFile{Data: []byte(x.deferral)}
		if x.other != "" {
			_, id, _ := strings.Cut(x.other, "id: D-")
			files[fmt.Sprintf("deferrals/d-%s.md", id[:1])] = &fstest.MapFile{Data: []byte(x.other)}
		}
		if x.settings != "" {
			book := strings.Replace(string(files["book.md"].Data), "accepts:", "settings: {"+x.settings+"}\naccepts:", 1)
			files["book.md"] = &fstest.MapFile{Data: []byte(book)}
		}
		if x.on == "" {
			x.on = "2020-07-03"
		}
		r := Run(mustRead(t, files), Options{Only: []*Check{effectiveLiftOver}, On: day(t, x.on)})
		if len(r.Findings) != 1 || !strings.Contains(text, limit) {
			t.Fatalf("%s: %v", x.name, r.Findings)
		}
		f := r.Findings[0]
		if f.Grade != Stop || f.State != x.want || !strings.Contains(f.Next, x.why) || strings.Contains(f.Next, "chief") != (x.why != "") {
			t.Errorf("%s: %s, %s, next %q; want %s, %q", x.name, f.Grade, f.State, f.Next, x.want, x.why)
		}
	}
}

// Any stop about a part or its place is deferred by a deferral that names its check or its limit, and none by one for
// another limit; what no later work ends is deferred by nothing. Outside source: common practice, no source.
func TestStopsAreDeferred(t *testing.T) {
	for _, x := range []struct {
		k           *Check
		file, limit string
		want        State
	}{
		{sealNotRenewed, "reused.md", "seal-not-renewed", Deferred},
		{sealNotRenewed, "reused.md", "effective_lift", Open},
		{seatLeaksAsLeft, "", "seat", Deferred},
		{seatLeaksAsLeft, "", "seat-leaks-as-left", Deferred},
		{seatLeaksAsLeft, "", "leak_down", Open},
		{settingOutOfBand, "", "opening_pressure", Deferred},
		{sprayAsLeft, "", "spray-as-left", Deferred},
		{markingNotPermitted, "", "marking-not-permitted", Open},
	} {
		files, trail, r, f := opened(t, folder(t, "testdata/base"), x.k, x.file)
		o := r.Book.Overhaul(f.About.Record)
		if o == nil || f.Grade != Stop {
			t.Fatalf("%s: no stop on a record: %v", x.k.Name, f)
		}
		text := string(files[o.Path].Data)
		end := strings.LastIndex(text, "\n---") + 1
		files[o.Path] = &fstest.MapFile{Data: []byte(text[:end] + "deferral: D-2\n" + text[end:])}
		files["deferrals/d-2.md"] = &fstest.MapFile{Data: []byte("---\nid: D-2\nrecord: " + o.Stem + "\nlimit: " + x.limit +
			"\nfrom: " + r.Today.String() + "\nhours: 500 h\napproved: {by: s.ashore, date: " + r.Today.String() + ", reference: letter}\n---\n")}
		is, g := became(t, files, trail, x.k, f)
		if is != x.want || (g.Deferral != nil) != (x.want == Deferred) {
			t.Errorf("%s with a deferral of %s: %s, want %s: %s", x.k.Name, x.limit, is, x.want, g.Next)
		}
	}
}

// A deferral covers what exceeds its limit where the record names it, or where it names the record: what the office gives later changes
// no record that was countersigned. One that covers nothing says why. Outside source: common practice, no source.
func TestDeferralAndItsRecord(t *testing.T) {
	for _, x := range []struct {
		name, record, deferral string
		want                   State
		why                    string
	}{
		{name: "the record names it", record: "deferral: D-2\n", deferral: "limit: lift\nnozzle: N-1\n", want: Deferred},
		{name: "it names the record", deferral: "limit: lift\nrecord: 2020-07-01-h-1\n", want: Deferred},
		{name: "by the whole key", deferral: "limit: lift.max\nrecord: 2020-07-01-h-1\n", want: Deferred},
		{name: "by the check", deferral: "limit: worn-part-returns\nrecord: 2020-07-01-h-1\n", want: Deferred},
		{name: "another limit", deferral: "limit: holder_wear\nrecord: 2020-07-01-h-1\n", want: Open, why: "deferral D-2 is for another limit, holder_wear"},
		{name: "another record", record: "deferral: D-2\n", deferral: "limit: lift\nrecord: 2019-01-01-h-1\n", want: Open, why: "deferral D-2 is for another record, 2019-01-01-h-1"},
		{name: "no record", deferral: "limit: lift\nnozzle: N-1\n", want: Open, why: "deferral D-2 names no record: write record: 2020-07-01-h-1 in it"},
		{name: "no record, by the holder", deferral: "limit: lift\nholder: H-1\n", want: Open, why: "deferral D-2 names no record"},
		{name: "another nozzle", deferral: "limit: lift\nnozzle: N-2\n", want: Open},
		{name: "not in the book", record: "deferral: D-9\n", deferral: "limit: lift\nnozzle: N-2\n", want: Open, why: "deferral D-9 is not in the book"},
	} {
		files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/worn-part-returns/stroke.txtar")
		const record = "overhauls/me1/c1/2020-07-01-h-1.md"
		text := strings.Replace(string(files[record].Data), "decided:", x.record+"decided:", 1)
		files[record] = &fstest.MapFile{Data: []byte(text)}
		files["deferrals/d-2.md"] = &fstest.MapFile{Data: []byte("---\nid: D-2\n" + x.deferral +
			"from: 2020-07-02\nhours: 500 h\napproved: {by: s.ashore, date: 2020-07-02, reference: letter}\n---\n")}
		r := Run(mustRead(t, files), Options{Only: []*Check{wornPartReturns, nameUnknown}, On: day(t, "2020-07-03")})
		for _, f := range r.Findings {
			if f.Check == nameUnknown.Name && f.Place.Path == "deferrals/d-2.md" && x.want == Deferred {
				t.Errorf("%s: %s", x.name, f.Message)
			}
			if f.Check == wornPartReturns.Name && (f.State != x.want || !strings.Contains(f.Next, x.why) || x.why == "" && strings.Contains(f.Next, "D-")) {
				t.Errorf("%s: %s, next %q; want %s, %q", x.name, f.State, f.Next, x.want, x.why)
			}
		}
	}
}
