package evidence_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/evidence"
)

// replace changes a text in every file of a book whose name begins so; it must occur.
func replace(t *testing.T, fs fstest.MapFS, name, old, by string) {
	t.Helper()
	met := false
	for n, f := range fs {
		if strings.HasPrefix(n, name) && bytes.Contains(f.Data, []byte(old)) {
			fs[n], met = &fstest.MapFile{Data: bytes.ReplaceAll(f.Data, []byte(old), []byte(by))}, true
		}
	}
	if !met {
		t.Fatalf("no file %s* holds %q", name, old)
	}
}

// Where every valve was bad nothing carries an age, and none is named: least of all an interval of nil. No outside source.
func TestAllBadNamesNoAge(t *testing.T) {
	r := evidenceOf(t, ship(accepts, engineOf{id: "A", limits: "    interval: 2000 h\n", opened: 20, age: 2000, bad: 20})).Reviews(evidence.Ask{})[0]
	if r.Word != "shorten" || r.Proposed != 0 || strings.Contains(r.Proposal, " 0 h") {
		t.Errorf("%s, %v h: %q", r.Word, r.Proposed, r.Proposal)
	}
	if d := r.Decision("DR-1"); !strings.Contains(d, "\n# interval: these overhauls carry none\n") {
		t.Errorf("the decision record sets an interval:\n%s", d)
	}
}

// Valves that were bad before they came to full age are missing among those opened at it, and none of them lets the rest wait longer:
// 40 good of 40 prove a tenth, 6 bad of 46 allow up to a quarter (binomial, any text).
func TestEarlySymptomsHoldBackATrial(t *testing.T) {
	fs := ship(accepts, engineOf{id: "A", limits: "    interval: 2000 h\n    interval_max: 4000 h\n", opened: 40, age: 2000},
		engineOf{id: "B", limits: "    interval: 2000 h\n", opened: 6, age: 1500, bad: 6})
	replace(t, fs, "book.md", "limits: b", "limits: a")
	if r := evidenceOf(t, fs).Reviews(evidence.Ask{})[0]; r.Word != "try longer" {
		t.Fatalf("bad below full age, opened for hours: %q", r.Proposal) // what the symptoms are held against
	}
	replace(t, fs, "overhauls/b/", "reason: planned", "reason: symptom")
	r := evidenceOf(t, fs).Reviews(evidence.Ask{})[0]
	if r.Word != "keep" || !strings.Contains(r.Proposal, "up to 24 %") || !strings.Contains(r.Proposal, "6 more came out for a symptom") {
		t.Errorf("%s: %q", r.Word, r.Proposal)
	}
}

// An accepted share and a bound are written so that both can be believed: 2.5 % is not 2 %, and 10.1 % is not the tenth that is accepted.
// 28 good of 28 allow 1-0.05^(1/28), any text.
func TestSharesAreNotRoundedAway(t *testing.T) {
	of := func(accepts string, n int) evidence.Review {
		return evidenceOf(t, ship(accepts, engineOf{id: "A", limits: "    interval: 2000 h\n", opened: n, age: 2000})).Reviews(evidence.Ask{})[0]
	}
	if r := of("accepts: {failed_as_found: 2.5 %}\n", 30); !strings.Contains(r.Proposal, "2.5 % are accepted") {
		t.Errorf("2.5 %% accepted: %q", r.Proposal)
	}
	if r := of(accepts, 28); !strings.Contains(r.Proposal, "up to 10.1 % bad, 10 % are accepted; 1 more") {
		t.Errorf("28 of 28: %q", r.Proposal)
	}
	if r := of("accepts: {failed_as_found: 0 %}\n", 28); !strings.Contains(r.Proposal, "no number of overhauls") {
		t.Errorf("0 %% accepted: %q", r.Proposal)
	}
}

