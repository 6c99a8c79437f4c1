package checks

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// ostrevane is the example vessel's folder, read once.
func ostrevane(t *testing.T) fstest.MapFS { return folder(t, "../example-vessel") }

// saysOf are the findings of a book by place and check.
func saysOf(t *testing.T, book fstest.MapFS) map[string]Finding {
	t.Helper()
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]Finding{}
	for _, f := range Run(b, Options{}).Findings {
		all[fmt.Sprint(f.Place, " ", f.Check)] = f
	}
	return all
}

// One slip at its source is one finding at its line, and not dozens on innocent records.
func TestPlantedSlipIsOneFinding(t *testing.T) {
	vessel := ostrevane(t)
	before := saysOf(t, vessel)
	const odd = "overhauls/me1/c1/2021-11-03-h-107.md"
	for _, c := range []struct {
		name, path, after, was, is string // the first of was on the page that stands behind after
		check, message             string // the one finding, on the line of the slip
		also                       int    // what else is told, and is true of the record it is told of
	}{
		{"one value where a band belongs", "limits/6qz31.md", "", "as_left: 6.0 .. 40 s", "as_left: 6.0 s", "limit-form", "a band: which side of 6.0 s is allowed", 0},
		{"a limit with a digit too many", "limits/6qz31.md", "", "as_found: 2.5 s ..", "as_found: 25 s ..", "limit-missed", "25 s", 0},
		{"a limit with a digit too few", "limits/6qz31.md", "", "as_left: 6.0 .. 40 s", "as_left: 0.6 .. 4.0 s", "limit-missed", "4.0 s", 0},
		{"a setting with a digit too many", "limits/6qz31.md", "", "used: 320 +10/-0 bar", "used: 3200 +10/-0 bar", "limit-missed", "3200 +10/-0 bar", 2}, // of a record whose opening and closing pressure are exchanged: only the setting told
		{"a lift with a digit too few", "limits/6qz31.md", "", "effective_lift: {max: 0.90 mm", "effective_lift: {max: 0.09 mm", "limit-missed", "0.09 mm", 0},
		{"a gauge's scale without its beginning", "instruments/pg-01.md", "", "range: 0 .. 600 bar", "range: 600 bar", "instrument-form", "read as from 0", 0},
		{"a wrench's scale without its beginning", "instruments/tw-1.md", "", "range: 80 .. 600 N·m", "range: 600 N·m", "limit-form", "both ends of the scale", 0},
		{"another id than the file's name", "instruments/pg-01.md", "", "id: PG-01", "id: PG-10", "instrument-form", "pg-01.md", 0},
		{"a count of cylinders", "book.md", "", "cylinders: [1, 2, 3, 4, 5, 6]", "cylinders: 6", "yaml-form", "cylinders by name", 0},
		{"a comparison a factor ten off", "instruments/pg-01.md", "", "shows: 322 bar", "shows: 32.2 bar", "instrument-form", "32.2 bar", 0},
		{"an interval of hours", "book.md", "", "interval: 2000 h", "interval: 2.0 h", "interval-not-believed", "2.0 h", 0},
		{"an interval with thousands", "book.md", "", "interval: 2000 h", "interval: 2.000 h", "thousands-separator", "2000 h or 2 h", 0},
		{"an interval of centuries", "limits/6qz31.md", "", "interval: 2000 h", "interval: 2000000 h", "interval-not-believed", "2000000 h", 0},
		{"hours above the counter", "book.md", "", "counter: 41250 h, since: 0 h", "counter: 41250 h, since: 91250 h", "hours-above-counter", "91250 h", 0},
		{"leak-down pressures exchanged", odd, "as_left:", "leak_down: {from: 295 bar, to: 235 bar", "leak_down: {from: 235 bar, to: 295 bar", "figure-not-believed", "the two are exchanged", 0},
		{"ten of nine holes open", odd, "as_left:", "open: 9, weak: []", "open: 10, weak: []", "spray-holes", "10 holes open as left, the nozzle has 9", 0},
		{"a hole that is not there", odd, "as_found:", "open: 9, weak: []", "open: 9, weak: [13]", "spray-holes", "weak hole at 13 o'clock as found", 0},
		{"readings without brackets", odd, "as_left:", "[325 bar, 320 bar, 320 bar]", "325 320 320 bar", "yaml-form", "325 320 320 bar", 0},
		{"readings without brackets, by commas", odd, "as_left:", "[325 bar, 320 bar, 320 bar]", "325 bar, 320 bar, 320 bar", "yaml-form", "brackets around a list", 0},
		{"a hole too few in the limits", "limits/6qz31.md", "", "holes: {count: 9", "holes: {count: 8", "limit-missed", "holes.count 8: 128 of 128 records", 0},
		{"a seat's pressure with a digit too many", "limits/6qz31.md", "", "at: opening - 20 bar", "at: opening - 200 bar", "limit-missed", "128 of 128 records", 0},
		{"oil too cold in the limits", "limits/6qz31.md", "", "test_oil: 15 .. 30 °C", "test_oil: 15 .. 20 °C", "limit-missed", "records do not fit", 0},
		{"a calibration that ends too early", "instruments/pg-01.md", "", "calibrated_until: 2024-08-15", "calibrated_until: 2022-08-15", "instrument-not-proven", "72 entries do not fit", 0},
		{"an engine by another id", "book.md", "", "- {id: ME1, name", "- {id: ME3, name", "name-unknown", "136 entries do not fit", 8}, // the files that are named after it, and what its hours would explain
		{"one row in another habit", "hours/me1.csv", "", ",41463,", ",41.463,", "thousands-separator", "41463 or 41.4630", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			book := fstest.MapFS{}
			for p, f := range vessel {
				book[p] = f
			}
			text := string(vessel[c.path].Data)
			from := strings.Index(text, c.after)
			at := from + strings.Index(text[max(from, 0):], c.was)
			if from < 0 || at < from {
				t.Fatalf("%s holds no %q", c.path, c.was)
			}
			book[c.path] = &fstest.MapFile{Data: []byte(text[:at] + c.is + text[at+len(c.was):])}
			line := 1 + strings.Count(text[:at], "\n")
			met, also := 0, 0
			for id, f := range saysOf(t, book) {
				if _, old := before[id]; old {
					continue
				}
				if f.Check == c.check && f.Place.Path == c.path && f.Place.Line == line && strings.Contains(f.Message, c.message) {
					met++
					continue
				}
				if also++; also > c.also {
					t.Errorf("beside the one at %s:%d: %s: %s", c.path, line, id, f.Message)
				}
			}
			if met != 1 {
				t.Errorf("%d findings of %s at %s:%d, want one", met, c.check, c.path, line)
			}
		})
	}
}

