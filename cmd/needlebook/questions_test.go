package main

import (
	"bytes"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

// The questions that engineer, chief, superintendent, surveyor and relief ask, each with the command that answers it on the example vessel
// and what must stand in one line of the answer. The answers are those of the vessel's own story; no outside source.
func TestQuestions(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs one after another")
	}
	dir := filepath.Join(t.TempDir(), "demo")
	var quiet bytes.Buffer
	if status := run([]string{"demo", dir}, strings.NewReader(""), &quiet, &quiet); status != exitClean {
		t.Fatalf("demo: exit status %d, %s", status, quiet.String())
	}
	book := filepath.Join(dir, "book")
	quietShip := filepath.Join(t.TempDir(), "stillmere")
	if err := os.CopyFS(quietShip, fstest.MapFS{
		"book.md": {Data: []byte(`---
vessel: Stillmere
engines:
  - {id: ME1, cylinders: [1], limits: s}
opening:
  date: 2024-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, nozzle_hours: 500 h, left: 300 bar}
---
`)},
		"limits/s.md":   {Data: []byte("---\ntype: S\nrevisions:\n  - {from: 2020-01-01, source: manual}\n---\n")},
		"hours/me1.csv": {Data: []byte("date,counter_h,note\n2024-01-01,1000,\n2024-01-20,1250,\n")},
		"overhauls/me1/c1/2024-01-20-h-1.md": {Data: []byte(`---
holder: "H-1"
nozzle: {found: "N-1", left: "N-1"}
removed: {engine: ME1, cylinder: 1, date: 2024-01-20, counter: 1250 h, reason: planned, rings_out: 1}
as_found: {date: 2024-01-20, opening_pressure: not measured (pump ashore), leak_down: not measured (pump ashore), seat: not looked at (pump ashore)}
decided: {nozzle: reuse, holder: reuse, spring: reuse, why: all within}
by: a.b
---
`)},
	}); err != nil {
		t.Fatal(err)
	}
	if status := run([]string{"pages", "-o", filepath.Join(dir, "fleet"), "--no-since", "../../example-vessel", quietShip}, strings.NewReader(""), &quiet, &quiet); status != exitClean {
		t.Fatalf("pages of two ships: exit status %d, %s", status, quiet.String())
	}
	said := map[string]string{}
	ask := func(command string) string {
		if text, ok := said[command]; ok {
			return text
		}
		if page, ok := strings.CutPrefix(command, "page|"); ok {
			said[command] = readPage(t, filepath.Join(dir, page))
			return said[command]
		}
		from := book
		switch strings.Split(command, "|")[0] {
		case "show", "due", "stores", "interval", "recurring", "nox", "export", "judge": // what no history is needed for
			from = "../../example-vessel"
		}
		var out, errs bytes.Buffer
		if status := run(append(strings.Split(command, "|"), "--book", from), strings.NewReader(""), &out, &errs); status > exitFindings {
			t.Errorf("needlebook %s: exit status %d, %s", command, status, errs.String())
		}
		said[command] = out.String()
		return said[command]
	}
	asked := map[int]bool{}
	for _, q := range []struct {
		number  int
		asks    string
		command string   // arguments, parted by |
		line    []string // words that stand together in one line
	}{
		{1, "what is fitted on ME1-3", "show|ME1-3", []string{"H-115 / N-2046", "2024-06-11", "220 h"}},
		{2, "and on 2022-08-15", "show|ME1-3|--on|2022-08-15", []string{"H-109 / N-2028"}},
		{2, "set by whom", "show|ME1-3|--on|2022-08-15", []string{"set 2022-05-", "t.wairimu", "PG-02"}},
		{3, "where has H-109 been", "recurring", []string{"H-109", "6", "1043", "ME2-3 ME1-3 ME1-3 ME2-3 ME2-3 ME1-3"}},
		{4, "which valve next", "due", []string{"valve", "ME2-2", "1216 h of 2000 h"}},
		{4, "the trial", "due", []string{"valve", "ME2-1", "570 h of 2400 h", "DR-09"}},
		{4, "ME1", "due", []string{"valve", "ME1-1 2 3 4 5 6", "220 h of 2000 h"}},
		{5, "setting of a new nozzle", "show|2023-10-04-h-102", []string{"opening pressure as left", "345"}},
		{6, "7.4 s at 31 °C", "judge|ME1-3|--leak-down|7.4 s|--oil|31 °C", []string{"leak-down as left", "7.4 s", "within", "6.0 to 40 s"}},
		{6, "what it is at 20 °C", "judge|ME1-3|--leak-down|7.4 s|--oil|31 °C", []string{"7.4 s at 31 °C is 8.8 s at 20 °C"}},
		{6, "timed over another fall", "judge|ME1-3|--leak-down|7.4 s|--from|300 bar|--to|200 bar", []string{"advice: leak-down as left timed from 300 bar over 100 bar", "cannot be held against its limit"}},
		{6, "timed over the stated one", "judge|ME1-3|--leak-down|7.4 s|--from|295 bar|--to|235 bar", []string{"leak-down as left", "7.4 s", "not proven"}},
		{7, "318 bar on a gauge of class 1.6", "judge|ME1-3|--opening|318 bar|--gauge-range|0 .. 600 bar|--gauge-class|1.6|--gauge-division|5 bar", []string{"318 bar", "beyond, in doubt", "320 +10/-0 bar", "± 11 bar"}},
		{7, "with three readings that scatter", "judge|ME1-3|--opening|318 bar|--opening|312 bar|--opening|322 bar|--gauge-range|0 .. 600 bar|--gauge-class|1.6|--gauge-division|5 bar", []string{"318 bar", "beyond, in doubt", "± 13 bar"}},
		{7, "in another unit than it says", "judge|ME1-3|--opening|4640 bar", []string{"4640 bar is not possible", "4640 psi = 320 bar"}},
		{7, "what the trade does", "judge|ME1-3|--opening|318 bar|--gauge|PG-02", []string{"set again: 320 +10/-0 bar"}},
		{8, "records that need a value", "handover", []string{"2023-09-05-h-114", "not measured", "calliper not found"}},
		{9, "ring left in a pocket", "handover", []string{"ME2-6", "2 came out", "2024-04-02-h-118"}},
		{10, "old tests in the spares rack", "handover", []string{"H-102", "262", "test again before fitting"}},
		{11, "waits for the chief", "handover", []string{"2023-04-20-h-110", "changed since o.lindqvist"}},
		{12, "changed after signing", "check", []string{"2023-04-20-h-110", "changed-after-countersigning"}},
		{13, "deferrals", "handover", []string{"D-07", "500 h", "1408 h", "closed 2023-10-04"}},
		{14, "gauges running out", "due|--before|2024-08-20", []string{"calibration", "TW-3", "2024-07-31"}},
		{15, "good nozzles left", "stores", []string{"nozzle", "6QZ-1603", "3", "2", "2024-08-15"}},
		{16, "ME1 for the surveyor", "survey|ME1|--from|2023-07-01|--to|2024-06-30", []string{"2023-09-05-h-117", "reconstructed 2023-09-27"}},
		{17, "18 nozzles in 2022", "stores", []string{"2022", "18", "15", "H-109: 3"}},
		{18, "written by memory", "handover", []string{"2023-09-05-h-115", "written later, 2023-09-27"}},
		{19, "who handled which valve", "export|overhauls", []string{"2023-06-25-h-105", "y.abernathy"}},
		{20, "what do I tell my relief: what sits where", "handover", []string{"ME1-3", "H-115", "N-2046", "2024-06-11", "220 h", "N-2046"}},
		{20, "what is ready", "handover", []string{"H-107", "N-2049", "2024-06-12", "12", "yes"}},
		{20, "the last thirty days", "handover", []string{"2024-06-11-h-120", "ME1-2", "planned", "rack 2", "m.oyelaran"}},
		{20, "what was learned", "handover", []string{"a.brekkestad", "read the holders and not only the cylinders"}},
		{21, "gravest open grade of each ship", "page|fleet/index.html", []string{"Ostrevane", "stop", "9x0.38"}},
		{21, "a quiet ship", "page|fleet/index.html", []string{"Stillmere", "–", "nothing is open"}},
		{22, "is 2000 h justified", "interval|--since|2023-11-01", []string{"for hours  ", "24  1", "18 %"}},
		{22, "not enough to extend", "interval|--since|2023-11-01", []string{"proposal: keep 2000 h, do not extend"}},
		{23, "what explains repeated failures", "recurring", []string{"holder", "H-109", "6 of 6"}},
		{24, "was it the fuel", "recurring", []string{"bunker", "Gallowyn Reach"}},
		{25, "records with the bad gauge", "show|PG-02", []string{"2022-05-10-h-109", "285", "266"}},
		{26, "are the engines different", "interval", []string{"ME2", "38", "2"}},
		{27, "consumption by year", "stores", []string{"2023", "10397", "0.96"}},
		{28, "is anyone copying", "check|--all", []string{"2023-06-25-h-105", "record-alike"}},
		{29, "what was promised", "handover", []string{"review of trial", "DR-09", "2024-10-15"}},
		{30, "what changed since a day", "check|--since|2024-02-01", []string{"2024-01-24-h-101", "138 days after its test", "spare-test-too-old"}},
		{30, "how much is new, and what is gone", "check|--since|2024-02-01", []string{"new or changed since 2024-02-01: "}},
		{30, "since the last review", "check|--since|review", []string{"new or changed since review: "}},
		{31, "ME2 cylinder 4, last overhaul", "survey|ME2", []string{"ME2-4", "2024-05-16-h-116", "countersigned"}},
		{32, "counter replaced", "survey|ME1|--from|2022-10-01|--to|2022-10-31", []string{"ME1-3", "50794", "1173 h"}},
		{33, "limits on that date", "survey|ME1|--from|2021-06-01|--to|2021-06-30", []string{"from 2021-01-01", "revision B"}},
		{34, "nozzle not in the list", "nox", []string{"2024-01-24", "ME1-1", "N-X381", "9x0.38", "NO"}},
		{34, "and out again", "nox", []string{"2024-02-08", "N-X381", "N-2049", "yes"}},
		{35, "calibration of the gauge", "handover", []string{"PG-01", "2024-08-15"}},
		{36, "beyond the maker's limit", "check|--all", []string{"2023-06-25-h-102", "effective lift 0.94 mm", "above the limit 0.90 mm"}},
		{36, "and under what", "check|--all", []string{"deferred by D-07 for 500 h or 2023-08-09"}},
		{36, "who allowed it", "survey|ME2", []string{"D-07", "H-102 N-2024", "allowed by s.okonjo", "500 h or 2023-08-09"}},
		{37, "done later under the trial", "survey|ME2|--from|2024-04-01", []string{"ME2-1", "2024-05-16", "2387 h"}},
		{38, "leak check and shields", "survey|ME1|--from|2024-06-01", []string{"ME1-3", "cold warm loaded", "refitted"}},
		{39, "corrected, and the old value", "survey|--from|2024-01-01", []string{"2024-04-02-h-115", "measured.lift", "0.67 mm", "0.76 mm", "digits swapped", "0.67 mm, in commit "}},
		{40, "on paper, from a file that needs no line", "page|pages/survey.html", []string{"ME1-3", "2024-06-11-h-119", "2082 h"}},
		{40, "and what it is", "page|pages/survey.html", []string{"supports the approved books and never replaces them"}},
		{40, "in the terminal", "survey", []string{"supports the approved books and never replaces them"}},
		{41, "what is fitted where", "handover", []string{"ME2-5", "H-105", "N-2042", "1216 h"}},
		{42, "what is ready", "handover", []string{"H-120", "N-2020", "yes"}},
		{43, "what is suspect", "handover", []string{"H-104", "ME1-5", "at one time"}},
		{44, "what broke", "handover", []string{"2024-02-08-h-107", "9x0.38"}},
		{45, "which gauges are bad", "handover", []string{"PG-02", "read wrong 2022-03-09 to 2022-05-14"}},
		{46, "what was promised", "handover", []string{"left open", "order 2304"}},
		{47, "which pocket is awkward", "handover", []string{"ME2-6", "packed with carbon"}},
		{48, "where are the rings", "handover", []string{"stores", "pocket ring", "37"}},
		{49, "unreadable serials", "handover", []string{"none on record"}},
		{50, "what must I not do", "handover", []string{"fit holder H-109", "condemned on 2022-10-14"}},
	} {
		asked[q.number] = true
		found := false
		for _, l := range strings.Split(ask(q.command), "\n") {
			all := true
			for _, w := range q.line {
				all = all && strings.Contains(l, w)
			}
			found = found || all
		}
		if !found {
			t.Errorf("question %d, %s: needlebook %s has no line with %q", q.number, q.asks, strings.ReplaceAll(q.command, "|", " "), q.line)
		}
	}
	for n := range 50 {
		if !asked[n+1] {
			t.Errorf("question %d is not asked", n+1)
		}
	}
	// the innocent are not named
	for _, name := range []string{"m.oyelaran", "l.penhaligon", "y.abernathy", "a.brekkestad", "ME1-3  ", "Maple Ness"} {
		head, _, _ := strings.Cut(ask("recurring"), "rounds that came back odd")
		if strings.Contains(head, name) {
			t.Errorf("causes names %s", name)
		}
	}
	// the list of what is due fits one A4 page
	if n := strings.Count(ask("due"), "\n"); n > 60 {
		t.Errorf("due has %d lines; an A4 page holds 60", n)
	}
}

// readPage is a page as lines of text, a table row each, and fails where it asks for anything over a line.
func readPage(t *testing.T, file string) string {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(src, []byte("http://")) || bytes.Contains(src, []byte("https://")) || bytes.Contains(src, []byte(`src="//`)) {
		t.Errorf("%s names a place in the network", file)
	}
	text := regexp.MustCompile(`\s+`).ReplaceAllString(string(src), " ")
	text = regexp.MustCompile(`</(tr|p|h1|h2|li)>`).ReplaceAllString(text, "\n")
	return html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(text, " "))
}
