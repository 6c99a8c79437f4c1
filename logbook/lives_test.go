package logbook

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// small is a book of one engine with two cylinders, four holders and a counter that is replaced.
func small(t *testing.T, files map[string]string) *Book {
	t.Helper()
	all := fstest.MapFS{}
	base := map[string]string{
		"book.md": `---
vessel: X
engines:
  - {id: ME1, cylinders: [1, 2]}
opening:
  date: 2020-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, nozzle_hours: 500 h, left: 300 bar}
    - {engine: ME1, cylinder: 2, holder: "H-2", nozzle: "N-2", counter: 1000 h, nozzle_hours: 700 h, left: 300 bar}
  spares:
    - {holder: "H-3", nozzle: "N-3", nozzle_hours: 0 h, left: 320 bar}
---
`,
		"hours/me1.csv": "date,counter_h,note\n2020-01-01,1000,\n2020-06-01,3000,\n2020-07-01,0,replaced: old counter ended at 3500\n2020-12-01,2000,\n",
		"overhauls/me1/c1/2020-03-01-h-1.md": `---
holder: "H-1"
nozzle: {found: "N-1", left: "N-1"}
removed: {engine: ME1, cylinder: 1, date: 2020-03-01, counter: 1800 h}
as_left: {date: 2020-03-05, opening_pressure: [300 bar, 305 bar, 300 bar]}
stored: {date: 2020-03-05, place: 1}
fitted: {engine: ME1, cylinder: 2, date: 2020-06-01, counter: 3000 h}
---
`,
		"overhauls/me1/c2/2020-06-01-h-2.md": `---
holder: "H-2"
nozzle: {found: "N-2", left: "N-9"}
removed: {engine: ME1, cylinder: 2, date: 2020-06-01, counter: 3000 h}
as_left: {date: 2020-06-02, opening_pressure: [320 bar]}
---
`,
		"overhauls/me1/c2/2020-12-01-h-1.md": `---
holder: "H-1"
nozzle: {found: "N-1", left: "N-1"}
removed: {engine: ME1, cylinder: 2, date: 2020-12-01, counter: 2000 h}
---
`,
	}
	for p, s := range files {
		base[p] = s
	}
	for p, s := range base {
		if s != "" {
			all[p] = &fstest.MapFile{Data: []byte(s)}
		}
	}
	b, err := Read(all)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func life(periods []*ServicePeriod) string {
	var out []string
	for _, s := range periods {
		out = append(out, fmt.Sprintf("%s %s/%s %s..%s %.0f h", s.Position, s.Holder, s.Nozzle, s.From, s.To, s.Hours))
	}
	return strings.Join(out, "; ")
}

func TestLives(t *testing.T) {
	b := small(t, nil)
	l := b.Lives()
	if len(l.Faults) > 0 || len(b.Problems) > 0 {
		t.Fatalf("faults %v, problems %v", l.Faults, b.Problems)
	}
	// Across the replaced counter: 3000 h at the fitting, 3500 + 2000 h in all at the removal.
	if got, want := life(l.OfHolder("H-1")), "ME1-1 H-1/N-1 2020-01-01..2020-03-01 800 h; ME1-2 H-1/N-1 2020-06-01..2020-12-01 2500 h"; got != want {
		t.Errorf("H-1: %s\nwant %s", got, want)
	}
	day := func(s string) Day { d, _ := ParseDay(s); return d }
	for _, c := range []struct {
		nozzle, on string
		want       float64
	}{{"N-1", "2020-03-01", 1300}, {"N-1", "2020-05-01", 1300}, {"N-1", "2020-12-01", 3800}, {"N-2", "2020-12-01", 2700}, {"N-9", "2020-12-01", 0}} {
		if got, known := l.NozzleHours(c.nozzle, day(c.on)); got != c.want || !known {
			t.Errorf("%s on %s: %.0f h (known %v), want %.0f h", c.nozzle, c.on, got, known, c.want)
		}
	}
	if s := l.At(Position{"ME1", "2"}, day("2020-08-01")); s == nil || s.Holder != "H-1" {
		t.Errorf("in ME1-2 in August: %v", s)
	}
	if s := l.At(Position{"ME1", "1"}, day("2020-08-01")); s != nil {
		t.Errorf("in ME1-1 in August: %v, want nothing", s)
	}
	var rack []string
	for _, r := range l.Rack(day("2020-08-01")) {
		rack = append(rack, r.Holder+"/"+r.Nozzle+" "+r.Since.String())
	}
	if got := strings.Join(rack, "; "); got != "H-2/N-9 2020-06-02; H-3/N-3 2020-01-01" {
		t.Errorf("rack in August: %s", got)
	}
	first, second, third := b.Overhaul("2020-03-01-h-1"), b.Overhaul("2020-06-01-h-2"), b.Overhaul("2020-12-01-h-1")
	if c := l.ClassOf(first); c != Used {
		t.Errorf("the first build is %s, want used", c)
	}
	if c := l.ClassOf(second); c != New {
		t.Errorf("a build with a nozzle that never ran is %s, want new", c)
	}
	if left, ok := l.LeftBefore(third); !ok || left.Opening.String() != "300 bar" || left.Overhaul != first {
		t.Errorf("H-1 was left %v before its last removal", left)
	}
	if left, ok := l.LeftBefore(first); !ok || left.Opening.String() != "300 bar" || left.Overhaul != nil {
		t.Errorf("H-1 was left %v before its first removal", left)
	}
}

// A valve that was fitted and came out on no record is no ready spare: not one from before the book, nor one of it.
func TestFittedIsNotReady(t *testing.T) {
	over := func(holder, day, counter string) string {
		at := fmt.Sprintf("{engine: ME1, cylinder: 1, date: %s, counter: %s}", day, counter)
		return fmt.Sprintf("---\nholder: %q\nnozzle: {left: \"N-7\"}\nas_left: {date: %s, opening_pressure: [300 bar]}\nfitted: %s\n---\n", holder, day, at)
	}
	b := small(t, map[string]string{
		"overhauls/me1/c1/2015-03-01-h-8.md": over("H-8", "2015-03-01", "10 h"),
		"overhauls/me1/c1/2015-04-01-h-3.md": over("H-3", "2015-04-01", "20 h"),
		"overhauls/me1/c1/2020-07-02-h-9.md": over("H-9", "2020-07-02", "10 h"),
		"overhauls/me1/c1/2020-08-02-h-4.md": over("H-4", "2020-08-02", "90 h"),
	})
	var ready []string
	for _, r := range b.Lives().Rack(b.Today()) {
		ready = append(ready, r.Holder+" "+r.Since.String())
	}
	if got := strings.Join(ready, "; "); got != "H-2 2020-06-02; H-3 2020-01-01" {
		t.Errorf("ready: %s; want H-2, and H-3 as the opening state has it", got)
	}
}

func TestContradictions(t *testing.T) {
	kinds := func(b *Book) string {
		var out []string
		for _, f := range b.Lives().Faults {
			out = append(out, fmt.Sprintf("%s %s %s vs %s", f.Kind, f.Position, f.Holder, f.Other))
		}
		return strings.Join(out, "; ")
	}
	rec := func(holder, removed, fitted string) string {
		return fmt.Sprintf("---\nholder: %q\nnozzle: {found: \"N-1\", left: \"N-1\"}\nremoved: %s\nas_left: {date: 2020-03-05}\nfitted: %s\n---\n", holder, removed, fitted)
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"one holder in two positions", map[string]string{
			"overhauls/me1/c2/2020-12-01-h-1.md": "",
			"overhauls/me1/c1/2020-07-02-h-4.md": rec("H-1", "not done (new)", "{engine: ME1, cylinder: 1, date: 2020-07-02, counter: 10 h}"),
		}, "two-places ME1-1 H-1 vs ME1-2"},
		{"removal names another holder", map[string]string{
			"overhauls/me1/c1/2020-03-01-h-1.md": rec("H-7", "{engine: ME1, cylinder: 1, date: 2020-03-01, counter: 1800 h}", "not done (rack)"),
			"overhauls/me1/c2/2020-12-01-h-1.md": "",
		}, "other-valve ME1-1 H-7 vs H-1"},
		{"fitted over another valve", map[string]string{
			"overhauls/me1/c2/2020-06-01-h-2.md": "",
			"overhauls/me1/c2/2020-12-01-h-1.md": "",
		}, "occupied ME1-2 H-1 vs H-2"},
		{"removed where nothing was fitted", map[string]string{
			"overhauls/me1/c1/2020-08-01-h-5.md": rec("H-5", "{engine: ME1, cylinder: 1, date: 2020-08-01, counter: 100 h}", "not done (rack)"),
		}, "nothing-there ME1-1 H-5 vs "},
	} {
		if got := kinds(small(t, c.files)); got != c.want {
			t.Errorf("%s: faults %q, want %q", c.name, got, c.want)
		}
	}
}

