package checks

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"sort"
	"strings"
	"testing"

	vessel "needlebook/example-vessel"
	"needlebook/logbook"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// reasons say why each finding on the example vessel that asks for something is true. The vessel was invented with these faults in
// it; nothing else of grade advice or above may be found. Keys are the check and, behind a space, the record, round or file it is about.
var reasons = map[string]string{
	"unit-mistaken 2021-08-28-h-101":                "4640 was read off the psi scale and written as bar",
	"decimal-comma 2022-01-08-h-118":                "written 0,78",
	"colon-in-number 2022-09-29-h-103":              "three tries of twenty seconds, written 3:20",
	"closing-above-opening 2022-05-10-h-108":        "opening and closing pressure written the wrong way round",
	"figures-on-limit 2022-01-08-h-113":             "a round whose leak-down was brought to the limit in writing",
	"leak-down-short 2022-01-08-h-116":              "a round whose leak-down was brought to the limit in writing, with cold oil",
	"leak-down-short 2022-01-08-h-118":              "a round whose leak-down was brought to the limit in writing, with cold oil",
	"opening-lost 2021-04-17-h-109":                 "the holder with a cracked face",
	"opening-lost 2021-09-02-h-109":                 "the holder with a cracked face",
	"opening-lost 2021-11-03-h-109":                 "the holder with a cracked face",
	"opening-lost 2023-10-04-h-102":                 "the nozzle that ran three times as long as its deferral, tip cracked",
	"round-with-common-cause ME1 2023-01-22":        "the bad bunker",
	"round-with-common-cause ME2 2023-02-12":        "the bad bunker",
	"round-with-common-cause ME1 2023-04-20":        "valves that ran on through the rest of the bad bunker",
	"record-alike 2023-06-25-h-105":                 "the copied page, and its copied picture",
	"lift-grew 2023-06-25-h-102":                    "the lift that was allowed under a deferral",
	"as-found-missing 2023-09-05-h-115":             "written from notes after the gap between two second engineers",
	"as-found-missing 2023-09-05-h-116":             "written from notes after the gap between two second engineers",
	"as-found-missing 2023-09-05-h-117":             "written from notes after the gap between two second engineers",
	"as-found-missing 2023-09-05-h-118":             "written from notes after the gap between two second engineers",
	"test-as-left-missing 2023-09-05-h-115":         "the same notes hold no time of the leak-down",
	"test-as-left-missing 2023-09-05-h-116":         "the same notes hold no time of the leak-down",
	"test-as-left-missing 2023-09-05-h-117":         "the same notes hold no time of the leak-down",
	"test-as-left-missing 2023-09-05-h-118":         "the same notes hold no time of the leak-down",
	"handover-missing crew.csv":                     "the gap between two second engineers",
	"part-in-two-places 2023-06-25-h-105":           "the list of that gap names one holder twice",
	"fit-and-removal 2024-01-24-h-105":              "where the other valve of that list came out",
	"rings 2024-04-02-h-118":                        "the old ring left in the pocket",
	"other-pockets 2024-04-02-h-118":                "and whether the others of that engine have one too",
	"protrusion 2023-09-05-h-118":                   "the same fitting: the valve stood one ring proud",
	"high-exhaust-not-followed-up running/me2.csv":  "the same cylinder ran hot",
	"crack-not-condemned 2023-10-04-h-102":          "the cracked nozzle has no line that says condemned",
	"seal-not-renewed 2022-07-27-h-116":             "a seal of the adjusting screw used twice",
	"pressure-loss-not-explained 2023-02-12-h-114":  "a large loss, and the spring was never looked at",
	"places-not-inspected 2023-02-12-h-114":         "the same spring",
	"readings-spread 2023-01-22-h-105":              "a first opening that stuck, in the fouled round",
	"leak-down-better 2022-01-08-h-113":             "the round whose leak-down was brought to the limit in writing: as found it was twice as long",
	"leak-down-better 2022-07-27-h-113":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-better 2022-07-27-h-114":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-better 2022-07-27-h-115":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-better 2022-07-27-h-116":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-better 2022-07-27-h-117":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-better 2022-07-27-h-118":             "the same round: it came back with an ordinary time, so that what it was left with was not timed",
	"leak-down-lost 2021-09-02-h-109":               "the holder with a cracked face",
	"leak-down-lost 2021-11-03-h-109":               "the holder with a cracked face",
	"leak-down-lost 2022-04-02-h-109":               "the holder with a cracked face",
	"leak-down-lost 2022-05-10-h-109":               "the holder with a cracked face",
	"leak-down-lost 2022-10-14-h-109":               "the holder with a cracked face",
	"leak-down-lost 2023-02-12-h-113":               "the bad bunker",
	"leak-down-lost 2023-02-12-h-114":               "the bad bunker",
	"leak-down-lost 2023-02-12-h-115":               "the bad bunker",
	"leak-down-lost 2023-02-12-h-116":               "the bad bunker",
	"leak-down-lost 2023-02-12-h-117":               "the bad bunker",
	"leak-down-lost 2023-02-12-h-118":               "the bad bunker",
	"leak-down-lost 2023-04-20-h-107":               "ran on through the rest of the bad bunker",
	"leak-down-lost 2023-10-04-h-102":               "the nozzle that ran three times as long as its deferral",
	"leak-down-lost 2023-11-22-h-110":               "the altered record: its true as-left time was a third of what stands there",
	"spare-test-too-old 2023-04-20-h-108":           "it waited while the valve under a deferral kept its place",
	"spare-test-too-old 2024-01-24-h-101":           "it waited while a trial kept its place",
	"spare-test-too-old 2024-01-24-h-104":           "it waited while a trial kept its place",
	"changed-after-countersigning 2023-04-20-h-110": "the altered record",
	"not-countersigned 2023-09-05-h-113":            "written on the day in the gap between two second engineers, and never countersigned",
	"not-countersigned 2023-09-05-h-114":            "written on the day in the gap between two second engineers, and never countersigned",
	"writer-unknown 2023-04-20-h-110":               "the altered record",
	"booked-unlike-log 2023-04-20-h-110":            "the altered record: its own log shows what was there before",
	"booked-unlike-paper 2024-06-11-h-119":          "a weak hole as found that an eye took for an even spray",
	"marking-not-permitted 2023-11-22-h-107":        "nine holes of 0.38, built in by mistake: that it came out ends nothing",
	"marking-not-permitted 2024-02-08-h-107":        "the same nozzle, as it came out",
	"deferral-run-out 2023-06-25-h-102":             "three times the hours that the deferral allowed: its approver answers",
	"effective-lift-over 2023-06-25-h-102":          "the lift that was allowed under that deferral",
	"stock-low stores/stock.csv":                    "three nozzles on board and two on order, after the wave of 2022 and the bad bunker",
	"clock-jump parts/n-2051.md":                    "the computer had been without power for a night and three days",
}

