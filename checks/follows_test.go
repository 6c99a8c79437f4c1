package checks

import (
	"fmt"
	"maps"
	"slices"
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

// A stop that does not miss what could not be read is told for itself, whatever it may follow from.
func TestStopIsToldForItself(t *testing.T) {
	p := logbook.Problem{Slip: logbook.SlipNotClosed}
	at := logbook.Place{Path: "overhauls/me1/c4/2020-03-01-h-4.md", Line: 1, Column: 1}
	all := []Finding{{Place: at, Check: frontMatter.Name, Grade: Action, origin: &p},
		{Place: at, Check: roundIncomplete.Name, Grade: Stop}, {Place: at, Check: roundIncomplete.Name, Grade: Note}}
	if is := told(&logbook.Book{}, all, nil); len(is) != 2 || is[1].Grade != Stop || len(is[0].Related) != 1 {
		t.Errorf("told = %v, want the cause with the note under it, and the stop", is)
	}
}

// A stop that misses what could not be read is told under that, which is a stop then; one that misses something else
// stands beside it. Outside source: none.
func TestStopThatMissesWhatCannotBeRead(t *testing.T) {
	const path = "overhauls/me1/c4/2020-03-01-h-4.md"
	record := recordOf(4, "")
	for name, x := range map[string]struct {
		was, is string
		want    map[string]Grade
	}{
		"a word nobody knows": {"counter: 3200 h}\n---\n",
			"counter: 3200 h, leak_check: cold warm loaded, shields: ok}\n---\n",
			map[string]Grade{wordNotKnown.Name: Stop}},
		"the key stands elsewhere": {"as_left: {date: 2020-03-01}", "as_left: {date: 2020-03-01, shields: refitted}",
			map[string]Grade{unknownKey.Name: Stop}},
		"something else was not read": {"as_left: {date: 2020-03-01}", "as_left: {date: 2020-03-01, oil: warm}",
			map[string]Grade{leakCheck.Name: Stop, numberForm.Name: Action}},
	} {
		book := folder(t, "testdata/base")
		book[path] = &fstest.MapFile{Data: []byte(strings.Replace(record, x.was, x.is, 1))}
		b, err := logbook.Read(book)
		if err != nil {
			t.Fatal(err)
		}
		is := map[string]Grade{}
		for _, f := range Run(b, Options{Only: []*Check{leakCheck, wordNotKnown, unknownKey, numberForm}}).Findings {
			is[f.Check] = f.Grade
		}
		if !maps.Equal(is, x.want) {
			t.Errorf("%s: %v, want %v", name, is, x.want)
		}
	}
}

// What followed from a finding that was answered, deferred or closed is told for itself again. Outside source: none.
func TestWhatIsNotOpenHidesNothing(t *testing.T) {
	at := logbook.Place{Path: "overhauls/me1/c4/2020-03-01-h-4.md", Line: 1, Column: 1}
	all := func() []Finding {
		return []Finding{{Place: at, Check: frontMatter.Name, Grade: Action,
			origin: &logbook.Problem{Slip: logbook.SlipNotClosed}},
			{Place: at, Check: roundIncomplete.Name, Grade: Note}}
	}
	alone := map[subordinate]bool{}
	for _, x := range []struct {
		state State
		more  bool
	}{{Open, false}, {Corrected, false}, {Answered, true}, {Answered, false}} {
		r := Report{Findings: told(&logbook.Book{}, all(), alone)}
		r.Findings[0].State = x.state
		if more := r.letGo(alone); more != x.more {
			t.Errorf("%s: let go is %v, want %v", x.state, more, x.more)
		}
	}
	if is := told(&logbook.Book{}, all(), alone); len(is) != 2 {
		t.Errorf("told = %v, want the answered one and beside it what followed", is)
	}
}

// An engine without a limits file hides nothing of what went in and came out; one of another name does. Outside source:
// none.
func TestEngineWithoutLimitsHidesNothing(t *testing.T) {
	for _, x := range []struct {
		message string
		says    saying
		want    int
	}{{"engine ME1 names no limits file: nothing of it is judged", 0, 2},
		{`opening.fitted.engine "ME2": no engine of that id in book.md`, noSuchPlace, 1}} {
		all := []Finding{{Place: logbook.Place{Path: "book.md", Line: 3, Column: 11}, Check: nameUnknown.Name, Grade: Action,
			Message: x.message, says: x.says}, {Place: logbook.Place{Path: "overhauls/me1/c1/a.md", Line: 4, Column: 1}, Grade: Action,
			Check: fitAndRemoval.Name, Message: "ME1-1: holder H-1 came out on 2020-07-01, but no valve is on record there"}}
		if is := told(&logbook.Book{}, all, nil); len(is) != x.want {
			t.Errorf("%q: %d findings, want %d: %v", x.message, len(is), x.want, is)
		}
	}
}

// A slip in one line that many records are held against is asked about at that line, once. Outside source: none.
func TestSlipThatManyRestOnIsOneFinding(t *testing.T) {
	honest := folder(t, "testdata/base")
	for year := 2020; year <= 2022; year++ {
		for cylinder := 1; cylinder <= 4; cylinder++ {
			path := fmt.Sprintf("overhauls/me1/c%d/%d-03-01-h-%d.md", cylinder, year, cylinder)
			text := fmt.Sprintf("---\nholder: \"H-%[1]d\"\nnozzle: {found: \"N-%[1]d\", left: \"N-%[1]d\"}\n"+
				"removed: {engine: ME1, cylinder: %[1]d, date: %[2]d-03-01, reason: planned}\n"+
				"as_found: not done (no bench)\nmeasured: {seat_diameter: {value: 4.1 mm, with: DG-1}}\n"+
				"as_left: {date: %[2]d-03-01, gauge: PG-1, opening_pressure: [300 bar, 305 bar, 300 bar], "+
				"spray: {open: 8, pattern: even}}\n"+
				"fitted: {engine: ME1, cylinder: %[1]d, date: %[2]d-03-01}\n---\n", cylinder, year)
			honest[path] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	watched := []*Check{unitMistaken, figureNotBelieved, limitMissed, sprayAsLeft, sprayHoles, gaugeRange, instrumentForm,
		seatDiameterOver, readingsSpread}
	says := func(files fstest.MapFS) []Finding {
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		return Run(b, Options{Only: watched}).Findings
	}
	if is := says(honest); len(is) != 0 {
		t.Fatalf("an honest book has findings: %v", is)
	}
	for _, x := range []struct{ path, was, is, check string }{
		{"limits/4t20.md", "count: 8", "count: 88", limitMissed.Name},
		{"limits/4t20.md", "nominal: 4.0 mm", "nominal: 4.0 µm", figureNotBelieved.Name},
		{"limits/4t20.md", "nominal: 4.0 mm", "nominal: 40 mm", figureNotBelieved.Name},
		{"instruments/pg-1.md", "0 .. 600 bar", "0 .. 60 bar", instrumentForm.Name},
	} {
		slipped := maps.Clone(honest)
		text := strings.Replace(string(honest[x.path].Data), x.was, x.is, 1)
		slipped[x.path] = &fstest.MapFile{Data: []byte(text)}
		if is := says(slipped); len(is) != 1 || is[0].Check != x.check || is[0].Place.Path != x.path {
			t.Errorf("%q: %d findings, want one of %s in %s: %v", x.is, len(is), x.check, x.path, is)
		}
	}
}

// What does not know a name is told under the file that could not be read and holds it, or under the slip of one letter
// at its source; a name that stands in neither is told for itself. Outside source: none.
func TestNameThatCouldNotBeReadIsToldThere(t *testing.T) {
	book := folder(t, "testdata/base")
	const unread = "overhauls/me1/c4/2020-03-01-h-4.md"
	text := strings.ReplaceAll(strings.TrimSuffix(recordOf(4, ""), "---\n"), "N-4", "N-11")
	book[unread] = &fstest.MapFile{Data: []byte(text)}
	b, err := logbook.Read(book)
	if err != nil {
		t.Fatal(err)
	}
	unknown := func(serial string) Finding {
		return Finding{Place: logbook.Place{Path: "stores/stock.csv", Line: 7, Column: 1}, Check: serialUnknown.Name,
			Grade: Advice, About: About{Nozzle: serial}, Message: "serial " + serial + " of the stores is named nowhere else"}
	}
	notRead := Finding{Place: logbook.Place{Path: unread, Line: 1, Column: 1}, Check: frontMatter.Name, Grade: Action,
		origin: &logbook.Problem{Slip: logbook.SlipNotClosed}}
	for serial, want := range map[string]int{"N-11": 1, "N-1": 2, "N-113": 2} {
		if is := told(b, []Finding{notRead, unknown(serial)}, nil); len(is) != want {
			t.Errorf("%s: %d findings, want %d: %v", serial, len(is), want, is)
		}
	}
	copied := Finding{Place: logbook.Place{Path: "stores/stock.orig.csv", Line: 1, Column: 1}, Check: recordName.Name,
		Grade: Action, origin: &logbook.Problem{Slip: logbook.SlipCopy, Found: "copy of stock: every value is the same"}}
	low := Finding{Place: logbook.Place{Path: "stores/stock.csv", Line: 9, Column: 1}, Check: stockLow.Name, Grade: Advice,
		Message: "nozzles on board 3, minimum 6"}
	if is := told(b, []Finding{copied, low}, nil); len(is) != 2 {
		t.Errorf("beside a copy of the stores, what is short gives %v, want both", is)
	}
	crew := Finding{Place: logbook.Place{Path: "crew.csv", Line: 3, Column: 1}, Check: serialLetters.Name, Grade: Action,
		Message: "id is written otherwise"}
	for person, want := range map[string]int{"a.twp": 1, "d.five": 2} {
		asked := Finding{Place: logbook.Place{Path: "overhauls/x.md", Line: 9, Column: 5}, Check: nameUnknown.Name,
			Grade: Action, Message: "by \"" + person + "\": no person of that id in crew.csv"}
		if is := told(b, []Finding{crew, asked}, nil); len(is) != want {
			t.Errorf("%s: %d findings, want %d: %v", person, len(is), want, is)
		}
	}
}

// What is said of one line, of lines that name each other, and of what one value keeps from being read, is one finding.
// Outside source: none.
func TestOneSlipIsOneFinding(t *testing.T) {
	honest := folder(t, "testdata/base")
	honest["overhauls/me1/c4/2020-03-01-h-4.md"] = &fstest.MapFile{Data: []byte("---\nholder: \"H-4\"\nnozzle: {found: " +
		"\"N-4\", left: \"N-4\"}\n" +
		"removed: {engine: ME1, cylinder: 4, date: 2020-03-01, counter: 1600 h, reason: planned}\nas_found: not done " +
		"(no bench)\n" +
		allInspected + "\nassembled: {dowels: seated}\nas_left: {date: 2020-03-01}\n---\n")}
	honest["handovers/2020-06-01-second-engineer.md"] = &fstest.MapFile{Data: []byte("---\ndate: 2020-06-01\nrank: " +
		"second engineer\nfrom: a.two\nto: d.five\n---\n")}
	honest["crew.csv"] = &fstest.MapFile{Data: []byte("id,name,rank,from,to\nc.one,C. One,chief " +
		"engineer,2020-01-01,2020-12-01\n" +
		"a.two,A. Two,second engineer,2020-01-01,2020-06-01\nd.five,D. Five,second engineer,2020-06-01,2020-12-01\n")}
	for name, x := range map[string]struct{ path, was, is, check string }{
		"a word of the inspection": {"overhauls/me1/c4/2020-03-01-h-4.md", "tip: good", "tip: goof", "word-not-known"},
		"a block of another name":  {"overhauls/me1/c4/2020-03-01-h-4.md", "inspected:", "inspecded:", "unknown-key"},
		"the day of a handover": {"handovers/2020-06-01-second-engineer.md", "date: 2020-06-01", "date: 2010-06-01",
			"file-name"},
		"the person of a handover": {"handovers/2020-06-01-second-engineer.md", "to: d.five", "to: d.fivr", "not-aboard"},
		"a date in the list of crew": {"crew.csv", "d.five,D. Five,second engineer,2020-06-01",
			"d.five,D. Five,second engineer,2020-16-01", "date-form"},
		"what a gauge measures":     {"instruments/pg-1.md", "measures: pressure", "measures: presure", "word-not-known"},
		"a foreign letter in an id": {"crew.csv", "d.five,D. Five", "d.fіve,D. Five", "serial-letters"},
		"a table twice": {"hours/me2.csv", "2022-01-01,8200,",
			"2022-01-01,8200,\ndate,counter_h,note\n2020-01-01,1000,\n2020-07-01,2800,", "table-form"},
		"two cells exchanged": {"hours/me2.csv", "2020-07-01,2800,", "2800,2020-07-01,", "date-form"},
		"two lines exchanged": {"hours/me2.csv", "2021-01-01,4600,\n2022-01-01,8200,",
			"2021-01-01,8200,\n2022-01-01,4600,", "counter-backwards"},
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

// A second valve in a bore is told for itself, whatever was wrong with other records of the valve that sits there.
// Outside source: none.
func TestAnOldFindingTakesInNoNewOne(t *testing.T) {
	files := maps.Clone(folder(t, "../example-vessel"))
	const path = "overhauls/me1/c4/2024-06-11-h-110.md"
	text := string(files[path].Data)
	files[path] = &fstest.MapFile{Data: []byte(strings.Replace(text, "\nby:", "\nfitted: {engine: ME2, cylinder: 5, "+
		"date: 2024-06-24, counter: 58921 h, rings_in: 1, leak_check: cold warm loaded, shields: refitted}\nby:", 1))}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range Run(b, Options{}).Findings {
		if f.Check == fitAndRemoval.Name && f.Place.Path == path && strings.Contains(f.Message, "H-105") {
			return
		}
	}
	t.Error("H-110 went into ME2-5, where H-105 sits, and no finding of its own says so")
}

// Two values of one file that were exchanged are one finding: what cannot be read at either is expected at the other.
// Three are not, and neither are two that nothing ties. Outside source: none.
func TestExchangedValuesAreOneFinding(t *testing.T) {
	slip := func(line int, found, expected string) Finding {
		return Finding{Place: logbook.Place{Path: "limits/a.md", Line: line, Column: 3}, Check: wordNotKnown.Name,
			Grade:  Action,
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

// A finding that others are told under is as grave as the gravest of them.
func TestCauseIsAsGraveAsWhatFollows(t *testing.T) {
	for _, c := range []struct{ is, told, want Grade }{{Advice, Action, Action}, {Advice, Stop, Stop},
		{Action, Note, Action},
		{Stop, Action, Stop}, {Note, Advice, Advice}} {
		f := Finding{Grade: c.is}
		if f.tells(Finding{Grade: c.told}, follows); f.Grade != c.want {
			t.Errorf("%s with %s told under it is %s, want %s", c.is, c.told, f.Grade, c.want)
		}
	}
}

// What is open only because who answered had no post by the crew list is told under what is open about that person's
// line there; what another answered, and a stop, is told for itself. Outside source: none.
func TestAnswersThatDoNotCountAreToldAtTheCrewList(t *testing.T) {
	b, err := logbook.Read(folder(t, "testdata/base"))
	if err != nil {
		t.Fatal(err)
	}
	crew := Finding{Place: b.Crew[0].Place, Check: dateOutOfPlace.Name, Grade: Advice}
	held := func(by string, g Grade) Finding {
		return Finding{Place: logbook.Place{Path: "overhauls/x.md", Line: 9, Column: 5}, Check: asFoundMissing.Name, Grade: g,
			heldBy: by}
	}
	for name, x := range map[string]struct {
		of   Finding
		want int
	}{
		"of that person":    {held(b.Crew[0].ID.Written, Action), 1},
		"of another person": {held("d.five", Action), 2},
		"a stop":            {held(b.Crew[0].ID.Written, Stop), 2},
		"not answered":      {held("", Action), 2},
	} {
		is := answersTold(b, []Finding{crew, x.of})
		if len(is) != x.want || x.want == 1 && is[0].Grade != Action {
			t.Errorf("%s: %d findings, want %d: %v", name, len(is), x.want, is)
		}
	}
}

// What is said of a value, and of its comparison with another one, is one finding. Outside source: none.
func TestAComparisonIsToldUnderItsValue(t *testing.T) {
	at := func(line int) logbook.Place { return logbook.Place{Path: "overhauls/x.md", Line: line, Column: 5} }
	better := Finding{Place: at(9), Check: leakDownBetter.Name, Grade: Advice, Related: []Related{{at(40), "as left"}}}
	for name, x := range map[string]struct {
		of   Finding
		want int
	}{
		"at its place":       {Finding{Place: at(9), Check: leakDownSlowAsFound.Name, Grade: Advice}, 1},
		"at the other value": {Finding{Place: at(40), Check: leakDownSlow.Name, Grade: Action}, 1},
		"at neither":         {Finding{Place: at(12), Check: leakDownSlow.Name, Grade: Action}, 2},
		"of something else":  {Finding{Place: at(9), Check: openingLost.Name, Grade: Advice}, 2},
	} {
		if is := comparedTold([]Finding{x.of, better}); len(is) != x.want {
			t.Errorf("%s: %d findings, want %d: %v", name, len(is), x.want, is)
		}
	}
}

// A record in which something could not be read counts among those that lack a measurement: the other one that lacks
// it is not the only one. Outside source: none.
func TestARecordWithASlipCountsAmongTheOthers(t *testing.T) {
	for slip, want := range map[string]int{"": 0, "oops: [": 0, "all have it": 1} {
		book := folder(t, "testdata/base")
		for i := 1; i <= 6; i++ {
			face, more := ", face_contact: 90 %", ""
			if i == 1 || i == 2 && slip != "all have it" {
				face = ""
			}
			if i == 2 && slip == "oops: [" {
				more = "cleaned: {needle_wetted: yess}\n"
			}
			book[fmt.Sprintf("overhauls/me1/c%[1]d/2020-03-01-h-%[1]d.md", i)] = &fstest.MapFile{Data: []byte(fmt.Sprintf(
				"---\nholder: \"H-%[1]d\"\nnozzle: {found: \"N-%[1]d\", left: \"N-%[1]d\"}\n"+
					"removed: {engine: ME1, cylinder: %[1]d, date: 2020-03-01, counter: 1600 h, reason: planned}\n"+
					"measured: {lift: 0.55 mm%[2]s}\n%[3]sas_left: {date: 2020-03-01}\n---\n", i, face, more))}
		}
		b, err := logbook.Read(book)
		if err != nil {
			t.Fatal(err)
		}
		is := slices.DeleteFunc(Run(b, Options{Only: []*Check{entryIncomplete}}).Findings, func(f Finding) bool {
			return !strings.Contains(f.Message, "face_contact")
		})
		if len(is) != want {
			t.Errorf("%q: %d findings, want %d: %v", slip, len(is), want, is)
		}
	}
}

// Many files that one editor saved with a mark before the text are one note. No outside source.
func TestManyByteOrderMarks(t *testing.T) {
	for _, c := range []struct{ files, want int }{{2, 2}, {12, 1}} {
		files := folder(t, "testdata/base")
		for i := range c.files {
			files[fmt.Sprintf("parts/n-%d.md", 900+i)] = &fstest.MapFile{Data: fmt.Appendf(nil,
				"\ufeff---\nserial: N-%d\nkind: nozzle\n---\n", 900+i)}
		}
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		all := Run(b, Options{Only: []*Check{byteOrderMark}}).Findings
		if len(all) != c.want || c.want == 1 && all[0].Message != "files saved with a byte-order mark: 12 entries do not fit" {
			t.Errorf("%d files: %d findings %+v, want %d", c.files, len(all), all, c.want)
		}
	}
}