// A valve that had run in its position before the book began brings those hours with it; the nozzle's own are stated apart.
func TestHoursBeforeTheBook(t *testing.T) {
	book := `---
vessel: X
engines:
  - {id: ME1, cylinders: [1, 2]}
opening:
  date: 2020-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, since: 400 h, nozzle_hours: 500 h, left: 300 bar}
    - {engine: ME1, cylinder: 2, holder: "H-2", nozzle: "N-2", counter: 1000 h, since: 300 h, nozzle_hours: 700 h, left: 300 bar}
---
`
	l := small(t, map[string]string{"book.md": book, "overhauls/me1/c2/2020-06-01-h-2.md": "", "overhauls/me1/c2/2020-12-01-h-1.md": "",
		"overhauls/me1/c1/2020-03-01-h-1.md": "---\nholder: \"H-1\"\nnozzle: {found: \"N-1\"}\nremoved: {engine: ME1, cylinder: 1, date: 2020-03-01, counter: 1800 h}\n---\n"}).Lives()
	end, _ := ParseDay("2020-12-01")
	if s := l.OfHolder("H-1")[0]; s.Hours != 1200 {
		t.Errorf("H-1 ran %.0f h in its position, want 400 before the book and 800 in it", s.Hours)
	}
	if h, _ := l.NozzleHours("N-1", end); h != 1300 {
		t.Errorf("N-1 ran %.0f h in all, want 500 before the book and 800 in it", h)
	}
	unread := small(t, map[string]string{"book.md": book, "hours/me1.csv": "", "overhauls/me1/c2/2020-06-01-h-2.md": "", "overhauls/me1/c2/2020-12-01-h-1.md": ""}).Lives()
	if h, known := unread.HoursOn(unread.OfHolder("H-2")[0], end); known {
		t.Errorf("H-2 is said to have run %.0f h though its engine's counter was never read again", h)
	}
	silent := small(t, map[string]string{"book.md": strings.Replace(book, "nozzle_hours: 700 h, ", "", 1), "overhauls/me1/c2/2020-06-01-h-2.md": "", "overhauls/me1/c2/2020-12-01-h-1.md": ""}).Lives()
	if h, known := silent.NozzleHours("N-2", end); known {
		t.Errorf("N-2, whose hours before the book are not stated, is said to have run %.0f h", h)
	}
	if h, known := l.HoursOn(l.OfHolder("H-2")[0], end); h != 300+4500 || !known {
		t.Errorf("H-2 has run %.0f h (known %v), want 300 before the book and 4500 in it", h, known)
	}
}

