package logbook

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// weekly writes readings a week and 105 h apart.
func weekly(from string, n, counter int) string {
	day, err := ParseDay(from)
	if err != nil {
		panic(err)
	}
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%s,%d,\n", day+Day(7*i), counter+105*i)
	}
	return b.String()
}

// TestToday: one line with a wrong year does not move the day of the book; a lay-up is believed once three days lie behind it.
// Common practice, no source.
func TestToday(t *testing.T) {
	const head = "date,counter_h,note\n"
	book := weekly("2024-01-01", 10, 41000) // the last one on 2024-03-04, 41945 h
	for _, c := range []struct {
		name, me1, me2 string
		record         string // day of an overhaul
		latest         string
		today          string
		astray         string // dates that are found
	}{
		{name: "as it is", me1: book, today: "2024-03-04"},
		{name: "a year ahead", me1: book + "2042-03-05,42260,\n", today: "2024-03-04", astray: "2042-03-05"},
		{name: "digits of the year exchanged", me1: book + "2204-03-11,42050,\n", today: "2024-03-04", astray: "2204-03-11"},
		{name: "next year", me1: book + "2025-03-11,42050,\n", today: "2024-03-04", astray: "2025-03-11"},
		{name: "two in a row", me1: book + "2042-03-11,42050,\n2042-03-18,42155,\n", today: "2024-03-04", astray: "2042-03-11 2042-03-18"},
		{name: "in both engines", me1: book + "2042-03-11,42050,\n", me2: book + "2042-03-11,42050,\n", today: "2024-03-04", astray: "2042-03-11 2042-03-11"},
		{name: "in the middle", me1: strings.Replace(book, "2024-02-05", "2044-02-05", 1), today: "2024-03-04", astray: "2044-02-05"},
		{name: "the first one", me1: strings.Replace(book, "2024-01-01", "1924-01-01", 1), today: "2024-03-04", astray: "1924-01-01"},
		{name: "the century before", me1: "1924-01-01,40900,\n" + book, today: "2024-03-04", astray: "1924-01-01"},
		{name: "a gap of two months", me1: book + "2024-05-02,42600,\n", today: "2024-05-02"},
		{name: "a lay-up, one reading since", me1: book + "2025-04-01,41950,\n", today: "2024-03-04", astray: "2025-04-01"},
		{name: "a lay-up, three readings since", me1: book + weekly("2025-04-01", 3, 41950), today: "2025-04-15"},
		{name: "a lay-up of one engine", me1: book + "2025-01-06,41950,\n", me2: weekly("2024-01-01", 54, 41000), today: "2025-01-06"},
		{name: "one reading", me1: "2024-01-01,41000,\n", today: "2024-01-01"},
		{name: "two readings", me1: "2024-01-01,41000,\n2024-06-01,43000,\n", today: "2024-06-01"},
		{name: "two readings, one of a wrong year", me1: "2024-01-01,41000,\n2042-06-01,43000,\n", record: "2024-05-30", today: "2024-01-01", astray: "2042-06-01"},
		{name: "a year between readings", me1: "2020-01-01,1000,\n2021-01-01,4000,\n2022-01-01,7000,\n2023-01-01,10000,\n2025-01-01,16000,\n", today: "2025-01-01"},
		{name: "a record of a wrong year", me1: book, record: "2204-02-28", today: "2024-03-04"},
		{name: "no reading", record: "2024-02-28", today: "2024-02-28"},
		{name: "a counter replaced", me1: book + "2024-03-11,5,replaced: old counter ended at 42000\n2024-03-18,110,\n", today: "2024-03-18"},
		{name: "a digit too many", me1: book + "2024-03-11,420500,\n", today: "2024-03-04"},
		{name: "today is known", me1: book + "2024-03-11,42050,\n", latest: "2024-03-05", today: "2024-03-04", astray: "2024-03-11"},
		{name: "today is later", me1: book, latest: "2026-01-01", today: "2024-03-04"},
	} {
		for _, ends := range []string{"\n", "\r\n"} {
			files := fstest.MapFS{"book.md": {Data: []byte("---\nvessel: T\nengines:\n  - {id: ME1, cylinders: [1]}\n  - {id: ME2, cylinders: [1]}\n---\n")}}
			for name, rows := range map[string]string{"hours/me1.csv": c.me1, "hours/me2.csv": c.me2} {
				if rows != "" {
					files[name] = &fstest.MapFile{Data: []byte("\xef\xbb\xbf" + strings.ReplaceAll(head+rows, "\n", ends))}
				}
			}
			if c.record != "" {
				files["overhauls/me1/c1/"+c.record+"-h-1.md"] = &fstest.MapFile{Data: []byte("---\nholder: \"H-1\"\nremoved: {engine: ME1, cylinder: 1, date: " + c.record + "}\n---\n")}
			}
			var latest Day
			if c.latest != "" {
				latest, _ = ParseDay(c.latest)
			}
			b, err := ReadUntil(t.Context(), files, latest)
			if err != nil {
				t.Fatal(err)
			}
			var astray []string
			for _, p := range b.Problems {
				if p.Slip == SlipDayAstray {
					astray = append(astray, p.Found)
				}
			}
			if got := strings.Join(astray, " "); b.Today().String() != c.today || got != c.astray {
				t.Errorf("%s: the day of the book is %s with %q astray, want %s and %q", c.name, b.Today(), got, c.today, c.astray)
			}
		}
	}
}

// TestHoursPassOverWhatCannotBe: a reading that cannot be tells no hours, the first one neither; an unentered new counter stays one.
func TestHoursPassOverWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		name string
		rows []string
		on   string
		want float64
	}{
		{"in order", []string{"2024-01-01 1000", "2024-01-11 1100", "2024-01-21 1200"}, "2024-01-16", 1150},
		{"a digit too many", []string{"2024-01-01 1000", "2024-01-11 11000", "2024-01-21 1200", "2024-01-31 1300"}, "2024-01-11", 1100},
		{"a digit lost", []string{"2024-01-01 1000", "2024-01-11 110", "2024-01-21 1200", "2024-01-31 1300"}, "2024-01-11", 1100},
		{"two in a row", []string{"2024-01-01 1000", "2024-01-11 11000", "2024-01-21 11100", "2024-01-31 1300", "2024-02-10 1400", "2024-02-20 1500"}, "2024-01-16", 1150},
		{"the first", []string{"2024-01-01 9100", "2024-01-11 1100", "2024-01-21 1200", "2024-01-31 1300"}, "2024-01-16", 1150},
		{"the last", []string{"2024-01-01 1000", "2024-01-11 1100", "2024-01-21 12000"}, "2024-01-21", 1100},
		{"another counter", []string{"2024-01-01 49000", "2024-01-11 49100", "2024-01-21 49200", "2024-01-31 100", "2024-02-10 200", "2024-02-20 300", "2024-03-01 400"}, "2024-02-15", 250},
	} {
		var rows []Reading
		for _, r := range c.rows {
			var day string
			var reading Reading
			fmt.Sscan(r, &day, &reading.Counter.Value)
			reading.Date.Day, _ = ParseDay(day)
			reading.Counter.Valid = true
			rows = append(rows, reading)
		}
		b := &Book{counters: map[string]*counter{"E": newCounter(rows, 2)}}
		on, _ := ParseDay(c.on)
		if got, _ := b.TotalOn("E", on); got != c.want {
			t.Errorf("%s: %.1f h on %s, want %.1f", c.name, got, c.on, c.want)
		}
	}
}
