package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"needlebook/logbook"
)

// namedBook is a book with one thing of each kind that a person can name.
var namedBook = map[string]string{
	"book.md": `---
vessel: Try
engines:
  - {id: ME1, name: port, type: T, cylinders: [1, 2], numbered_from: free end, limits: t}
opening:
  date: 2024-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-101", nozzle: "N-201", counter: 10 h, since: 0 h, nozzle_hours: 0 h, left: 320 bar}
    - {engine: ME1, cylinder: 2, holder: "77", nozzle: "77", counter: 10 h, since: 0 h, nozzle_hours: 0 h, left: 320 bar}
---
`,
	"hours/me1.csv": "date,counter_h,note\n2024-01-01,10,\n2024-06-11,2010,\n",
	"crew.csv":      "id,name,rank,from,to\na.berg,A. Berg,second engineer,2024-01-01,\n",
	"fuel/bunkers.csv": "stem,received,in_use_from,in_use_to,grade,al_si_mg_kg,viscosity,note\n" +
		"Grey Sound,2024-01-01,2024-01-02,,gas oil,5,4,\n",
	"limits/t.md": `---
type: T
revisions:
  - from: 2024-01-01
    source: manual T
    opening_pressure: {used: 320 +10/-0 bar}
---
`,
	"instruments/pg-01.md": "---\nid: PG-01\nkind: gauge\nmeasures: pressure\nrange: 0 .. 600 bar\nclass: 1.0\n---\n",
	"deferrals/d-07.md":    "---\nid: D-07\nholder: \"H-101\"\nreason: no spare\n---\n",
	"decisions/dr-02.md":   "---\nid: DR-02\ndate: 2024-02-01\nkind: practice\n---\n",
	"overhauls/me1/c1/2024-06-11-h-101.md": `---
holder: "H-101"
nozzle: {found: "N-201", left: "N-201"}
by: a.berg
removed: {engine: ME1, cylinder: 1, date: 2024-06-11, counter: 2010 h}
---
`,
}

func writeNamedBook(t *testing.T) string {
	dir := t.TempDir()
	for name, text := range namedBook {
		write(t, filepath.Join(dir, filepath.FromSlash(name)), text)
	}
	return dir
}

// saidNames are the ways in which each thing of namedBook is typed, none of them as the book spells it.
var saidNames = map[logbook.ThingKind][]string{
	logbook.ThingPosition:   {"me1-1", "ME1 1", "port cyl 1", "overhauls/me1/c1/"},
	logbook.ThingEngine:     {"me1", "port", "engine me1"},
	logbook.ThingHolder:     {"h101", "holder h-101"},
	logbook.ThingNozzle:     {"n-201", "nozzle N201"},
	logbook.ThingRecord:     {"2024-06-11-H-101", "2024-06-11-h-101.md", "overhauls/me1/c1/2024-06-11-h-101.md"},
	logbook.ThingRound:      {"me1 2024-06-11", "round ME1 2024-06-11"},
	logbook.ThingInstrument: {"pg-01", "PG01", "instruments/pg-01.md"},
	logbook.ThingDeferral:   {"d-07", "D07", "deferrals/d-07.md"},
	logbook.ThingDecision:   {"dr-02", "decision DR02"},
	logbook.ThingPerson:     {"A.Berg", "a berg", "person a.berg"},
	logbook.ThingBunker:     {"grey sound", "bunker Grey Sound"},
	logbook.ThingLimits:     {"T", "limits file t", "limits/t.md"},
	logbook.ThingFile:       {"hours/me1.csv", `hours\me1.csv`},
	logbook.ThingFolder:     {"deferrals", "deferrals/"},
}