// What ran to a removal whose fitting is not in the book, as older sheets give them, is what the record states; where it
// states nothing nobody knows. Never is it 0 h.
func TestRemovalWithoutItsFitting(t *testing.T) {
	record := func(hours string) *Lives {
		return small(t, map[string]string{"book.md": "---\nvessel: X\nengines:\n  - {id: ME1, cylinders: [1, 2]}\n---\n",
			"overhauls/me1/c1/2020-03-01-h-1.md": "---\nholder: H-1\nnozzle: {found: N-1}\nremoved: {engine: ME1, cylinder: 1, date: 2020-03-01" +
				hours + "}\n---\n"}).Lives()
	}
	before, _ := ParseDay("2020-02-29")
	after, _ := ParseDay("2020-03-01")
	for _, c := range []struct {
		hours         string
		holder        float64
		holderIsKnown bool
	}{{", hours: 4012 h", 4012, true}, {"", 0, false}} {
		l := record(c.hours)
		if h, known := l.HolderHours("H-1", after); h != c.holder || known != c.holderIsKnown {
			t.Errorf("%q: the holder has run %.0f h, known %v", c.hours, h, known)
		}
		if h, known := l.NozzleHours("N-1", after); h != c.holder || known {
			t.Errorf("%q: the nozzle has run %.0f h, known %v; what it ran before nobody wrote", c.hours, h, known)
		}
		if h, known := l.HolderHours("H-1", before); h != 0 || !known {
			t.Errorf("%q: before it came out the book had seen nothing of the holder, not %.0f h", c.hours, h)
		}
	}
}

