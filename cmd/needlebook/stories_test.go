package main

import (
	"bytes"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The stories of the example vessel, as its first page tells them: on the page itself, or on one that it leads to.
// No outside source: the stories are invented with the ship.
var stories = []struct {
	about, page string // the first page leads to it, or it is the first page
	words       []string
}{
	{"a holder that ruins nozzles", "holder-h-109.html", []string{"Condemned on 2022-10-14: crack across the joint face", "nozzles renewed at its overhauls 6 of 6"}},
	{"a gauge that read high", "instrument-pg-02.html", []string{"read wrong from 2022-03-09 to 2022-05-14: 13 records rest on it"}},
	{"a bad bunker", "bunker-gallowyn-reach-2022-11-18.html", []string{"13 of 17 failed; of all other valves 8 of 85", "Failures go with this fuel"}},
	{"a copied record", "index.html", []string{"10 of 10 figures equal those of 2023-02-12-h-117"}},
	{"a record changed after it was countersigned", "index.html", []string{"leak down time as left was 3.1 s, is 9.1 s: changed after countersigning"}},
	{"a deferral overrun", "index.html", []string{"deferral D-07: N-2024 ran 1408 h in ME2-2, 500 h allowed, 908 h over"}},
	{"a holder in two places", "index.html", []string{"holder H-104 was fitted in ME1-4 and in ME1-5 at one time"}},
	{"a replaced counter", "engine-me1.html", []string{"counter replaced 2022-09-04"}},
	{"slips of the hand", "index.html", []string{"4640 psi = 320 bar", "3 min 20 s (200 s) or 3.20 s?", "opens at 250 bar and closes at 325 bar"}},
	{"figures on the limit", "index.html", []string{"leak-down as left, stand exactly on the limit 6.0 s"}},
	{"two rings in a pocket", "index.html", []string{"2 rings came out of the pocket at ME2-6"}},
	{"a nozzle that is not permitted", "index.html", []string{"N-X381 is marked 9x0.38, not permitted on this engine"}},
	{"a longer interval on trial", "interval.html", []string{"proposal: keep 2000 h, do not extend", "ME2-1, ME2-4 2400 h by DR-09"}},
	{"a seal used again", "holder-h-116.html", []string{"seal of the adjusting screw: reused"}},
	{"a loss that nobody looked into", "holder-h-114.html", []string{"opening pressure as found 285 bar is 17 % below 345 bar as left, spring not inspected"}},
	{"a test that did not pass", "holder-h-112.html", []string{"2.9 s weeping at the nozzle joint, the fall is the joint's nut off, both faces cleaned"}},
}

// first is what stands first on a page of each kind, in the first hundred words: what a reader who has ten seconds takes along.
var first = map[string][]string{
	"index.html":                            {"State of the book on 2024-06-24", "Not proved since commit", "To do: 3 stop, 6 action, 8 advice", "past due"},
	"cylinder-me1-3.html":                   {"Cylinder 3 of ME1", "valve H-115", "has run 220 h", "left to the interval 1 780 h", "Nothing is open"},
	"engine-me1.html":                       {"ME1 over its running hours", "a bar a service period", "Nozzles renewed for every 1000 h of ME1: 0.91"},
	"overhaul-2024-06-11-h-119.html":        {"H-119 with N-2019", "Removed from ME1-3 on 2024-06-11", "signed by m.oyelaran", "opening pressure 305 bar → 320 bar", "Open findings advice"},
	"behind-2024-06-11-h-119.html":          {"Behind the figures of 2024-06-11-h-119", "signed by m.oyelaran", "How each verdict was worked out"},
	"holder-h-109.html":                     {"Holder H-109", "Condemned on 2022-10-14", "6 of 6 all other holders: 26 of 119", "One life on one strip"},
	"nozzle-n-2024.html":                    {"Nozzle N-2024", "Taken out of use on 2023-10-04: tip cracked at the seat after 6106 h", "One life on one strip"},
	"instrument-pg-02.html":                 {"Gauge PG-02", "Out of calibration since 2022-11-11", "read wrong from 2022-03-09 to 2022-05-14: 13 records"},
	"bunker-gallowyn-reach-2022-11-18.html": {"Bunker Gallowyn Reach of 2022-11-18", "13 of 17 failed", "Failures go with this fuel"},
	"round-me1-2024-06-11.html":             {"Round ME1 2024-06-11", "6 valves of ME1", "Open findings", "spray as found was booked 9 open"},
	"sheet-me1-2024-06-11.html":             {"Round sheet ME1 2024-06-11", "front limit 1 · H-107 2 · H-120"},
	"findings.html":                         {"the open ones, the gravest first", "3 stop", "stop marking not permitted"},
	"answers.html":                          {"signed answer of a person", "counts"},
	"due.html":                              {"What is due on Ostrevane, from 2024-06-24", "2023-04-27 past", "countersignature 2023-04-20-h-110"},
	"interval.html":                         {"proposal: keep 2000 h, do not extend"},
	"recurring.html":                        {"the clearest first", "bunker Gallowyn Reach of 2022-11-18 failed 13 of 17"},
	"stores.html":                           {"Spares and stores of Ostrevane on 2024-06-24", "On board, and enough until more can come?"},
	"deferrals.html":                        {"Deferrals and what else is open", "DR-05"},
	"handover.html":                         {"Handing over Ostrevane, 2024-06-24", "What is fitted where", "ME1-1 H-101"},
	"nox.html":                              {"Nozzle changes of Ostrevane up to 2024-06-24", "never replaces them"},
	"survey.html":                           {"for the survey", "not proved since commit", "ME1, 2023, second half"},
	"since.html":                            {"Since the review by s.okonjo of 2024-02-20", "9 new findings"},
	"rounds.html":                           {"Rounds", "ME1 2024-06-11 6"},
	"overhauls.html":                        {"128 in the book, the newest first"},
	"parts.html":                            {"Holders", "H-101 ME1-1"},
	"files.html":                            {"with who answers for it", "book.md signed by"},
	"audit-trail.html":                      {"Not proved since commit e8f10b1eac66 of 2023-05-10: unsigned"},
}

var (
	tagged  = regexp.MustCompile(`<[^>]*>`)
	leading = regexp.MustCompile(`<a [^>]*href="([^"#]+\.html)`)
)

// saidOn is the text of the main part of a page, without its looks.
func saidOn(t *testing.T, dir, page string) string {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(dir, page))
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(src), `<main id="main">`)
	body, _, _ = strings.Cut(body, "<footer>")
	text := html.UnescapeString(tagged.ReplaceAllString(body, " "))
	text = strings.Join(strings.Fields(strings.ReplaceAll(text, "\u202f", " ")), " ")
	return strings.NewReplacer(" ,", ",", " ;", ";", " :", ":", " .", ".", "( ", "(", " )", ")").Replace(text)
}

