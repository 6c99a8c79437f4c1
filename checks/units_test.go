package checks

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// A ship with main and auxiliary engines, each type with its own limits, and what comes and goes on her: exchange units received with a
// certificate, a valve set again on board, one borrowed from an auxiliary, cylinder heads. The limits are invented.
func unitsBook(t *testing.T, more map[string]string) *logbook.Book {
	t.Helper()
	files := maps.Clone(folder(t, "testdata/base"))
	book := string(files["book.md"].Data)
	book = strings.Replace(book, "opening:\n", "  - {id: AE1, type: 6K20, cylinders: [1, 2], numbered_from: free end, limits: 6k20}\nopening:\n", 1)
	book = strings.Replace(book, "accepts:", "    - {engine: AE1, cylinder: 1, holder: \"A-1\", nozzle: \"NA-1\", counter: 500 h, left: 250 bar}\n"+
		"    - {engine: AE1, cylinder: 2, holder: \"A-2\", nozzle: \"NA-2\", counter: 500 h, left: 250 bar}\n"+more["opening"]+"accepts:", 1)
	files["book.md"] = &fstest.MapFile{Data: []byte(book)}
	files["limits/6k20.md"] = &fstest.MapFile{Data: []byte("---\ntype: 6K20\nrevisions:\n  - from: 2020-01-01\n    source: owner's manual 6K20\n    opening_pressure: {used: 250 +10/-0 bar, new: 265 +10/-0 bar}\n---\n")}
	files["hours/ae1.csv"] = &fstest.MapFile{Data: []byte("date,counter_h,note\n2020-01-01,500,\n2020-07-01,2300,\n2021-01-01,4100,\n2021-04-01,4900,\n")}
	for name, text := range more {
		if name != "opening" {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// saidOf are the findings of a book with their state: "open: opening pressure …".
func saidOf(t *testing.T, b *logbook.Book) (all []string) {
	t.Helper()
	r := Run(b, Options{})
	for _, f := range r.Findings {
		if f.Check == CheckFailed {
			t.Errorf("a check failed: %s", f.Message)
		}
		all = append(all, f.State.String()+": "+f.Message)
		for _, x := range f.Related {
			if _, told := x.Follows(); told {
				all = append(all, "under "+f.Check+": "+x.Words)
			}
		}
	}
	return all
}

const certified = "---\nholder: \"H-20\"\nnozzle: {left: \"N-20\"}\nreceived: {date: 2020-06-01, from: a workshop, certificate: WC-1, for: ME1, state: used, marking: as certified, caps: in place,\n" +
	"  opened_aboard: {date: 2020-06-02, gauge: PG-1, bench: B-1, opening_pressure: [280 bar]}}\nmeasured: {lift: 0.54 mm}\nas_left: {date: 2019-12-20, opening_pressure: [305 bar]}\nby: b.three\n---\n"

// What an opening on board shows is not undone by the workshop's test before it; a test before the book began is no slip, and nothing that
// another engine is asked for is told under it.
func TestUnitReceived(t *testing.T) {
	all := saidOf(t, unitsBook(t, map[string]string{"overhauls/spares/2020-06-01-h-20.md": certified}))
	if !slices.Contains(all, "open: opening pressure aboard 280 bar is 20 bar below the band 300 to 310 bar (used)") {
		t.Errorf("the opening on board is not told:\n%s", strings.Join(all, "\n"))
	}
	for _, line := range all {
		if strings.Contains(line, "before the book begins") || strings.Contains(line, "not aboard") || strings.HasPrefix(line, "under ") {
			t.Errorf("%s", line)
		}
	}
	again := "---\nholder: \"H-20\"\nnozzle: {found: \"N-20\", left: \"N-20\"}\nas_left: {date: 2020-06-10, gauge: PG-1, bench: B-1, opening_pressure: [305 bar, 305 bar, 305 bar]}\nby: b.three\n---\n"
	all = saidOf(t, unitsBook(t, map[string]string{"overhauls/spares/2020-06-01-h-20.md": certified, "overhauls/spares/2020-06-10-h-20.md": again}))
	if !slices.Contains(all, "closed by work: opening pressure aboard 280 bar is 20 bar below the band 300 to 310 bar (used)") {
		t.Errorf("set again on board, and it is open still:\n%s", strings.Join(all, "\n"))
	}
}

// A finding that cannot be right is told under the record that misplaces a valve of its own engine, never under one of a valve in the
// spares rack.
func TestOtherValvesAreToldForThemselves(t *testing.T) {
	early := strings.Replace(certified, "received: {date: 2020-06-01", "received: {date: 2019-06-01", 1)
	high := "---\nholder: \"H-1\"\nnozzle: {found: \"N-1\"}\nremoved: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 2800 h, reason: planned}\nby: x.nobody\n---\n"
	all := saidOf(t, unitsBook(t, map[string]string{"overhauls/spares/2020-06-01-h-20.md": early, "overhauls/me1/c1/2020-07-01-h-1.md": high,
		"running/ae1.csv": "date,cylinder,exhaust_deviation_k,load_pct\n2020-07-01,1,40,80\n"}))
	found := false
	for _, line := range all {
		found = found || strings.HasPrefix(line, "open: 2019-06-01 lies before the book begins")
		if strings.HasPrefix(line, "under date-order") && (strings.Contains(line, "ME1") || strings.Contains(line, "ME2")) {
			t.Errorf("%s", line)
		}
	}
	if !found {
		t.Errorf("a valve received before the book began is no slip:\n%s", strings.Join(all, "\n"))
	}
}

// A record that names no engine is judged beside a limit that others miss.
func TestRecordWithoutAnEngine(t *testing.T) {
	dry := "---\nholder: \"Z-9\"\nnozzle: {left: \"NZ-9\"}\nas_left: {date: 2020-08-01, opening_pressure: [305 bar]}\nby: b.three\n---\n"
	low := func(cylinder string) string {
		return "---\nholder: \"H-" + cylinder + "\"\nremoved: {engine: ME1, cylinder: " + cylinder + ", date: 2020-07-01, counter: 2800 h, reason: planned}\n" +
			"as_found: {date: 2020-07-01, gauge: PG-1, opening_pressure: [281 bar, 281 bar, 282 bar], seat: {at: 255 bar, for: 10 s, state: dry}}\nby: b.three\n---\n"
	}
	saidOf(t, unitsBook(t, map[string]string{"overhauls/spares/2020-08-01-z-9.md": dry, "overhauls/me1/c1/2020-07-01-h-1.md": low("1"), "overhauls/me1/c2/2020-07-01-h-2.md": low("2")}))
}