// reasonOf finds why a finding stands.
func reasonOf(f Finding) string {
	where := f.About.Record
	if where == "" {
		where = f.About.Round
	}
	if where == "" {
		where = f.Place.Path
	}
	return reasons[f.Check+" "+where]
}

func exampleVessel(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Read(vessel.Files)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestVessel holds all findings on the example vessel to one list, with a count for each check. A change in it is the summary of what
// a change of the checks does to a ship. Whatever asks for something needs its reason.
func TestVessel(t *testing.T) {
	report := Run(exampleVessel(t), Options{})
	var list bytes.Buffer
	count := map[string]int{}
	for _, f := range report.Findings {
		count[f.Check]++
		fmt.Fprintf(&list, "\n%s: %s: %s: %s\n", f.Place, f.Grade, f.Check, f.Message)
		for _, line := range f.Evidence {
			fmt.Fprintf(&list, "\t- %s\n", line)
		}
		fmt.Fprintf(&list, "\t%s: %s%s\n", f.Subject, f.State, strings.TrimSuffix(" by "+f.Ended.Words, " by "))
		if r := reasonOf(f); r != "" {
			fmt.Fprintf(&list, "\tstands: %s\n", r)
		} else if f.Grade > Note {
			fmt.Fprintf(&list, "\tFALSE ALARM\n")
			t.Errorf("%s: %s: no reason is known for: %s: %s", f.Place, f.Grade, f.Check, f.Message)
		}
	}
	var golden bytes.Buffer
	fmt.Fprintf(&golden, "All findings on the example vessel, read as a plain folder. Grade note needs no reason.\n\n")
	names := make([]string, 0, len(count))
	for n := range count {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		fmt.Fprintf(&golden, "%4d %s\n", count[n], n)
	}
	golden.Write(list.Bytes())
	const file = "testdata/vessel.golden"
	if *update {
		if err := os.WriteFile(file, golden.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if g, w := golden.String(), string(want); g != w {
		t.Errorf("the findings on the example vessel are not those of %s (run with -update and read the difference):\n%s", file, firstDifference(g, w))
	}
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d\n got %s\nwant %s", i+1, g[i], w[i])
		}
	}
	return fmt.Sprintf("got %d lines, want %d", len(g), len(w))
}