// A valve that goes back on the day it came out brings the hours of its removal, not a share of a week between two readings; and a
// nozzle that bears the number of a holder is another part.
func TestPutBackOnTheSameDay(t *testing.T) {
	l := small(t, map[string]string{
		"book.md": "---\nvessel: X\nengines:\n  - {id: ME1, cylinders: [1]}\nopening:\n  date: 2020-01-01\n  fitted:\n" +
			"    - {engine: ME1, cylinder: 1, holder: \"77\", nozzle: \"N-1\", counter: 1000 h, nozzle_hours: 500 h}\n---\n",
		"hours/me1.csv":                      "date,counter_h\n2020-01-01,1000\n2020-01-05,1080\n2020-01-12,1200\n",
		"overhauls/me1/c1/2020-01-07-77.md":  "---\nholder: \"77\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\nremoved: {engine: ME1, cylinder: 1, date: 2020-01-07, counter: 1081 h}\nfitted: {engine: ME1, cylinder: 1, date: 2020-01-07, counter: 1081 h}\n---\n",
		"overhauls/me1/c1/2020-01-12-77.md":  "---\nholder: \"77\"\nnozzle: {found: \"N-1\", left: \"77\"}\nremoved: {engine: ME1, cylinder: 1, date: 2020-01-12, counter: 1200 h}\nas_left: {date: 2020-01-12}\n---\n",
		"overhauls/me1/c2/2020-06-01-h-2.md": "", "overhauls/me1/c2/2020-12-01-h-1.md": ""}).Lives()
	day, _ := ParseDay("2020-01-07")
	if h, known := l.NozzleHours("N-1", day); h != 581 || !known {
		t.Errorf("N-1 had run %.0f h when it came out (known %v), want 581", h, known)
	}
	if c := l.ClassOf(l.Benches("77")[1]); c != New {
		t.Errorf("holder 77 with the new nozzle 77 is set as %s, want new", c)
	}
}

// On the day of a replacement the reading tells which counter it was.
func TestReplacedCounter(t *testing.T) {
	b := small(t, nil)
	day, _ := ParseDay("2020-07-01")
	for _, c := range []struct {
		day     Day
		reading float64
		want    float64
	}{{day - 1, 3490, 3490}, {day, 3500, 3500}, {day, 0, 3500}, {day, 12, 3512}, {day + 30, 400, 3900}} {
		if got := b.Total("ME1", c.day, c.reading); got != c.want {
			t.Errorf("%.0f h on %s is %.0f h in all, want %.0f h", c.reading, c.day, got, c.want)
		}
	}
	if got, ok := b.TotalOn("ME1", day+Day(76)); !ok || got < 4400 || got > 4600 {
		t.Errorf("half way to the last reading: %.0f h, want about 4500 h", got)
	}
	if today := b.Today(); today.String() != "2020-12-01" {
		t.Errorf("today is %s", today)
	}
}

