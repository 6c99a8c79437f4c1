package checks

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// headsBook is a ship with two rings out of ME1-1 on 2020-07-01, one ring too few into ME1-2 on 2020-07-03, and heads
// exchanged.
func headsBook(t *testing.T, exchanged, more string) fstest.MapFS {
	t.Helper()
	files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/rings/two.md")
	book := string(files["book.md"].Data)
	files["book.md"] = &fstest.MapFile{Data: []byte(strings.Replace(book, "accepts:", "head_exchanged:\n"+exchanged+"accepts:", 1))}
	if more != "" {
		files["overhauls/me1/c3/2020-12-01-h-3.md"] = &fstest.MapFile{Data: []byte(more)}
	}
	return files
}

// What is found about a pocket goes with its cylinder head: with the head that is off, by its number; with one that came
// onto another cylinder, to that; the pocket of the new head begins clean, and work in it ends nothing in the old one. An
// answer stays with the finding wherever the head goes. Outside source: common practice, no source.
func TestPocketGoesWithItsHead(t *testing.T) {
	const line = "  - {engine: ME1, cylinder: 1, date: %s, head: CH-9, off: CH-1}\n"
	off := strings.Replace(line, "%s", "2020-08-01", 1)
	sameDay := strings.Replace(line, "%s", "2020-07-01", 1)
	before := strings.Replace(line, "%s", "2020-06-01", 1)
	back := off + "  - {engine: ME1, cylinder: 3, date: 2020-09-01, head: CH-1}\n"
	clear := func(engine, cylinder, day string) string {
		return "---\nholder: H-3\nnozzle: {found: N-3, left: N-3}\n" +
			"removed: {engine: " + engine + ", cylinder: " + cylinder + ", date: " + day + ", rings_out: 1}\n" +
			"fitted: {engine: " + engine + ", cylinder: " + cylinder + ", date: " + day +
			", pocket_faced: yes, rings_in: 1, protrusion: 12.0 mm}\n---\n"
	}
	for _, x := range []struct {
		name, exchanged, more string
		subject, where        string
		group                 Group
		state                 State
	}{
		{"none exchanged", "", "", "ME1-1", "pocket of ME1-1", OnEngines, Open},
		{"another cylinder", strings.Replace(off, "cylinder: 1", "cylinder: 4", 1), "", "ME1-1", "pocket of ME1-1", OnEngines, Open},
		{"off", off, "", "head CH-1", "pocket of head CH-1, off ME1-1 2020-08-01", RecordsToMend, Open},
		{"off, without a number", strings.Replace(off, ", off: CH-1", "", 1), "", "head off ME1-1 2020-08-01",
			"pocket of head off ME1-1 2020-08-01", RecordsToMend, Open},
		{"off that day", sameDay, "", "head CH-1", "pocket of head CH-1, off ME1-1 2020-07-01", RecordsToMend, Open},
		{"exchanged before", before, "", "ME1-1", "pocket of ME1-1", OnEngines, Open},
		{"on another cylinder", back, "", "ME1-3", "pocket of ME1-3", OnEngines, Open},
		{"cleared on another cylinder", back, clear("ME1", "3", "2020-12-01"), "ME1-3", "pocket of ME1-3", OnEngines, ClosedByWork},
		{"the new head cleared", off, clear("ME1", "1", "2020-12-01"), "head CH-1", "pocket of head CH-1, off ME1-1 2020-08-01",
			RecordsToMend, Open},
		{"cleared before it came there", back, clear("ME1", "3", "2020-08-20"), "ME1-3", "pocket of ME1-3", OnEngines, Open},
	} {
		files := headsBook(t, x.exchanged, x.more)
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(x.name, err)
		}
		on := day(t, "2021-01-01")
		r := Run(b, Options{Only: []*Check{rings}, On: on})
		f := ringsAt(r, "2 rings")
		if f == nil {
			t.Errorf("%s: not found: %v", x.name, r.Findings)
			continue
		}
		if f.Subject != (Subject{OfPocket, x.subject}) || r.Where(f) != x.where || r.GroupOf(f) != x.group || f.State != x.state {
			t.Errorf("%s: %s, %s, %s, %s by %q", x.name, f.Subject, r.Where(f), r.GroupOf(f), f.State, f.Ended.Words)
		}
		if f.Asked() != (Subject{OfPocket, "ME1-1"}) || f.Text != ringsAt(Run(mustRead(t, headsBook(t, "", "")), Options{}), "2 rings").Text {
			t.Errorf("%s: an answer to it names %s, %s", x.name, f.Asked(), f.Text)
		}
		if g := ringsAt(r, "0 rings"); g.Subject.Name != "ME1-2" {
			t.Errorf("%s: what is found in ME1-2 is with %s", x.name, g.Subject)
		}
	}
}

// A day before the exchange shows the finding where it was.
func TestPocketOnADayBefore(t *testing.T) {
	b := mustRead(t, headsBook(t, "  - {engine: ME1, cylinder: 1, date: 2020-08-01, head: CH-9, off: CH-1}\n", ""))
	r := Run(b, Options{Only: []*Check{rings}, On: day(t, "2020-07-20")})
	if f := ringsAt(r, "2 rings"); f == nil || f.Subject.Name != "ME1-1" {
		t.Errorf("%+v", f)
	}
}

func mustRead(t *testing.T, files fstest.MapFS) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func ringsAt(r *Report, message string) *Finding {
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Check == rings.Name && strings.HasPrefix(f.Message, message) {
			return f
		}
	}
	return nil
}