// A level that proves everything, or that nothing reaches, proves nothing. No outside source.
func TestALevelThatProvesNothing(t *testing.T) {
	for _, level := range []string{"0.95 %", "0 %", "100 %"} {
		r := evidenceOf(t, ship(accepts+"settings: {evidence_level: "+level+"}\n", engineOf{id: "A", limits: "    interval: 2000 h\n    interval_max: 4000 h\n", opened: 6, age: 2000})).Reviews(evidence.Ask{})[0]
		if r.Word != "keep" || r.Proposed != 2000 || !strings.Contains(r.Proposal, "evidence_level is "+level) {
			t.Errorf("%s: %s, %q", level, r.Word, r.Proposal)
		}
	}
}

// A valve whose age is not known, or that never ran, is counted and named, and what was tested without a limit is not called untested.
func TestNothingOpenedIsLost(t *testing.T) {
	none := engineOf{id: "A", limits: "    interval: 2000 h\n", opened: 3, age: 0}
	says := func(name string, fs fstest.MapFS, lead, row string) {
		p := evidenceOf(t, fs).Paper(evidence.Ask{})
		var rows strings.Builder
		for _, r := range p.Table("excluded").Rows {
			rows.WriteString(r[2].Text + " " + r[4].Text + " " + r[6].Text + "\n")
		}
		if !strings.Contains(strings.Join(p.Lead, "\n"), lead) || strings.Count(rows.String(), row) != 3 {
			t.Errorf("%s: want %q and three times %q\n%s\n%s", name, lead, row, strings.Join(p.Lead, "\n"), rows.String())
		}
	}
	says("never ran", ship(accepts, none), "0 of them; 3 more say nothing of an age", "0 fine it had not run")
	fs := ship(accepts, none)
	replace(t, fs, "book.md", ", counter: 1000 h", "")
	delete(fs, "hours/a.csv")
	replace(t, fs, "overhauls/", ", counter: 1000 h", "")
	says("no counter", fs, "0 of them; 3 more say nothing of an age", "not known fine no reading tells")
	fs = ship(accepts, engineOf{id: "A", limits: "    interval: 2000 h\n", opened: 3, age: 2000})
	replace(t, fs, "limits/", "from: 2019-01-01", "from: 2021-06-01")
	says("no limit yet", fs, "3 of them", "2000 not known no limit was in force")
}

// What a deferral was granted for is what the age did, and counts; what ran on under it is set aside. On the example vessel the lift of
// H-102 was found over its limit on the round, and let run by D-07.
func TestDeferralExplainsWhatFollowsIt(t *testing.T) {
	special := map[string]string{}
	for _, o := range bookOf(t, os.DirFS("../../example-vessel")).Openings {
		special[o.Overhaul.Stem] = o.Special
	}
	if s := special["2023-06-25-h-102"]; s != "" {
		t.Errorf("found over the limit before any deferral, yet set aside: %s", s)
	}
	if s := special["2023-10-04-h-102"]; s != "it ran under a deferral" {
		t.Errorf("ran under D-07, set aside as %q", s)
	}
}

// backInService is a ship of which four valves went in again half a year before the day of the book, so that a trial can begin.
func backInService(limits string, opened int) fstest.MapFS {
	fs := ship(accepts, engineOf{id: "A", limits: limits, interval: "2000 h", opened: opened, age: 2000})
	for c := 1; c <= 4; c++ {
		fs[fmt.Sprintf("overhauls/a/c%d/2021-01-01-ha-%d.md", c, c)] = &fstest.MapFile{Data: bytes.Replace(fs[fmt.Sprintf("overhauls/a/c%d/2021-01-01-ha-%d.md", c, c)].Data,
			[]byte("decided:"), []byte(fmt.Sprintf("fitted: {engine: A, cylinder: %d, date: 2021-01-0%d, counter: %d h}\ndecided:", c, 5-c, 3040-10*c)), 1)}
	}
	fs["hours/a.csv"] = &fstest.MapFile{Data: []byte("date,counter_h,note\n2020-01-01,1000,\n2021-01-01,3000,\n2021-06-01,4000,\n")}
	return fs
}