// Revisions state only what changed; a record is judged by what was in force on its day.
func TestRevisions(t *testing.T) {
	b := small(t, map[string]string{"limits/x.md": `---
type: X
revisions:
  - from: 2020-01-01
    source: manual A
    opening_pressure: {used: 300 +10/-0 bar, as_found: {look: 270 bar, cause: 250 bar}}
    effective_lift: {max: 0.90 mm, safety: yes}
  - from: 2021-01-01
    source: letter B
    opening_pressure: {as_found: {look: 260 bar}}
    holder_wear: {max: 0.05 mm}
---
`})
	l := b.Limits["x"]
	day := func(s string) Day { d, _ := ParseDay(s); return d }
	if _, ok := l.On(day("2019-12-31")); ok {
		t.Error("limits before the first revision")
	}
	early, _ := l.On(day("2020-12-31"))
	late, _ := l.On(day("2021-01-01"))
	if early.HolderWear.Max.Quantity.Valid() || late.HolderWear.Max.String() != "0.05 mm" {
		t.Errorf("holder wear: %v then %v", early.HolderWear.Max, late.HolderWear.Max)
	}
	if late.Opening.AsFound.Look.String() != "260 bar" || late.Opening.AsFound.Cause.String() != "250 bar" || late.Opening.Used.Span.High.String() != "310 bar" {
		t.Errorf("laid over one another: %v", late.Opening)
	}
	if e, ok := l.RevisionOf(late.Opening.AsFound.Cause.Place); !ok || e.Source.Written != "manual A" {
		t.Errorf("the unchanged limit comes from %q", e.Source.Written)
	}
	if e, ok := l.RevisionOf(late.HolderWear.Max.Place); !ok || e.Source.Written != "letter B" {
		t.Errorf("the new limit comes from %q", e.Source.Written)
	}
}

// Every default of a setting reads by its own schema and says where it comes from.
func TestSettings(t *testing.T) {
	s := Settings{}.WithDefaults()
	if s.RoundWithin.String() != "3 d" || s.SetLeast.Int() != 3 {
		t.Errorf("defaults %v, %v", s.RoundWithin, s.SetLeast)
	}
	for _, k := range Kinds() {
		if k.Name != "book" {
			continue
		}
		for _, f := range k.Fields {
			if f.Key != "settings" {
				continue
			}
			for _, g := range f.Fields {
				if g.Default == "" || g.Source == "" || g.Doc == "" {
					t.Errorf("setting %s lacks default, source or documentation", g.Key)
				}
			}
		}
	}
}