// Every verb that takes a thing finds it by every name that a person has for it, and says of a thing that it does not
// take what it is.
func TestEveryVerbTakesThingsByName(t *testing.T) {
	dir := writeNamedBook(t)
	for verb, takes := range map[string][]logbook.ThingKind{
		"check":                          logbook.ThingKinds,
		"show":                           showKinds,
		"card":                           enterKinds,
		"enter --print":                  enterKinds,
		"enter --print --step measured":  stepKinds,
		"judge --opening 325bar":         judgeKinds,
		"interval":                       judgeKinds,
		"survey":                         surveyKinds,
		"fix":                            fileKinds,
		"judge ME1-1 --seat dry --gauge": {logbook.ThingInstrument},
	} {
		taken := map[logbook.ThingKind]bool{}
		for _, k := range takes {
			taken[k] = true
		}
		for kind, names := range saidNames {
			for _, name := range names {
				if !taken[kind] && strings.Contains(name, "/") {
					continue // as the file or the folder that it is also
				}
				var out, errw bytes.Buffer
				status := run(append(append([]string{"--book", dir}, strings.Fields(verb)...), name), nil, &out, &errw)
				refused := strings.Contains(errw.String(), " takes ") || strings.Contains(errw.String(), "is called")
				if taken[kind] == refused || taken[kind] && status > exitFindings {
					t.Errorf("%s %q, a %s: status %d, %s", verb, name, kind, status, errw.String())
				}
			}
		}
	}
}

// What is typed wrong gets the nearest name, what fits two the choice between them.
func TestNamesThatDoNotFit(t *testing.T) {
	dir := writeNamedBook(t)
	for _, x := range []struct{ typed, want string }{
		{"show H-110", `nothing in the book is called "H-110": the nearest is H-101`},
		{"show d7", `nothing in the book is called "d7": the nearest is D-07`},
		{"show me1-9", `nothing in the book is called "me1-9": the nearest are ME1-1, ME1-2 and ME1`},
		{"show quite-else", `nothing in the book is called "quite-else": try ME1-2, ME1, `},
		{"card ME1 2024-06-11", "ME1 2024-06-11 is a round: card takes a position, an engine, a holder or a nozzle"},
		{"card 77", `"77" fits more than one: type "holder 77" or "nozzle 77"`},
		{"judge ME1-1 --seat dry --gauge H-101", "H-101 is a holder: judge takes an instrument"},
		{"check ME1-1 H-111", `nothing in the book is called "H-111": the nearest is H-101`},
	} {
		var out, errw bytes.Buffer
		status := run(append([]string{"--book", dir}, strings.Fields(x.typed)...), nil, &out, &errw)
		if status != exitUse || !strings.Contains(errw.String(), x.want) {
			t.Errorf("%s: status %d, %q, want %q", x.typed, status, errw.String(), x.want)
		}
	}
	var out, errw bytes.Buffer
	if run([]string{"--book", dir, "show", "77"}, nil, &out, &errw); !strings.Contains(out.String(), "holder 77") ||
		!strings.Contains(out.String(), "nozzle 77") {
		t.Errorf("show 77 shows not both: %s%s", out.String(), errw.String())
	}
}

// A check of one thing lists what is about it and nothing else, and its exit status is of that.
func TestCheckOfOneThing(t *testing.T) {
	dir := writeNamedBook(t)
	said := func(args ...string) string {
		var out, errw bytes.Buffer
		run(append([]string{"--book", dir, "check"}, args...), nil, &out, &errw)
		return out.String() + errw.String()
	}
	if all := said(); !strings.Contains(all, "deferrals/d-07.md") || !strings.Contains(all, "2024-06-11-h-101.md") {
		t.Fatalf("the book has not the findings that this test asks for: %s", all)
	}
	for name, in := range map[string]string{"D-07": "deferrals/d-07.md", "me1-1": "2024-06-11-h-101.md",
		"a.berg": "2024-06-11-h-101.md"} {
		text := said(name)
		if !strings.Contains(text, in) {
			t.Errorf("check %s: nothing of %s: %s", name, in, text)
		}
		for _, other := range []string{"deferrals/d-07.md:", "2024-06-11-h-101.md:"} {
			if !strings.HasPrefix(other, in) && strings.Contains(text, other) {
				t.Errorf("check %s lists %s: %s", name, other, text)
			}
		}
	}
	if text := said("ME1-2"); strings.Contains(text, "2024-06-11-h-101.md:") {
		t.Errorf("check ME1-2 lists another position's: %s", text)
	}
}
