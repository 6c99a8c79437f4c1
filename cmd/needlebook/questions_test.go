package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
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
	said := map[string]string{}
	ask := func(command string) string {
		if text, ok := said[command]; ok {
			return text
		}
		from := book
		switch strings.Split(command, "|")[0] {
		case "show", "due", "stores", "interval", "causes", "nox", "export": // what no history is needed for
			from = "../../example-vessel"
		}
		var out, errs bytes.Buffer
		if status := run(append(strings.Split(command, "|"), "--book", from), strings.NewReader(""), &out, &errs); status > exitFindings {
			t.Errorf("needlebook %s: exit status %d, %s", command, status, errs.String())
		}
		said[command] = out.String()
		return said[command]
	}
	for _, q := range []struct {
		number  int
		asks    string
		command string   // arguments, parted by |
		line    []string // words that stand together in one line
	}{
		{1, "what is fitted on ME1-3", "show|ME1-3", []string{"H-115 / N-2046", "2024-06-11", "220 h"}},
		{2, "and on 2022-08-15", "show|ME1-3|--on|2022-08-15", []string{"H-109 / N-2028"}},
		{2, "set by whom", "show|ME1-3|--on|2022-08-15", []string{"set 2022-05-", "t.wairimu", "PG-02"}},
		{3, "where has H-109 been", "causes", []string{"H-109", "6", "1043", "ME2-3 ME1-3 ME1-3 ME2-3 ME2-3 ME1-3"}},
		{4, "which valve next", "due", []string{"valve", "ME2-2", "1216 h of 2000 h"}},
		{4, "the trial", "due", []string{"valve", "ME2-1", "570 h of 2400 h", "DR-09"}},
		{4, "ME1", "due", []string{"valve", "ME1-6", "220 h of 2000 h"}},
		{5, "setting of a new nozzle", "show|2023-10-04-h-102", []string{"opening pressure as left", "345"}},
		{8, "records that need a value", "handover", []string{"2023-09-05-h-114", "not measured", "calliper not found"}},
		{9, "ring left in a pocket", "handover", []string{"ME2-6", "2 came out", "2024-04-02-h-118"}},
		{10, "old tests on the rack", "handover", []string{"H-102", "262", "test again first"}},
		{11, "waits for the chief", "handover", []string{"2023-04-20-h-110", "changed since o.lindqvist"}},
		{12, "changed after signing", "check", []string{"2023-04-20-h-110", "changed-after-countersigning"}},
		{13, "deferrals", "handover", []string{"D-07", "500 h", "1408 h", "closed 2023-10-04"}},
		{14, "gauges running out", "due|--before|2024-08-20", []string{"calibration", "TW-3", "2024-07-31"}},
		{15, "good nozzles left", "stores", []string{"nozzle", "6QZ-1603", "3", "2", "2024-08-15"}},
		{16, "ME1 for the surveyor", "survey|ME1|--from|2023-07-01|--to|2024-06-30", []string{"2023-09-05-h-117", "reconstructed 2023-09-27"}},
		{17, "18 nozzles in 2022", "stores", []string{"2022", "18", "15", "H-109: 3"}},
		{18, "written by memory", "handover", []string{"2023-09-05-h-115", "written later, 2023-09-27"}},
		{19, "who handled which valve", "export|overhauls", []string{"2023-06-25-h-105", "y.abernathy"}},
		{20, "what do I tell my relief", "handover", []string{"what is suspect"}},
		{21, "gravest open grade", "check", []string{"stop"}},
		{22, "is 2000 h justified", "interval|--since|2023-11-01", []string{"for hours  ", "24  1", "18 %"}},
		{22, "not enough to extend", "interval|--since|2023-11-01", []string{"proposal: keep 2000 h, do not extend"}},
		{23, "what explains repeated failures", "causes", []string{"holder", "H-109", "6 of 6"}},
		{24, "was it the fuel", "causes", []string{"bunker", "Galloway Reach"}},
		{25, "records with the bad gauge", "show|PG-02", []string{"2022-05-10-h-109", "285", "266"}},
		{26, "are the engines different", "interval", []string{"ME2", "38", "2"}},
		{27, "consumption by year", "stores", []string{"2023", "10397", "0.96"}},
		{28, "is anyone copying", "check", []string{"2023-06-25-h-105", "record-alike"}},
		{29, "what was promised", "handover", []string{"review of trial", "DR-09", "2024-10-15"}},
		{31, "ME2 cylinder 4, last overhaul", "survey|ME2", []string{"ME2-4", "2024-05-16-h-116", "countersigned"}},
		{32, "counter replaced", "survey|ME1|--from|2022-10-01|--to|2022-10-31", []string{"ME1-3", "50794", "1173 h"}},
		{33, "limits on that date", "survey|ME1|--from|2021-06-01|--to|2021-06-30", []string{"from 2021-01-01", "revision B"}},
		{34, "nozzle not in the list", "nox", []string{"2024-01-24", "ME1-1", "N-X381", "9x0.38", "NO"}},
		{34, "and out again", "nox", []string{"2024-02-08", "N-X381", "N-2049", "yes"}},
		{35, "calibration of the gauge", "handover", []string{"PG-01", "2024-08-15"}},
		{36, "beyond the maker's limit", "check", []string{"D-07"}},
		{37, "done later under the trial", "survey|ME2|--from|2024-04-01", []string{"ME2-1", "2024-05-16", "2387 h"}},
		{38, "leak check and shields", "survey|ME1|--from|2024-06-01", []string{"ME1-3", "cold warm loaded", "refitted"}},
		{40, "on paper", "survey", []string{"supports the approved books and never replaces them"}},
		{41, "what is fitted where", "handover", []string{"ME2-5", "H-105", "N-2042", "1216 h"}},
		{42, "what is ready", "handover", []string{"H-120", "N-2020", "yes"}},
		{43, "what is suspect", "handover", []string{"ME2-6", "H-118", "rings came out"}},
		{44, "what broke", "handover", []string{"2024-02-08-h-107", "9x0.38"}},
		{45, "which gauges are bad", "handover", []string{"PG-02", "read wrong 2022-03-09 to 2022-05-14"}},
		{46, "what was promised", "handover", []string{"left open", "order 2304"}},
		{47, "which pocket is awkward", "handover", []string{"ME2-6", "packed with carbon"}},
		{48, "where are the rings", "handover", []string{"stores", "pocket ring", "37"}},
		{49, "unreadable serials", "handover", []string{"none on record"}},
		{50, "what must I not do", "handover", []string{"fit holder H-109", "condemned 2022-10-14"}},
	} {
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
	// the innocent are not named
	for _, name := range []string{"m.oyelaran", "l.penhaligon", "y.abernathy", "a.brekkestad", "ME1-3  ", "Maple Ness"} {
		head, _, _ := strings.Cut(ask("causes"), "rounds that came back odd")
		if strings.Contains(head, name) {
			t.Errorf("causes names %s", name)
		}
	}
	// the list of what is due fits one A4 page
	if n := strings.Count(ask("due"), "\n"); n > 60 {
		t.Errorf("due has %d lines; an A4 page holds 60", n)
	}
}
