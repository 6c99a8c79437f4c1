package checks

import (
	"fmt"
	"maps"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// recordOf is the record of one cylinder's valve, taken out and fitted again on one day.
func recordOf(cylinder int, more string) string {
	return fmt.Sprintf("---\nholder: \"H-%[1]d\"\nnozzle: {found: \"N-%[1]d\", left: \"N-%[1]d\"}\n"+
		"removed: {engine: ME1, cylinder: %[1]d, date: 2020-03-01, counter: 3200 h, reason: planned}\n"+
		"as_found: not done (no bench)\nas_left: {date: 2020-03-01}\n%[2]s"+
		"fitted: {engine: ME1, cylinder: %[1]d, date: 2020-03-01, counter: 3200 h}\n---\n", cylinder, more)
}

// What follows from one slip is told under it, with its place.
func TestWhatFollowsIsToldOnce(t *testing.T) {
	at := func(cylinder int) string {
		return fmt.Sprintf("overhauls/me1/c%d/2020-03-01-h-%d.md", cylinder, cylinder)
	}
	for name, x := range map[string]struct {
		change  func(files map[string]string)
		only    []*Check
		place   string   // of the one finding
		says    string   // in its message
		follows []string // what is told under it, each in one related place at least
	}{
		"a record without its closing dashes": {
			change:  func(f map[string]string) { f[at(4)] = strings.TrimSuffix(f[at(4)], "---\n") },
			only:    []*Check{frontMatter, roundIncomplete, fitAndRemoval},
			place:   at(4),
			says:    "no closing one",
			follows: []string{"cylinder 4 was not opened"},
		},
		"a person in no list": {
			change: func(f map[string]string) {
				for i := 1; i <= 4; i++ {
					f[at(i)] = strings.Replace(f[at(i)], "---\n", "---\nby: k.nobody\n", 1)
				}
			},
			only:    []*Check{nameUnknown},
			place:   at(1),
			says:    "as 3 more",
			follows: []string{at(2), at(4)},
		},
		"the dates of a table in another form": {
			change: func(f map[string]string) {
				f["running/me1.csv"] = "date,cylinder,load_pct\n" + strings.Repeat("2020/03/01,1,80\n", 5)
			},
			only:    []*Check{dateForm},
			place:   "running/me1.csv",
			says:    "as 4 more",
			follows: []string{"running/me1.csv:6:1"},
		},
		"a date before the book began": {
			change: func(f map[string]string) {
				f[at(4)] = strings.Replace(f[at(4)], "cylinder: 4, date: 2020", "cylinder: 4, date: 1920", 1)
			},
			only:    []*Check{dateOrder, roundIncomplete, recordName, hoursDiffer},
			place:   at(4),
			says:    "1920-03-01 lies before the book begins",
			follows: []string{"expected 1920-03-01-h-4", "cylinder 4 was not opened"},
		},
		"a part's serial in a file of another name": {
			change: func(f map[string]string) {
				f["parts/n-11.md"] = "---\nserial: \"N-12\"\nkind: nozzle\n---\n"
			},
			only:    []*Check{fileName, recordName},
			place:   "parts/n-11.md",
			says:    "serial N-12 is in n-11.md",
			follows: []string{"expected n-12, the serial in it"},
		},
		"a valve fitted to another cylinder": {
			change: func(f map[string]string) {
				f[at(4)] = strings.Replace(f[at(4)], "fitted: {engine: ME1, cylinder: 4, date: 2020-03-01",
					"fitted: {engine: ME1, cylinder: 3, date: 2020-02-01", 1)
			},
			only:    []*Check{dateOrder, fitAndRemoval, counterBackwards},
			place:   at(4),
			says:    "fitted 2020-02-01, 29 days before it was tested as left",
			follows: []string{at(4), "ME1-3: holder H-4 was fitted on 2020-02-01"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			files := map[string]string{}
			for i := 1; i <= 4; i++ {
				files[at(i)] = recordOf(i, "")
			}
			x.change(files)
			book := folder(t, "testdata/base")
			for path, text := range files {
				book[path] = &fstest.MapFile{Data: []byte(text)}
			}
			b, err := logbook.Read(book)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range Run(b, Options{Only: x.only}).Findings {
				if f.Place.Path != x.place || !strings.Contains(f.Message, x.says) {
					t.Errorf("beside it: %s %s", f.Place, f.Message)
					continue
				}
				told := fmt.Sprint(f.Related)
				for _, want := range x.follows {
					if !strings.Contains(told, want) {
						t.Errorf("%q is not told under it: %s", want, told)
					}
				}
			}
		})
	}
}

// A stop is told for itself, whatever it may follow from.
func TestStopIsToldForItself(t *testing.T) {
	p := logbook.Problem{Slip: logbook.SlipNotClosed}
	at := logbook.Place{Path: "overhauls/me1/c4/2020-03-01-h-4.md", Line: 1, Column: 1}
	all := []Finding{{Place: at, Check: frontMatter.Name, Grade: Action, origin: &p},
		{Place: at, Check: roundIncomplete.Name, Grade: Stop}, {Place: at, Check: roundIncomplete.Name, Grade: Note}}
	if is := told(&logbook.Book{}, all); len(is) != 2 || is[1].Grade != Stop || len(is[0].Related) != 1 {
		t.Errorf("told = %v, want the cause with the note under it, and the stop", is)
	}
}

// What is said of one line, of lines that name each other, and of what one value keeps from being read, is one finding.
// Outside source: none.
func TestOneSlipIsOneFinding(t *testing.T) {
	honest := folder(t, "testdata/base")
	honest["overhauls/me1/c4/2020-03-01-h-4.md"] = &fstest.MapFile{Data: []byte("---\nholder: \"H-4\"\nnozzle: {found: \"N-4\", left: \"N-4\"}\n" +
		"removed: {engine: ME1, cylinder: 4, date: 2020-03-01, counter: 1600 h, reason: planned}\nas_found: not done (no bench)\n" +
		allInspected + "\nassembled: {dowels: seated}\nas_left: {date: 2020-03-01}\n---\n")}
	honest["handovers/2020-06-01-second-engineer.md"] = &fstest.MapFile{Data: []byte("---\ndate: 2020-06-01\nrank: second engineer\nfrom: a.two\nto: d.five\n---\n")}
	honest["crew.csv"] = &fstest.MapFile{Data: []byte("id,name,rank,from,to\nc.one,C. One,chief engineer,2020-01-01,2020-12-01\n" +
		"a.two,A. Two,second engineer,2020-01-01,2020-06-01\nd.five,D. Five,second engineer,2020-06-01,2020-12-01\n")}
	for name, x := range map[string]struct{ path, was, is, check string }{
		"a word of the inspection":   {"overhauls/me1/c4/2020-03-01-h-4.md", "tip: good", "tip: goof", "word-not-known"},
		"a block of another name":    {"overhauls/me1/c4/2020-03-01-h-4.md", "inspected:", "inspecded:", "unknown-key"},
		"the day of a handover":      {"handovers/2020-06-01-second-engineer.md", "date: 2020-06-01", "date: 2010-06-01", "file-name"},
		"the person of a handover":   {"handovers/2020-06-01-second-engineer.md", "to: d.five", "to: d.fivr", "not-aboard"},
		"a date in the list of crew": {"crew.csv", "d.five,D. Five,second engineer,2020-06-01", "d.five,D. Five,second engineer,2020-16-01", "date-form"},
		"what a gauge measures":      {"instruments/pg-1.md", "measures: pressure", "measures: presure", "word-not-known"},
		"two cells exchanged":        {"hours/me2.csv", "2020-07-01,2800,", "2800,2020-07-01,", "date-form"},
		"two lines exchanged":        {"hours/me2.csv", "2021-01-01,4600,\n2022-01-01,8200,", "2021-01-01,8200,\n2022-01-01,4600,", "counter-backwards"},
	} {
		says := func(files fstest.MapFS) (all []Finding) {
			b, err := logbook.Read(files)
			if err != nil {
				t.Fatal(err)
			}
			return Run(b, Options{}).Findings
		}
		before := map[string]bool{}
		for _, f := range says(honest) {
			before[f.Check+f.Message] = true
		}
		slipped := maps.Clone(honest)
		text := string(honest[x.path].Data)
		if !strings.Contains(text, x.was) {
			t.Fatalf("%s: %s holds no %q", name, x.path, x.was)
		}
		slipped[x.path] = &fstest.MapFile{Data: []byte(strings.Replace(text, x.was, x.is, 1))}
		var fresh []Finding
		for _, f := range says(slipped) {
			if !before[f.Check+f.Message] {
				fresh = append(fresh, f)
			}
		}
		if len(fresh) != 1 || fresh[0].Check != x.check || fresh[0].Place.Path != x.path {
			t.Errorf("%s: %d findings, want one of %s in %s: %v", name, len(fresh), x.check, x.path, fresh)
		}
	}
}

// Two values of one file that were exchanged are one finding: what cannot be read at either is expected at the other. Three are not,
// and neither are two that nothing ties. Outside source: none.
func TestExchangedValuesAreOneFinding(t *testing.T) {
	slip := func(line int, found, expected string) Finding {
		return Finding{Place: logbook.Place{Path: "limits/a.md", Line: line, Column: 3}, Check: wordNotKnown.Name, Grade: Action,
			origin: &logbook.Problem{Slip: logbook.SlipWord, Found: found, Expected: expected}, Message: found}
	}
	tip, nut := slip(3, "re-checked", "one of: dry, weeping, runs"), slip(9, "dry", "one of: tight, re-checked, loose")
	if is := exchangedTold([]Finding{tip, nut}); len(is) != 1 || len(is[0].told) != 1 || is[0].told[0].at != nut.Place {
		t.Errorf("two words exchanged give %v, want the first with the second under it", is)
	}
	other := slip(9, "drie", "one of: tight, re-checked, loose")
	if is := exchangedTold([]Finding{tip, other}); len(is) != 2 {
		t.Errorf("two words that nobody knows give %v, want both", is)
	}
	if is := exchangedTold([]Finding{tip, nut, slip(12, "dry", "one of: tight, re-checked, loose")}); len(is) != 2 {
		t.Errorf("a third word gives %v, want it beside the two that are one", is)
	}
}

// A finding that others are told under asks for action where one of them does, and is a stop only by itself.
func TestCauseIsAsGraveAsWhatFollows(t *testing.T) {
	for _, c := range []struct{ is, told, want Grade }{{Advice, Action, Action}, {Advice, Stop, Action}, {Action, Note, Action},
		{Stop, Action, Stop}, {Note, Advice, Advice}} {
		f := Finding{Grade: c.is}
		if f.tells(Finding{Grade: c.told}, follows); f.Grade != c.want {
			t.Errorf("%s with %s told under it is %s, want %s", c.is, c.told, f.Grade, c.want)
		}
	}
}