// A trial is written for the cylinders that come up next and for no other: without them the decision would hold for all.
func TestTrialIsWrittenForItsCylinders(t *testing.T) {
	fs := backInService("    interval: 2000 h\n    interval_max: 4000 h\n", 40)
	r := evidenceOf(t, fs).Reviews(evidence.Ask{})[0]
	if d := r.Decision("DR-1"); r.Word != "try longer" || !strings.Contains(d, "\ncylinders: [\"A-4\", \"A-3\"]") {
		t.Errorf("%s:\n%s", r.Word, d)
	}
}

// tenRounds is a book of two engines, A and B, whose valves come out and go in again ten times after so many hours each: found says what
// is read and what the seat shows.
func tenRounds(hours map[string]int, found func(engine string, cylinder, round int) (opening int, seat string)) fstest.MapFS {
	fs := fstest.MapFS{}
	put := func(name, text string) { fs[name] = &fstest.MapFile{Data: []byte(text)} }
	book := "---\nvessel: Trial\nengines:\n  - {id: A, cylinders: [1, 2, 3], limits: t}\n  - {id: B, cylinders: [1, 2, 3], limits: t}\n" + accepts + "opening:\n  date: 2020-01-01\n  fitted:\n"
	for _, engine := range []string{"A", "B"} {
		rows := "date,counter_h,note\n2020-01-01,0,\n"
		for round := 1; round <= 10; round++ {
			day, counter := fmt.Sprintf("20%d-0%d-01", 20+(round+1)/2, 1+(round+1)%2*6), round*hours[engine]
			rows += fmt.Sprintf("%s,%d,\n", day, counter)
			for c := 1; c <= 3; c++ {
				opening, seat := found(engine, c, round)
				put(fmt.Sprintf("overhauls/%s/c%d/%s-h%s%d.md", strings.ToLower(engine), c, day, strings.ToLower(engine), c), fmt.Sprintf(`---
holder: "H%[1]s%[2]d"
nozzle: {found: "N%[1]s%[2]d", left: "N%[1]s%[2]d"}
removed: {engine: %[1]s, cylinder: %[2]d, date: %[3]s, counter: %[4]d h, reason: planned}
as_found: {date: %[3]s, opening_pressure: [%[5]d bar], seat: {at: 260 bar, for: 10 s, state: %[6]s}}
decided: {nozzle: reuse, holder: reuse}
as_left: {date: %[3]s, opening_pressure: [300 bar]}
fitted: {engine: %[1]s, cylinder: %[2]d, date: %[3]s, counter: %[4]d h}
by: j.vasko
---
`, engine, c, day, counter, opening, seat))
			}
		}
		put("hours/"+strings.ToLower(engine)+".csv", rows)
		for c := 1; c <= 3; c++ {
			book += fmt.Sprintf("    - {engine: %[1]s, cylinder: %[2]d, holder: \"H%[1]s%[2]d\", nozzle: \"N%[1]s%[2]d\", counter: 0 h, since: 0 h, left: 300 bar}\n", engine, c)
		}
	}
	put("book.md", book+"---\n")
	put("limits/t.md", "---\ntype: T\nrevisions:\n  - from: 2019-01-01\n    source: manual\n    opening_pressure: {used: 300 +10/-0 bar, as_found: {cause: 240 bar}}\n    seat: {allow: damp}\n    interval: 2000 h\n    interval_max: 2400 h\n---\n")
	return fs
}

// scatter is that of a reading, in bar.
func scatter(cylinder, round int) int { return []int{-6, 2, 4, -3, 6, -1, 0}[(round*3+cylinder)%7] }

// Two engines whose valves lose pressure alike by the hour, one of which runs more hours between rounds, and one person aboard, while nobody
// knows who set the valves that the book began with: neither engine nor hand is named. No outside source; the loss is 8 bar in 1000 h.
func TestTheInnocentAreNotNamed(t *testing.T) {
	hours := map[string]int{"A": 1200, "B": 2400}
	for name, began := range map[string]int{"hours": 0, "hand": 12} {
		found, asked := evidenceOf(t, tenRounds(hours, func(engine string, c, round int) (int, string) {
			p := 300 - 8*hours[engine]/1000 + scatter(c, round)
			if round == 1 {
				p -= began
			}
			return p, "dry"
		})).Associations()
		if asked == 0 || len(found) > 0 {
			t.Errorf("%s: of %d questions answered: %+v", name, asked, found)
		}
	}
}