// A valve that is moved with no work done goes on with the hours that it had run since it was last worked on, wherever it was; one
// that was worked on begins again. The hours of its nozzle are counted once. Common practice, no source.
func TestMovedUnopened(t *testing.T) {
	const unopened = "as_found: not done (lent)\nassembled: not done (not opened)\nas_left: not done (not opened)\n"
	record := func(holder, nozzle, rest string) string {
		return "---\nholder: \"" + holder + "\"\nnozzle: " + nozzle + "\n" + rest + "---\n"
	}
	const same = `{found: "N-1", left: "N-1"}`
	removed := "removed: {engine: ME1, cylinder: 1, date: 2020-03-01, counter: 1800 h}\n"
	fitted := "fitted: {engine: ME1, cylinder: 2, date: 2020-03-01, counter: 1800 h}\n"
	h2 := record("H-2", `{found: "N-2"}`, "removed: {engine: ME1, cylinder: 2, date: 2020-03-01, counter: 1800 h}\n")
	const since = "counter: 1000 h, since: 200 h, nozzle_hours: 500 h"
	for _, c := range []struct {
		name, first, second string // of the valve; the second record is empty where there is one
		opening             string // of the first valve
		hours               string // of its last stay; "?" where not known
		nozzle              float64
	}{
		{name: "moved", first: record("H-1", same, removed+unopened+fitted), hours: "4700", nozzle: 5000},
		{name: "moved with nothing said of the work", first: record("H-1", same, removed+fitted), hours: "3700", nozzle: 5000},
		{name: "tested as found and moved", first: record("H-1", same, removed+"as_found: {date: 2020-03-01, opening_pressure: [290 bar]}\nas_left: not done (it was good)\n"+fitted), hours: "4700", nozzle: 5000},
		{name: "by way of the rack, in two records", first: record("H-1", same, removed+"stored: {date: 2020-03-01, place: 1}\n"),
			second: record("H-1", `{left: "N-1"}`, "as_left: not done (as it was)\nfitted: {engine: ME1, cylinder: 2, date: 2020-03-03, counter: 1800 h}\n"), hours: "4700", nozzle: 5000},
		{name: "moved and moved again", first: record("H-1", same, removed+unopened+fitted),
			second: record("H-1", same, "removed: {engine: ME1, cylinder: 2, date: 2020-06-01, counter: 3000 h}\n"+unopened+"fitted: {engine: ME1, cylinder: 1, date: 2020-06-01, counter: 3000 h}\n"), hours: "4700", nozzle: 5000},
		{name: "put back where it was, not opened", first: record("H-1", same, removed+unopened+strings.Replace(fitted, "cylinder: 2", "cylinder: 1", 1)), hours: "4700", nozzle: 5000},
		{name: "put back where it was, with nothing said", first: record("H-1", same, removed+strings.Replace(fitted, "cylinder: 2", "cylinder: 1", 1)), hours: "3700", nozzle: 5000},
		{name: "set and tested", first: record("H-1", same, removed+"as_left: {date: 2020-03-01, opening_pressure: [300 bar]}\n"+fitted), hours: "3700", nozzle: 5000},
		{name: "opened", first: record("H-1", same, removed+"inspected: {tip: good}\nas_left: not done (bench broken)\n"+fitted), hours: "3700", nozzle: 5000},
		{name: "worked on between, in two records", first: record("H-1", same, removed+"as_left: {date: 2020-03-02, opening_pressure: [300 bar]}\n"),
			second: record("H-1", `{left: "N-1"}`, "as_left: not done (it was set before)\nfitted: {engine: ME1, cylinder: 2, date: 2020-03-03, counter: 1800 h}\n"), hours: "3700", nozzle: 5000},
		{name: "another nozzle", first: record("H-1", `{found: "N-1", left: "N-3"}`, removed+unopened+fitted), hours: "3700", nozzle: 1300},
		{name: "hours before not known", opening: "nozzle_hours: 500 h", first: record("H-1", same, removed+unopened+fitted), hours: "?"},
	} {
		opening := since
		if c.opening != "" {
			opening = c.opening
		}
		files := map[string]string{
			"book.md": "---\nvessel: X\nengines:\n  - {id: ME1, cylinders: [1, 2]}\nopening:\n  date: 2020-01-01\n  fitted:\n" +
				"    - {engine: ME1, cylinder: 1, holder: \"H-1\", nozzle: \"N-1\", " + opening + "}\n" +
				"    - {engine: ME1, cylinder: 2, holder: \"H-2\", nozzle: \"N-2\", counter: 1000 h}\n---\n",
			"overhauls/me1/c1/2020-03-01-h-1.md": c.first, "overhauls/me1/c2/2020-03-01-h-2.md": h2,
			"overhauls/me1/c2/2020-06-01-h-2.md": "", "overhauls/me1/c2/2020-12-01-h-1.md": ""}
		if c.second != "" {
			files["overhauls/spares/2020-03-03-h-1.md"] = c.second
			if strings.Contains(c.second, "removed") {
				delete(files, "overhauls/spares/2020-03-03-h-1.md")
				files["overhauls/me1/c2/2020-06-01-h-1.md"] = c.second
			}
		}
		b := small(t, files)
		if len(b.Problems) > 0 {
			t.Fatal(c.name, b.Problems)
		}
		l := b.Lives()
		all := l.OfHolder("H-1")
		s := all[len(all)-1]
		got, want := "?", c.hours
		if hours, known := l.HoursOn(s, b.Today()); known {
			got = fmt.Sprint(hours)
		}
		if got != want || s.To != 0 || want != "?" && fmt.Sprint(s.Hours) != want {
			t.Errorf("%s: %s h, stay %s, want %s", c.name, got, life([]*ServicePeriod{s}), want)
		}
		if hours, known := l.NozzleHours("N-1", b.Today()); known != (want != "?") || known && hours != c.nozzle {
			t.Errorf("%s: the nozzle has run %.0f h, known %t, want %.0f", c.name, hours, known, c.nozzle)
		}
	}
}