// A finding that shows a limit says what it is.
func TestEachLimitHasItsText(t *testing.T) {
	shown := 0
	for id, f := range saysOf(t, ostrevane(t)) {
		if f.Limit != nil {
			if shown++; f.Limit.Text == "" || f.Limit.Source == "" {
				t.Errorf("%s: limit %q of %q", id, f.Limit.Text, f.Limit.Source)
			}
		}
	}
	if shown == 0 {
		t.Error("no finding shows a limit: the test tries nothing")
	}
}

// What many findings rest on is asked once; a few, two rounds, a limit that is said to be tightened, and what must not be
// signed are told one by one.
func TestFolded(t *testing.T) {
	vessel := ostrevane(t)
	b, err := logbook.Read(vessel)
	if err != nil {
		t.Fatal(err)
	}
	c := newCase(b, Options{}, judging.Judge(b))
	var rounds []logbook.Round
	for _, r := range b.Rounds() {
		if len(r.Overhauls) >= 4 {
			rounds = append(rounds, r)
		}
	}
	of := func(n int, grade Grade, rounds ...logbook.Round) (all []Finding) {
		for i := range n {
			o := rounds[i%len(rounds)].Overhauls[i/len(rounds)]
			all = append(all, Finding{Check: "not-aboard", Grade: grade, Place: o.Opening, Message: o.Stem, About: about(o),
				Rests: Rests{Place: logbook.Place{Path: "crew.csv", Line: 2}, Words: "stays of a.person"}})
		}
		return all
	}
	for _, x := range []struct {
		name string
		all  []Finding
		want int
	}{
		{"eight of three rounds", of(8, Advice, rounds[:3]...), 1},
		{"seven of three rounds", of(7, Advice, rounds[:3]...), 7},
		{"eight of two rounds", of(8, Advice, rounds[:2]...), 8},
		{"eight stops of three rounds", of(8, Stop, rounds[:3]...), 8},
	} {
		got := c.folded(slices.Clone(x.all))
		if len(got) != x.want {
			t.Errorf("%s: %d findings, want %d", x.name, len(got), x.want)
		}
		if x.want == 1 && (got[0].Place != x.all[0].Rests.Place || len(got[0].Related) != namedPlaces || got[0].About.Record != "") {
			t.Errorf("%s: told as %+v", x.name, got[0])
		}
	}
	text := string(vessel["limits/6qz31.md"].Data)
	for source, want := range map[string]int{"": 1, " (tightened)": 0} {
		book := ostrevane(t)
		book["limits/6qz31.md"].Data = []byte(strings.Replace(strings.Replace(text, "test_oil: 15 .. 30", "test_oil: 15 .. 20", 1), "revision B\n", "revision B"+source+"\n", 1))
		asked := 0
		for _, f := range saysOf(t, book) {
			if f.Check == limitMissed.Name {
				asked++
			}
		}
		if asked != want {
			t.Errorf("a source that ends %q: %d limits asked about, want %d", source, asked, want)
		}
	}
}

