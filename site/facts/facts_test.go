package facts

import (
	"slices"
	"testing"
	"time"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// factsOf are the facts of the small book that the checks are tried on, with the files given laid over it and a history.
func factsOf(t *testing.T, trail *logbook.Trail, over map[string]string) *Facts {
	t.Helper()
	all, err := invent.Laid(over, "../../checks/testdata/base", "../testdata/ordinary")
	if err != nil {
		t.Fatal(err)
	}
	book, err := logbook.Read(all)
	if err != nil {
		t.Fatal(err)
	}
	return Of(Input{Book: book, Report: checks.Run(book, checks.Options{Trail: trail}), Trail: trail, Files: all})
}

func day(t *testing.T, text string) logbook.Day {
	t.Helper()
	d, err := logbook.ParseDay(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

const (
	first  = "overhauls/me1/c1/2020-07-01-h-1.md"
	second = "overhauls/me1/c2/2020-07-02-h-2.md"
)

// TestEngineHours adds up the hours of both engines, from the opening state on; an engine without readings counts nothing.
// Worked by hand from the tables of hours: 1000 h on 2020-01-01, 2800 h on 2020-07-01, for each engine.
func TestEngineHours(t *testing.T) {
	k := factsOf(t, nil, nil)
	for _, from := range []string{"2019-01-01", "2020-01-01"} {
		if got := k.EngineHours(day(t, from), day(t, "2020-07-01")); got != 3600 {
			t.Errorf("from %s: %g h", from, got)
		}
	}
	k = factsOf(t, nil, map[string]string{"book.md": "---\nvessel: V\nengines:\n  - {id: ME1, cylinders: [1], limits: 4t20}\n---\n",
		"hours/me1.csv": "date,counter_h,note\n2020-03-01,1000,\n2020-07-01,2800,\n"})
	if got := k.EngineHours(day(t, "2020-01-01"), day(t, "2020-07-01")); got != 0 {
		t.Errorf("from before the first reading: %g h, want none that are known", got)
	}
	k = factsOf(t, nil, map[string]string{"hours/me2.csv": "date,counter_h,note\n"})
	if got := k.EngineHours(day(t, "2020-01-01"), day(t, "2020-07-01")); got > 1800 {
		t.Errorf("with the readings of one engine: %g h", got)
	}
}

// TestStanding counts the lifts under a text: one signed, two countersigned by a chief, three reviewed, none where somebody saw another
// text or nobody vouches.
func TestStanding(t *testing.T) {
	seen := func(role string, state logbook.CounterState) logbook.Countersignature {
		return logbook.Countersignature{Signer: "x@test", Role: role, State: state}
	}
	later := seen("chief", logbook.Countersigned)
	later.Added = []logbook.ValueChange{{Path: "fitted.date"}}
	for _, c := range []struct {
		name    string
		state   logbook.State
		seen    []logbook.Countersignature
		strokes int
		loud    bool
	}{
		{"signed", logbook.Signed, nil, 1, false},
		{"countersigned", logbook.Signed, []logbook.Countersignature{seen("chief", logbook.Countersigned)}, 2, false},
		{"reviewed", logbook.Signed, []logbook.Countersignature{seen("superintendent", logbook.Countersigned)}, 3, false},
		{"both", logbook.Signed, []logbook.Countersignature{seen("superintendent", logbook.Countersigned), seen("chief", logbook.Countersigned)}, 3, false},
		{"not counted", logbook.Signed, []logbook.Countersignature{seen("chief", logbook.NotCounted)}, 1, false},
		{"changed since", logbook.Signed, []logbook.Countersignature{seen("chief", logbook.ChangedSince), seen("superintendent", logbook.Countersigned)}, 0, true},
		{"refused", logbook.Signed, []logbook.Countersignature{seen("chief", logbook.Refused)}, 0, true},
		{"whole and in part", logbook.Signed, []logbook.Countersignature{later, seen("chief", logbook.Countersigned)}, 2, false},
		{"unsigned", logbook.Unsigned, nil, 0, true},
	} {
		k := factsOf(t, nil, nil)
		r := &logbook.RecordTrail{Path: first, Versions: []logbook.Version{{Path: first, State: c.state}}, Countersignatures: c.seen}
		if c.state.Speaks() {
			r.Signers = []string{"a.two@test"}
		}
		k.Trail = &logbook.Trail{UnderGit: true, Commits: []logbook.Commit{{State: c.state, Signer: "a.two@test", Person: "a.two"}},
			Records: map[string]*logbook.RecordTrail{first: r}}
		st := k.StandingOf(first)
		if st.Strokes != c.strokes || st.Loud != c.loud || st.Words == "" {
			t.Errorf("%s: %+v, want %d lifts, loud %t", c.name, st, c.strokes, c.loud)
		}
	}
	k := factsOf(t, nil, nil)
	if st := k.StandingOf(first); st.Strokes != 0 || !st.Loud {
		t.Errorf("a plain folder: %+v", st)
	}
}

// TestSetBy finds the commit of a value: its own, the newest of a group, none where the folder holds another text.
func TestSetBy(t *testing.T) {
	k := factsOf(t, nil, nil)
	k.Trail = &logbook.Trail{UnderGit: true, Commits: []logbook.Commit{{ID: "a"}, {ID: "b"}, {ID: "c"}},
		Records: map[string]*logbook.RecordTrail{first: {Versions: []logbook.Version{{Commit: 2}}, Values: map[string]logbook.Setting{
			"as_left.leak_down.time": {Commit: 1, Written: "9.8 s"}, "measured.lift.value": {Commit: 0, Written: "0.56 mm"},
			"measured.holder_wear.value": {Commit: 2, Written: "0.01 mm"}, "measured_else": {Commit: 1}, "tries[0].date": {Commit: 1}}},
			second: {Versions: []logbook.Version{{Commit: 1}}}}}
	for _, c := range []struct{ path, key, want string }{
		{first, "as_left.leak_down.time", "b"}, {first, "measured.lift", "a"}, {first, "measured", "c"}, {first, "tries", "b"},
		{first, "as_found", ""}, {first, "", ""}, {second, "anything", "b"}, {"none.md", "x", ""},
	} {
		got := ""
		if found := k.SetBy(c.path, c.key); found != nil {
			got = found.ID
		}
		if got != c.want {
			t.Errorf("SetBy(%s, %q) = %q, want %q", c.path, c.key, got, c.want)
		}
	}
	k.folderTexts = map[string]map[string]string{first: {"as_left.leak_down.time": "7.7 s", "measured.lift.value": "0.56 mm"}, second: {}}
	if c := k.SetBy(first, "as_left.leak_down.time"); c != nil {
		t.Errorf("a value that the folder holds otherwise is of the commit %s", c.ID)
	}
	if c := k.SetBy(first, "measured.lift"); c == nil || c.ID != "a" {
		t.Errorf("a value that the folder holds as committed is of %v", c)
	}
	if c := k.SetBy(second, "anything"); c != nil {
		t.Errorf("a changed file is of the commit %s", c.ID)
	}
}

// TestDayOf takes the day of a value from the block that it stands in.
func TestDayOf(t *testing.T) {
	on := func(text string) logbook.Date { return logbook.Date{Day: day(t, text)} }
	o := &logbook.Overhaul{}
	o.Removed.Date, o.AsFound.Date, o.AsLeft.Date, o.Fitted.Date = on("2020-07-01"), on("2020-07-02"), on("2020-07-04"), on("2020-07-09")
	for key, want := range map[string]string{"as_found.gauge": "2020-07-02", "measured.lift.with": "2020-07-02", "as_left.gauge": "2020-07-04",
		"assembled.nozzle_nut.wrench": "2020-07-04", "fitted.clamp_nuts.wrench": "2020-07-09"} {
		if got := DayOf(o, key); got != day(t, want) {
			t.Errorf("DayOf(%s) = %s, want %s", key, got, want)
		}
	}
	o.AsFound.Date = logbook.Date{}
	if got := DayOf(o, "as_found.gauge"); got != day(t, "2020-07-01") {
		t.Errorf("without a day as found: %s", got)
	}
}

// TestPerson names a person by the crew list as it stood on the day, and by the id where it says nothing.
func TestPerson(t *testing.T) {
	k := factsOf(t, nil, map[string]string{"crew.csv": "id,name,rank,from,to\na.two,A. Two,third engineer,2020-01-01,2020-06-30\n" +
		"a.two,A. Two,second engineer,2020-07-01,\nb.x,,,2020-01-01,\nc.y,C. Y,,2020-01-01,\n"})
	for _, c := range []struct{ id, on, want string }{
		{"a.two", "2020-03-01", "A. Two, third engineer"}, {"a.two", "2020-08-01", "A. Two, second engineer"},
		{"b.x", "2020-08-01", "b.x"}, {"c.y", "2020-08-01", "C. Y"}, {"nobody", "2020-08-01", "nobody"}, {"", "2020-08-01", ""},
	} {
		if got := k.Person(c.id, day(t, c.on)); got != c.want {
			t.Errorf("Person(%q, %s) = %q, want %q", c.id, c.on, got, c.want)
		}
	}
	if got := k.Signer("a.two@test", day(t, "2020-08-01")); got != "A. Two, second engineer" {
		t.Errorf("Signer = %q", got)
	}
	if got := k.Signer("nobody@test", 0); got != "nobody@test" {
		t.Errorf("Signer of somebody unknown = %q", got)
	}
}

// TestPeopleOf joins what a record says of its people with the commits that they signed.
func TestPeopleOf(t *testing.T) {
	k := factsOf(t, nil, nil)
	k.Trail = &logbook.Trail{UnderGit: true, Commits: []logbook.Commit{{ID: "a", State: logbook.Signed, Signer: "a.two@test"},
		{ID: "b", State: logbook.Adopted, Signer: "x@test", AdoptedBy: "c.one@test"}, {ID: "c", State: logbook.Unsigned, Signer: "z@test"}},
		Records: map[string]*logbook.RecordTrail{first: {Versions: []logbook.Version{{Commit: 0, State: logbook.Signed},
			{Commit: 1, State: logbook.Adopted}, {Commit: 2, State: logbook.Unsigned}}}}}
	people := k.PeopleOf(k.Book.Overhaul("2020-07-01-h-1"))
	if len(people) != 2 {
		t.Fatalf("%d people, want the one at the bench and the one who released it", len(people))
	}
	if p := people[0]; p.ID != "a.two" || p.Did != "bench work" || len(p.Commits) != 1 || p.Commits[0].ID != "a" {
		t.Errorf("the first is %+v", *p)
	}
	if p := people[1]; p.ID != "c.one" || p.Did != "decided and released" || p.Principal != "c.one@test" || p.Commits[0].ID != "b" {
		t.Errorf("the second is %+v", *p)
	}
}

// TestPresent says how long a valve has run and what is left, and when that is not known.
func TestPresent(t *testing.T) {
	k := factsOf(t, nil, nil)
	now := k.PresentIn(logbook.Position{Engine: "ME2", Cylinder: "1"})
	if now.ServicePeriod == nil || now.ServicePeriod.Holder != "H-5" || !now.RunKnown || now.Run != 14400 { // from 1000 to 15400 h
		t.Errorf("ME2-1 holds %+v", now)
	}
	for _, c := range []struct {
		n     Present
		want  float64
		known bool
	}{
		{Present{ServicePeriod: now.ServicePeriod, Run: 100, RunKnown: true, Limited: true, Interval: now.Interval}, now.Interval.Hours.Float() - 100, true},
		{Present{Run: 100, RunKnown: true, Limited: true}, 0, false},
		{Present{ServicePeriod: now.ServicePeriod, Run: 100, Limited: true}, 0, false},
		{Present{ServicePeriod: now.ServicePeriod, Run: 100, RunKnown: true}, 0, false},
	} {
		if got, known := c.n.Left(); got != c.want || known != c.known {
			t.Errorf("Left of %+v = %g, %t, want %g, %t", c.n, got, known, c.want, c.known)
		}
	}
	if n := k.PresentIn(logbook.Position{Engine: "ME9", Cylinder: "1"}); n.ServicePeriod != nil || n.RunKnown {
		t.Errorf("an unknown position holds %+v", n)
	}
}

// TestLives puts service periods on the hours of the engine and on those of the part.
func TestLives(t *testing.T) {
	k := factsOf(t, nil, nil)
	lives := k.LivesIn(logbook.Position{Engine: "ME1", Cylinder: "1"})
	if len(lives) != 2 || lives[0].Begin != 1000 || lives[0].End != 2800 || !lives[0].Ended || lives[1].Begin != 2800 || lives[1].Ended {
		t.Fatalf("the periods of ME1-1 are %+v", lives)
	}
	left, found := k.LeftAt(lives[0], OpeningPressure), k.FoundAt(lives[0], OpeningPressure)
	if left == nil || left.Value.String() != "300 bar" || found == nil || found.Value.String() != "280 bar" {
		t.Errorf("left at %v by the opening state, found at %v", left, found)
	}
	if v := k.LeftAt(lives[1], OpeningPressure); v == nil || v.Value.String() != "305 bar" {
		t.Errorf("left at %v by the record", v)
	}
	if k.LeftAt(lives[0], LeakDown) != nil || k.FoundAt(lives[1], OpeningPressure) != nil || k.LeftAt(lives[1], EffectiveStroke) != nil {
		t.Error("something is known that nothing tells")
	}
	own := LivesOf([]*logbook.ServicePeriod{{Hours: 700, To: 5}, {Hours: 300}}, 500)
	if own[0].Begin != 500 || own[0].End != 1200 || !own[0].Ended || own[1].Begin != 1200 || own[1].End != 1500 || own[1].Ended {
		t.Errorf("the periods of a part are %+v", own)
	}
	mean, known := MeanStay([]*logbook.ServicePeriod{{Hours: 700, HoursKnown: true, To: 5}, {Hours: 500, HoursKnown: true, To: 9}, {Hours: 9, HoursKnown: true},
		{Hours: 1, To: 3}})
	if mean != 600 || !known {
		t.Errorf("the mean of two that ended is %g, %t", mean, known)
	}
	if _, known := MeanStay(nil); known {
		t.Error("the mean of none is known")
	}
}

// TestFindings orders and gathers findings by what they concern.
func TestFindings(t *testing.T) {
	list := []*checks.Finding{{Grade: checks.Note, Message: "a"}, {Grade: checks.Stop, Message: "b"}, {Grade: checks.Note, Message: "c"},
		{Grade: checks.Action, Message: "d"}}
	text := ""
	for _, f := range ByGrade(list) {
		text += f.Message
	}
	if text != "bdac" || Gravest(list) != checks.Stop || Gravest(list[2:3]) != checks.Note || Gravest(nil) != 0 {
		t.Errorf("in the order %s, the gravest %v", text, Gravest(list))
	}
	k := factsOf(t, nil, nil)
	at := logbook.Position{Engine: "ME1", Cylinder: "1"}
	period := k.Lives.At(at, k.Today)
	about := func(kind checks.SubjectKind, name string, state checks.State) *checks.Finding {
		return &checks.Finding{Subject: checks.Subject{Kind: kind, Name: name}, State: state,
			About: checks.About{Position: at, Holder: period.Holder, Nozzle: period.Nozzle}}
	}
	own := []*checks.Finding{about(checks.OfPosition, "ME1-1", checks.Open), about(checks.OfPocket, "ME1-1", checks.Open),
		about(checks.OfHolder, period.Holder, checks.Open), about(checks.OfNozzle, period.Nozzle, checks.Open)}
	others := []*checks.Finding{about(checks.OfPosition, "ME1-2", checks.Open), about(checks.OfPocket, "ME2-1", checks.Open),
		about(checks.OfHolder, period.Nozzle, checks.Open), about(checks.OfHolder, "H-9", checks.Open),
		about(checks.OfRecord, "2020-07-01-h-1", checks.Open), about(checks.OfEngine, "ME1", checks.Open),
		about(checks.OfPocket, "ME1-1", checks.ClosedByWork), about(checks.OfHolder, period.Holder, checks.Answered)}
	k.Found = Findings{Subject: map[checks.Subject][]*checks.Finding{}}
	for _, f := range append(slices.Clone(others), own...) {
		k.Found.Subject[f.Subject] = append(k.Found.Subject[f.Subject], f)
	}
	if got := k.OpenOn(at); !slices.Equal(got, own) {
		t.Errorf("%d findings concern the cylinder and its valve, want %d", len(got), len(own))
	}
	things := append(checks.OfCylinder(at), checks.OfValve(period.Holder, period.Nozzle)...)
	if got := Naming(append(slices.Clone(others), own...), things...); len(got) != len(others)-2 || slices.Contains(got, own[0]) {
		t.Errorf("%d are about other things, want %d", len(got), len(others)-2)
	}
	if got := checks.OfValve("", ""); len(got) != 0 {
		t.Errorf("no valve is %v", got)
	}
}

// TestGravestNow is the newest of the gravest; a note asks nothing of anybody.
func TestGravestNow(t *testing.T) {
	k := &Facts{}
	older, newer, light := &checks.Finding{Grade: checks.Action}, &checks.Finding{Grade: checks.Action}, &checks.Finding{Grade: checks.Note}
	k.Ordered, k.Since = []*checks.Finding{older, newer, light}, map[*checks.Finding]logbook.Day{older: 5, newer: 9, light: 20}
	if k.GravestNow() != newer {
		t.Error("not the newest of the gravest")
	}
	if k.Ordered = k.Ordered[2:]; k.GravestNow() != nil {
		t.Error("a note is the gravest")
	}
	if k.Ordered = nil; k.GravestNow() != nil {
		t.Error("nothing is the gravest")
	}
}

// TestCompared tells what is new or graver from what is gone.
func TestCompared(t *testing.T) {
	finding := func(check string, g checks.Grade) checks.Finding {
		return checks.Finding{Check: check, Grade: g, Message: check, Place: logbook.Place{Path: "book.md", Line: 1, Column: 1}}
	}
	now := &checks.Report{Findings: []checks.Finding{finding("stays", checks.Note), finding("new", checks.Advice), finding("graver", checks.Stop),
		finding("milder", checks.Note)}}
	then := &checks.Report{Findings: []checks.Finding{finding("stays", checks.Note), finding("gone", checks.Action), finding("graver", checks.Advice),
		finding("milder", checks.Stop)}}
	k := &Facts{Input: Input{Report: now, Before: &Before{Report: then}}}
	fresh, gone := k.Compared()
	var names []string
	for _, f := range append(fresh, gone...) {
		names = append(names, f.Check)
	}
	if !slices.Equal(names, []string{"graver", "new", "gone"}) {
		t.Errorf("new and graver, then gone: %v", names)
	}
}

// TestDue reads the due list and what is to be ordered.
func TestDue(t *testing.T) {
	row := func(texts ...string) []paper.Cell {
		var cells []paper.Cell
		for _, x := range texts {
			cells = append(cells, paper.Text(x))
		}
		return cells
	}
	due := paper.Paper{Tables: []paper.Table{{Name: "due", Rows: [][]paper.Cell{row("2024-01-01 past", "", "calibration", "PG-1", "", "", ""),
		row("–", "", "valve", "H-9", "ME1-9", "", ""), row("2024-02-01 past", "", "valve", "H-1", "ME1-1", "1900 h", "100 h over"),
		row("2024-03-01", "", "valve", "H-2", "ME1-2", "", "")}}}}
	past, next := NextDue(due)
	if past != 2 || next == nil || *next != (Due{"2024-02-01 past", "H-1", "ME1-1", "1900 h", "100 h over"}) {
		t.Errorf("%d past, next %+v", past, next)
	}
	if LeftWords("100 h over") != "100 h over" || LeftWords("100 h") != "100 h left" {
		t.Error("what is left is said otherwise")
	}
	stores := paper.Paper{Tables: []paper.Table{{Columns: []string{"item", "to order"}, Rows: [][]paper.Cell{row("nozzle", "2"), row("seal", "0"),
		row("ring", "–")}}}}
	if got := ToOrder(stores); !slices.Equal(got, []string{"2 nozzle"}) {
		t.Errorf("to order: %q", got)
	}
}

// TestQuantile is R's quantile(x, p, type = 7). Source of the worked values: from memory, quantile(1:4, c(0, .25, .5, .75, 1)).
func TestQuantile(t *testing.T) {
	for share, want := range map[float64]float64{0: 1, 0.25: 1.75, 0.5: 2.5, 0.75: 3.25, 1: 4} {
		if got := Quantile([]float64{4, 1, 3, 2}, share); got != want {
			t.Errorf("quantile %g of 1 to 4 is %g, want %g", share, got, want)
		}
	}
	if got := Quantile([]float64{7}, 0.3); got != 7 {
		t.Errorf("quantile of one value is %g", got)
	}
}

// TestCloud gives the values of all but one, thinned evenly.
func TestCloud(t *testing.T) {
	var c Cloud
	for i := range 100 {
		c = append(c, cloudPoint{[]string{"1", "2"}[i%2], [2]float64{float64(i), 0}})
	}
	got := c.Others("1", 10)
	if len(got) != 10 || got[0][0] != 1 || got[9][0] != 91 {
		t.Errorf("others: %v", got)
	}
	if got := c.Others("1", 1000); len(got) != 50 {
		t.Errorf("%d others of 50", len(got))
	}
}

// TestRenewal counts nozzles taken out of use at overhauls that had a removal.
func TestRenewal(t *testing.T) {
	k := factsOf(t, nil, map[string]string{second: "---\nholder: \"H-2\"\nnozzle: {found: \"N-2\"}\n" +
		"removed: {engine: ME1, cylinder: 2, date: 2020-07-02, counter: 2800 h, reason: planned}\ndecided: {nozzle: renew}\n---\n",
		"overhauls/spares/2020-08-01-h-20.md": "---\nholder: \"H-20\"\nnozzle: {left: \"N-20\"}\ndecided: {nozzle: renew}\n---\n"})
	if k.Renewal != (Renewal{Renewed: 1, Of: 2}) {
		t.Errorf("%+v, want one of the two that were removed", k.Renewal)
	}
}

// TestChanges dates what came by the commits that brought it, month by month, the newest first.
func TestChanges(t *testing.T) {
	at := func(text string) time.Time {
		d, err := time.Parse("2006-01-02", text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	trail := &logbook.Trail{UnderGit: true, First: -1, Commits: []logbook.Commit{{State: logbook.Signed, Person: "a.two", Stated: at("2020-07-03")},
		{State: logbook.Unsigned, Stated: at("2020-07-03")}, {State: logbook.Signed, Person: "c.one", Stated: at("2021-01-05")}},
		Records: map[string]*logbook.RecordTrail{first: {Path: first, Versions: []logbook.Version{{Commit: 0, State: logbook.Signed},
			{Commit: 1, State: logbook.Unsigned}, {Commit: 2, State: logbook.Signed}}, Signers: []string{"a.two@test"}, Current: 2}}}
	trail.Records["limits/4t20.md"] = &logbook.RecordTrail{Path: "limits/4t20.md", Versions: []logbook.Version{{Commit: 2, State: logbook.Signed}}}
	trail.Records["hours/me1.csv"] = &logbook.RecordTrail{Path: "hours/me1.csv", Versions: []logbook.Version{{Commit: 2, State: logbook.Signed}}}
	k := factsOf(t, trail, nil)
	if list := k.Changes()[0].Months[0].List; !slices.ContainsFunc(list, func(c Change) bool { return c.File == "limits/4t20.md" }) ||
		slices.ContainsFunc(list, func(c Change) bool { return c.File == "hours/me1.csv" }) {
		t.Errorf("of the files, the limits are wanted and the hours are not: %+v", list)
	}
	var got []string
	for _, y := range k.Changes() {
		for _, m := range y.Months {
			for _, c := range m.List {
				if c.Record != nil {
					got = append(got, m.ID+" "+c.Day.String()+" "+c.Words)
				}
			}
		}
	}
	if want := []string{"2021-01 2021-01-05 changed by c.one", "2020-07 2020-07-03 written by a.two; changed, unsigned"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for f, d := range k.Since {
		if f.Grade < checks.Action || d == 0 {
			t.Errorf("%s of grade %s since %s", f.Check, f.Grade, d)
		}
	}
}

// TestExhaust takes a reading on the day on which it was read, and not on that of the removal, before the change with its sign and after it.
func TestExhaust(t *testing.T) {
	k := factsOf(t, nil, map[string]string{second: "---\nholder: \"H-2\"\nnozzle: {found: \"N-2\", left: \"N-2\"}\n" +
		"removed: {engine: ME1, cylinder: 2, date: 2020-07-02, counter: 2800 h, reason: planned}\n" +
		"as_found: {running_before: {date: 2020-06-20, load: 80 %, exhaust_deviation: -7 K}}\n" +
		"fitted: {engine: ME1, cylinder: 2, date: 2020-07-02, counter: 2800 h}\n" +
		"running_after: {date: 2020-07-05, load: 80 %, exhaust_deviation: 3 K}\n---\n",
		"running/me1.csv": "date,counter_h,load_pct,cylinder,exhaust_dev_K\n"})
	got := k.ExhaustOf(logbook.Position{Engine: "ME1", Cylinder: "2"})
	if len(got) != 2 {
		t.Fatalf("%d readings, want one before and one after", len(got))
	}
	for i, want := range []struct {
		day    string
		kelvin float64
		after  bool
		words  string
	}{{"2020-06-20", -7, false, "-7 K before H-2 was pulled"}, {"2020-07-05", 3, true, "3 K after H-2 was fitted"}} {
		r := got[i]
		hours, _ := k.Book.TotalOn("ME1", day(t, want.day))
		if r.Day != day(t, want.day) || r.Kelvin != want.kelvin || r.After != want.after || r.Words != want.words || r.Hours != hours {
			t.Errorf("reading %d is %+v, want %+v at %g h", i, r, want, hours)
		}
	}
}