// TestPagesTellTheStories builds the pages of the example vessel with her history, and reads them as who has ten seconds: every story is told in
// words on the first page or on one that it leads to, and what stands first on a page of each kind is what that reader must take along.
func TestPagesTellTheStories(t *testing.T) {
	book, pages := demoBook(t), filepath.Join(t.TempDir(), "pages")
	var out, errs bytes.Buffer
	if status := run([]string{"pages", "--book", book, "-o", pages}, nil, &out, &errs); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	src, err := os.ReadFile(filepath.Join(pages, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	leads := map[string]bool{"index.html": true}
	for _, m := range leading.FindAllSubmatch(src, -1) {
		leads[string(m[1])] = true
	}
	for _, s := range stories {
		if !leads[s.page] {
			t.Errorf("%s: the first page does not lead to %s", s.about, s.page)
		}
		text := saidOn(t, pages, s.page)
		for _, words := range s.words {
			if !strings.Contains(text, words) {
				t.Errorf("%s: %s does not say %q", s.about, s.page, words)
			}
		}
	}
	for page, wants := range first {
		words := strings.Fields(saidOn(t, pages, page))
		begins, at := strings.Join(words[:min(len(words), 100)], " "), 0
		for _, want := range wants {
			i := strings.Index(begins[at:], want)
			if i < 0 {
				t.Errorf("%s does not say %q first, in this order: %s", page, want, begins)
				break
			}
			at += i
		}
	}
}