// The quick look of an editor does not tell one by one what the last run asks about once.
func TestLookLeavesWhatIsAskedOnce(t *testing.T) {
	book := ostrevane(t)
	pg := book["instruments/pg-01.md"]
	pg.Data = []byte(strings.Replace(string(pg.Data), "calibrated_until: 2024-08-15", "calibrated_until: 2022-08-15", 1))
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	told := func(last []Finding) (n int) {
		for _, f := range Look(b, Options{Last: last}, b.Overhauls...) {
			if f.Rests.Place.Path == "instruments/pg-01.md" {
				n++
			}
		}
		return n
	}
	if n := told(Run(b, Options{}).Findings); n > 0 {
		t.Errorf("%d findings on a calibration that is asked about", n)
	}
	if told(nil) < 71 {
		t.Error("without the last run nothing is found: the test tries nothing")
	}
}

// The quick look of an editor leaves a limit alone that the last run asks about.
func TestLookLeavesAMissedLimitAlone(t *testing.T) {
	book := ostrevane(t)
	book["limits/6qz31.md"].Data = []byte(strings.Replace(string(book["limits/6qz31.md"].Data), "as_left: 6.0 .. 40 s", "as_left: 60 .. 400 s", 1))
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	report := Run(b, Options{})
	last := report.Findings
	asked := 0
	for _, o := range b.Overhauls {
		for _, v := range report.Judgement.Of(o) {
			if v.Key == "as_left.leak_down.time" && v.Value.Valid() {
				if asked++; v.Result != judging.NoLimitThen || !strings.Contains(v.LimitText, "60 .. 400 s (asked about: limits/6qz31.md:") {
					t.Fatalf("%s: %v by %q", o.Stem, v.Result, v.LimitText)
				}
			}
		}
	}
	in, _ := report.Book.Limits["6qz31"].On(report.Today)
	if asked == 0 || in.LeakDown.AsLeft.Valid() || !strings.Contains(in.LeakDown.AsLeft.Written, "asked about") {
		t.Errorf("%d values; the limit is shown as %q", asked, in.LeakDown.AsLeft.Written)
	}
	short := func(all []Finding) (n int) {
		for _, f := range all {
			if f.Check == leakDownShort.Name && f.Limit != nil && strings.Contains(f.Limit.Text, "60") {
				n++
			}
		}
		return n
	}
	if n := short(Look(b, Options{Last: last}, b.Overhauls...)); n > 0 {
		t.Errorf("%d findings by a limit that is asked about", n)
	}
	if n := short(Look(b, Options{}, b.Overhauls...)); n == 0 {
		t.Error("without the last run nothing is found: the test tries nothing")
	}
}