// Where one holder was bad every time and no other, the proposal says so beside the interval that a count alone would shorten, and offers no
// longer one for trial in the same breath; which of holder and position it is, is not said where no record tells. No outside source.
func TestOneHolderIsNamedBesideTheProposal(t *testing.T) {
	fs := tenRounds(map[string]int{"A": 2000, "B": 2000}, func(engine string, c, round int) (int, string) {
		if engine == "A" && c == 2 {
			return 262 + scatter(c, round), "drop"
		}
		return 284 + scatter(c, round), "dry"
	})
	replace(t, fs, "limits/", "used: 300 +10/-0 bar", "used: 4350 +150/-0 psi")
	ask := evidence.Ask{Since: 1}
	for _, x := range evidenceOf(t, fs).Paper(ask).Lead {
		if strings.HasPrefix(x, "a trial") && strings.Contains(x, "A-2") {
			t.Errorf("the valve that stands out is on trial: %s", x)
		}
	}
	replace(t, fs, "book.md", "failed_as_found: 10 %", "failed_as_found: 5 %")
	e := evidenceOf(t, fs)
	if r := e.Reviews(ask)[0]; r.Word != "shorten" || !strings.Contains(r.Proposal, "10 of the 10 bad at full age had holder HA2") || !strings.Contains(r.Proposal, "of the others 0 of 50 were bad") {
		t.Errorf("%s: %q", r.Word, r.Proposal)
	}
	if lead := strings.Join(e.Paper(ask).Lead, "\n"); strings.Contains(lead, "a trial") {
		t.Errorf("a longer one is offered with a shorter:\n%s", lead)
	}
	stands := e.RecurringPaper()
	for _, r := range stands.Table("recurring").Rows {
		if r[0].Text == "holder" && r[8].Text != "position A-2" {
			t.Errorf("HA2 was never in another position, and is told from %q", r[8].Text)
		}
	}
}

// What the book does not hold is called not known, in one line, and never nothing. No outside source.
func TestWhatIsNotHeldIsNotKnown(t *testing.T) {
	fs := ship(accepts, engineOf{id: "A", limits: "    interval: 2000 h\n", opened: 3, age: 2000})
	replace(t, fs, "book.md", ", nozzle_hours: 0 h", "")
	p := evidenceOf(t, fs).Paper(evidence.Ask{})
	for _, name := range []string{"running", "nozzles"} {
		if x := p.Table(name); len(x.Rows) != 0 || !strings.HasPrefix(x.Empty, "not known") {
			t.Errorf("%s: %d rows, %q", name, len(x.Rows), x.Empty)
		}
	}
	if c := evidenceOf(t, fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n---\n")}}).RecurringPaper(); !strings.HasPrefix(c.Table("recurring").Empty, "nothing could be asked") {
		t.Errorf("causes of an empty book: %q", c.Table("recurring").Empty)
	}
}

// A decision is written for the engines on the interval that was reviewed: one that the owner keeps on a shorter one stays there. No outside
// source.
func TestDecisionLeavesAShorterIntervalAlone(t *testing.T) {
	for interval, want := range map[string]string{"1500 h": `["A"]`, "2000 h": `["A", "B"]`} {
		fs := ship(accepts, engineOf{id: "A", limits: "    interval: 2500 h\n", interval: "2000 h", opened: 12, age: 2000}, engineOf{id: "B", limits: "    interval: 2500 h\n", interval: interval, opened: 6, age: 2000})
		replace(t, fs, "book.md", "limits: b", "limits: a")
		if d := evidenceOf(t, fs).Reviews(evidence.Ask{})[0].Decision("DR-1"); !strings.Contains(d, "\nengines: "+want+"\n") {
			t.Errorf("B on %s, want %s:\n%s", interval, want, d)
		}
	}
}
