package judging

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// gauges is a book with some gauges of 600 bar and 5-bar marks, each with what is added to its file.
func gauges(t *testing.T, files map[string]string) *logbook.Book {
	t.Helper()
	fs := fstest.MapFS{"book.md": {Data: []byte(bookText)}}
	for id, more := range files {
		fs["instruments/"+strings.ToLower(id)+".md"] = &fstest.MapFile{Data: []byte("---\nid: " + id +
			"\nkind: gauge\nmeasures: pressure\nrange: 0 to 600 bar\n" + more + "---\n")}
	}
	b, err := logbook.Read(fs)
	if err != nil || len(b.Problems) > 0 {
		t.Fatal(err, b.Problems)
	}
	return b
}

func taken(t *testing.T, bar, gauge, date string) Taken {
	t.Helper()
	o, problems := logbook.ReadOverhaul("x", []byte("---\nas_found: {date: "+date+", gauge: "+gauge+", opening_pressure: ["+bar+"]}\n---\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return OpeningTaken(&o.AsFound, 0)
}

// The figures: two gauges, u² = 2 (half²/3 + 5²/12), GUM 4.3.7, F.2.2.1 and 5.1.2; one gauge twice, its class cancels (GUM F.1.2.3) and
// what it may have moved by is left: half of its class by the setting, 4.8 bar, from memory.
func TestDifferenceOfTwoReadings(t *testing.T) {
	b := gauges(t, map[string]string{
		"A": "division: 5 bar\nclass: 1.6\n", "B": "division: 5 bar\nclass: 1.6\n",
		"C": "division: 5 bar\nclass: 1.0\n", "D": "division: 5 bar\nclass: 1.0\n",
		"E": "division: 1 bar\nclass: 1.0\n", "F": "division: 1 bar\nclass: 1.0\nreading: 1 bar\n", "G": "division: 5 bar\n",
	})
	for _, c := range []struct {
		name, one, other, day string
		want, within          float64
	}{
		{"two of class 1.6", "A", "B", "2021-06-01", 16, 0.5},
		{"two of class 1.0", "C", "D", "2021-06-01", 11, 0.5},
		{"one twice on a day", "A", "A", "2021-01-01", 4, 0.1},
		{"one twice, on two days", "A", "A", "2021-06-01", 2 * math.Sqrt(2*25.0/12+4.8*4.8/3), 1e-9},
		{"finer marks, read at the pump", "E", "C", "2021-06-01", 11, 0.5},
		{"finer marks, as closely read", "F", "C", "2021-06-01", 2 * math.Sqrt(2*6.0*6/3+25.0/12+1.0/12), 1e-9},
		{"nothing known of one", "A", "G", "2021-06-01", 0, 0},
	} {
		u, ok := Between(b, taken(t, "320 bar", c.one, "2021-01-01"), taken(t, "310 bar", c.other, c.day))
		if ok != (c.want > 0) || math.Abs(u-c.want) > c.within {
			t.Errorf("%s: ±%v (%v), want ±%v", c.name, u, ok, c.want)
		}
	}
}

// Comparisons with a better gauge replace the class: shown less true is on the average 3, and scatters by 1; worked by hand: the other
// gauge 0.6 % of 600 bar, its 2-bar marks, those of this one, and the scatter of four and of a single day.
func TestComparisonsTellTheError(t *testing.T) {
	compare := func(date string, shows float64) string {
		return fmt.Sprintf("  - {date: %s, against: REF, true: 320 bar, shows: %g bar}\n", date, shows)
	}
	b := gauges(t, map[string]string{
		"REF": "division: 2 bar\nclass: 0.6\n",
		"A": "division: 5 bar\nclass: 1.6\nfound_wrong: [{from: 2020-09-01, to: 2020-10-01, by: 22 bar, why: dropped}]\ncomparisons:\n" +
			compare("2020-01-05", 322) + compare("2020-04-05", 324) + compare("2020-07-05", 323) + compare("2020-09-05", 342) +
			compare("2020-12-05", 323) + compare("2021-07-05", 350),
		"FEW": "division: 5 bar\nclass: 1.6\ncomparisons:\n" + compare("2020-01-05", 322) + compare("2020-04-05", 324),
		"THREE": "division: 5 bar\nclass: 1.6\ncomparisons:\n" + compare("2020-01-05", 322) + compare("2020-04-05", 324) +
			compare("2020-07-05", 323),
		"NEITHER": "division: 5 bar\npoints_uncertainty: 1.2 bar\npoints:\n  - {true: 200 bar, shows: 201 bar}\n" +
			"  - {true: 400 bar, shows: 405 bar}\n",
	})
	s := math.Sqrt(2.0 / 3)
	common := 3.6*3.6/3 + 2.0*2/12 + 5.0*5/12 + s*s/4
	one := taken(t, "320 bar", "A", "2021-01-01")
	off, from, ok := Correction(b, b.Instruments["A"], one.Value, one.Day)
	if !ok || math.Abs(off-3) > 1e-9 || from != "4 comparisons with REF" {
		t.Errorf("correction %v, %q, %v", off, from, ok)
	}
	u, ok := reading{name: "x", value: one.Value, instrument: "A", day: one.Day}.budget(b)
	sum, err := u.Combine()
	if !ok || err != nil || math.Abs(sum.Std-math.Sqrt(common+s*s+25.0/12)) > 1e-9 {
		t.Errorf("u of one reading %v, want %v", sum.Std, math.Sqrt(common+s*s+25.0/12))
	}
	// twice with that gauge: its correction cancels, the scatter of two days and of two readings is left
	if u, ok := Between(b, one, taken(t, "310 bar", "A", "2021-03-01")); !ok || math.Abs(u-2*math.Sqrt(2*(s*s+25.0/12))) > 1e-9 {
		t.Errorf("U of the difference %v, want %v", u, 2*math.Sqrt(2*(s*s+25.0/12)))
	}
	if _, _, ok := Correction(b, b.Instruments["FEW"], one.Value, one.Day); ok {
		t.Error("two comparisons were taken for a correction")
	}
	if off, from, ok := Correction(b, b.Instruments["THREE"], one.Value, one.Day); !ok || math.Abs(off-3) > 1e-9 || from != "3 comparisons with REF" {
		t.Errorf("correction by three comparisons %v, %q, %v", off, from, ok)
	}
	if off, from, ok := Correction(b, b.Instruments["NEITHER"], one.Value, one.Day); ok {
		t.Errorf("correction %v, %q by points, where nothing says how far the gauge has moved since", off, from)
	}
	if _, _, ok := Correction(b, b.Instruments["A"], one.Value, taken(t, "320 bar", "A", "2020-06-01").Day); ok {
		t.Error("a comparison that was still to come was used")
	}
}

// Points of a certificate count straight between two of them, outside of them the class; what the gauge has moved since is the largest
// error it came in with, or by the setting half of its class.
func TestCertificateTellsTheError(t *testing.T) {
	points := "points_uncertainty: 1.2 bar\npoints:\n  - {true: 200 bar, shows: 201 bar}\n  - {true: 400 bar, shows: 405 bar}\n"
	b := gauges(t, map[string]string{
		"A": "division: 5 bar\nclass: 1.0\n" + points,
		"B": "division: 5 bar\nclass: 1.0\nas_found: [{date: 2020-01-01, result: within, error: 2 bar}]\n" + points,
	})
	for _, c := range []struct {
		gauge, bar string
		ok         bool
		off, moved float64
	}{
		{"A", "303 bar", true, 3, 3}, {"A", "201 bar", true, 1, 3}, {"A", "150 bar", false, 0, 0}, {"A", "420 bar", false, 0, 0},
		{"B", "303 bar", true, 3, 2},
	} {
		x := taken(t, c.bar, c.gauge, "2021-01-01")
		off, _, ok := Correction(b, b.Instruments[c.gauge], x.Value, x.Day)
		if ok != c.ok || math.Abs(off-c.off) > 1e-9 {
			t.Errorf("%s at %s: %v, %v", c.gauge, c.bar, off, ok)
		}
		u, _ := reading{name: "x", value: x.Value, instrument: c.gauge, day: x.Day}.budget(b)
		want := math.Sqrt(0.36 + c.moved*c.moved/3 + 25.0/12)
		if !ok {
			want = math.Hypot(6/math.Sqrt(3), 5/math.Sqrt(12))
		}
		if sum, err := u.Combine(); err != nil || math.Abs(sum.Std-want) > 1e-9 {
			t.Errorf("%s at %s: u %v, want %v", c.gauge, c.bar, sum.Std, want)
		}
	}
}

// A correction decides only where it is clear: the limit is at least 305 bar, the gauge of class 1.0 known to about ±4.6 bar.
func TestCorrectedVerdict(t *testing.T) {
	for _, c := range []struct {
		bar, off string
		want     Result
		side     int
	}{
		{"320", "3", Within, 0}, {"320", "13", WithinDoubt, 0}, {"320", "17", WithinDoubt, 0}, {"320", "30", Beyond, -1},
		{"300", "-3", BeyondDoubt, -1}, {"300", "-20", Within, 0}, {"300", "3", Beyond, -1},
	} {
		off, _ := strconv.Atoi(c.off)
		b := gauges(t, map[string]string{"A": "division: 5 bar\nclass: 1.0\ncertificate: K-1\npoints_uncertainty: 1 bar\npoints:\n" +
			fmt.Sprintf("  - {true: 100 bar, shows: %d bar}\n  - {true: 400 bar, shows: %d bar}\n", 100+off, 400+off)})
		v := Verdict{Value: measure.Of(c.bar, measure.Bar), Span: measure.AtLeast(measure.Of("305", measure.Bar)), Result: Within}
		if v.Side = v.Span.Side(v.Value); v.Side != 0 {
			v.Result = Beyond
		}
		(&judge{b: b, o: &logbook.Overhaul{}, show: true}).uncertainty(&v, &logbook.Revision{}, []reading{{name: "x", value: v.Value, instrument: "A"}})
		if v.Result != c.want || v.Side != c.side || !strings.Contains(strings.Join(v.Working, "\n"), "bar: certificate K-1") {
			t.Errorf("%s bar, off by %s: %s, side %d\n%s", c.bar, c.off, v.Result, v.Side, strings.Join(v.Working, "\n"))
		}
	}
}

// Of the time before it a certificate proves only how the instrument came in; how it went out, and its points, hold from its day on.
// Source: ISO/IEC 17025:2017, 7.8.4.1 d (results before and after any adjustment); ILAC-G24, on what as-found data are for.
func TestACertificateProvesBackwardsOnlyWhatCameIn(t *testing.T) {
	points := "calibrated: 2021-06-01\npoints_uncertainty: 1.2 bar\npoints:\n  - {true: 200 bar, shows: 201 bar}\n  - {true: 400 bar, shows: 405 bar}\n"
	b := gauges(t, map[string]string{
		"A": "class: 1.0\n" + points,
		"B": "class: 1.0\nas_found: [{date: 2021-06-01, result: within}]\n" + points,
		"C": "class: 1.0\nas_found: [{date: 2021-06-01, result: outside}]\n" + points,
		"D": "class: 1.0\nas_found: [{date: 2021-06-01, result: within}, {date: 2020-06-01, result: outside}]\n" + points,
		"E": "class: 1.0\n",
	})
	for _, c := range []struct{ gauge, day, why string }{
		{"A", "2021-05-31", "certified on 2021-06-01, after the test"}, {"A", "2021-06-01", ""}, {"A", "2022-01-01", ""},
		{"B", "2021-05-31", ""}, {"C", "2021-05-31", "came in outside its error on 2021-06-01"}, {"C", "2021-06-02", ""},
		{"D", "2021-05-31", ""}, {"D", "2020-05-31", "came in outside its error on 2020-06-01"}, {"E", "2019-01-01", ""},
	} {
		x := taken(t, "303 bar", c.gauge, c.day)
		why := (&judge{b: b}).unproven(reading{instrument: c.gauge, value: x.Value, day: x.Day})
		if c.why == "" && why != "" || !strings.Contains(why, c.why) {
			t.Errorf("%s on %s: %q, want %q", c.gauge, c.day, why, c.why)
		}
		off, _, ok := Correction(b, b.Instruments[c.gauge], x.Value, x.Day)
		if from := c.gauge != "E" && c.day >= "2021-06-01"; ok != from || from && math.Abs(off-3) > 1e-9 {
			t.Errorf("%s on %s: corrected by %v, %v: its points hold from its day on", c.gauge, c.day, off, ok)
		}
	}
}

// Comparisons of an earlier calibration period tell nothing of a later one, when the gauge was adjusted in between. No outside source.
func TestComparisonsAreOfTheirPeriod(t *testing.T) {
	var lines string
	for _, day := range []string{"2020-01-01", "2020-02-01", "2020-03-01"} {
		lines += "  - {date: " + day + ", against: B, true: 300 bar, shows: 306 bar}\n"
	}
	b := gauges(t, map[string]string{"A": "division: 5 bar\nclass: 1.0\ncalibrated: 2021-01-01\ncomparisons:\n" + lines,
		"B": "division: 1 bar\nclass: 0.25\n"})
	for day, want := range map[string]bool{"2020-06-01": true, "2021-06-01": false} {
		x := taken(t, "300 bar", "A", day)
		if off, _, ok := Correction(b, b.Instruments["A"], x.Value, x.Day); ok != want || want && math.Abs(off-6) > 1e-9 {
			t.Errorf("on %s: corrected by %v, %v; want %v", day, off, ok, want)
		}
	}
}
