package planning_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/checks/planning"
	"needlebook/logbook"
)

const aheadBook = `---
vessel: Try
engines:
  - {id: ME1, type: T, cylinders: [1, 2, 3], numbered_from: free end, limits: t, interval: 2000 h}
  - {id: AE1, type: U, cylinders: [1], numbered_from: free end, limits: u}
opening:
  date: 2024-01-01
  fitted:
    - {engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, since: 0 h, nozzle_hours: 7900 h, left: 320 bar}
    - {engine: ME1, cylinder: 2, holder: "H-2", nozzle: "N-2", counter: 1000 h, since: 0 h, nozzle_hours: 10 h, left: 320 bar}
    - {engine: ME1, cylinder: 3, holder: "H-3", nozzle: "N-3", counter: 1000 h, since: 0 h, nozzle_hours: 10 h, left: 320 bar}
    - {engine: AE1, cylinder: 1, holder: "U-1", nozzle: "V-1", counter: 1000 h, since: 0 h, left: 320 bar}
  spares:
    - {holder: "H-4", nozzle: "N-4", nozzle_hours: 100 h, left: 320 bar, marking: "9x0.3", place: 1}
    - {holder: "H-5", nozzle: "N-5", nozzle_hours: 100 h, left: 320 bar, marking: "8x0.5", place: 2}
    - {holder: "H-6", nozzle: "N-6", nozzle_hours: 7000 h, left: 320 bar, marking: "9x0.3", place: 3}
    - {holder: "H-7", nozzle: "N-7", nozzle_hours: 8100 h, left: 320 bar, marking: "9x0.3", place: 4}
    - {holder: "U-2", nozzle: "V-2", nozzle_hours: 1 h, left: 320 bar, place: 5}
---
`

// aheadPlan is a ship on the bench of a test: spares with habits, a type of their own, markings and lives. The figures are invented.
func aheadPlan(t *testing.T, more fstest.MapFS) *planning.Plan {
	t.Helper()
	life := "    nozzle_life: {renew: 8000 h}\n    markings: [\"9x0.3\"]\n"
	files := fstest.MapFS{"book.md": {Data: []byte(aheadBook)},
		"limits/t.md":   {Data: []byte("---\ntype: T\nrevisions:\n  - from: 2024-01-01\n    source: invented\n" + life + "---\n")},
		"limits/u.md":   {Data: []byte("---\ntype: U\nrevisions:\n  - from: 2024-01-01\n    source: invented\n---\n")},
		"hours/me1.csv": {Data: []byte("date,counter_h,note\n2024-01-01,1000,\n2024-03-01,1900,\n")},
		"hours/ae1.csv": {Data: []byte("date,counter_h,note\n2024-01-01,1000,\n2024-03-01,1900,\n")},
		// H-4 sat in cylinder 3 before the round of February; U-2 ran in AE1
		"overhauls/me1/c3/2024-02-01-h-3.md": {Data: []byte("---\nholder: \"H-3\"\nnozzle: {found: \"N-3\", left: \"N-3\"}\nremoved: {engine: ME1, cylinder: 3, date: 2024-02-01, counter: 1400 h, reason: planned}\nas_left: not done (bench)\nminutes: 50\n---\n")},
		"overhauls/spares/2024-02-01-h-4.md": {Data: []byte("---\nholder: \"H-4\"\nnozzle: {left: \"N-4\"}\nfitted: {engine: ME1, cylinder: 3, date: 2024-02-01, counter: 1400 h}\n---\n")},
		"overhauls/me1/c3/2024-02-20-h-4.md": {Data: []byte("---\nholder: \"H-4\"\nnozzle: {found: \"N-4\", left: \"N-4\"}\nremoved: {engine: ME1, cylinder: 3, date: 2024-02-20, counter: 1700 h, reason: planned}\nas_left: {date: 2024-02-20, opening_pressure: [320 bar]}\nminutes: 70\n---\n")},
		"overhauls/spares/2024-02-20-h-8.md": {Data: []byte("---\nholder: \"H-8\"\nnozzle: {left: \"N-8\"}\nfitted: {engine: ME1, cylinder: 3, date: 2024-02-20, counter: 1700 h}\n---\n")},
		"overhauls/ae1/c1/2024-02-02-u-1.md": {Data: []byte("---\nholder: \"U-1\"\nnozzle: {found: \"V-1\", left: \"V-1\"}\nremoved: {engine: AE1, cylinder: 1, date: 2024-02-02, counter: 1400 h}\nas_left: not done (bench)\n---\n")},
		"overhauls/spares/2024-02-02-u-2.md": {Data: []byte("---\nholder: \"U-2\"\nnozzle: {left: \"V-2\"}\nfitted: {engine: AE1, cylinder: 1, date: 2024-02-02, counter: 1400 h}\n---\n")},
		"overhauls/ae1/c1/2024-02-10-u-2.md": {Data: []byte("---\nholder: \"U-2\"\nnozzle: {found: \"V-2\", left: \"V-2\"}\nremoved: {engine: AE1, cylinder: 1, date: 2024-02-10, counter: 1500 h}\nas_left: {date: 2024-02-10, opening_pressure: [320 bar]}\n---\n")},
		"stores/stock.csv": {Data: []byte("date,item,part_no,serial,change,on_order,due,price,lead_days,note\n2024-01-01,nozzle,P-1,N-30,1,,,,,\n2024-01-01,seal kit,P-2,,4,,,,,\n" +
			"2024-02-21,seal kit,P-2,,-2,,,,,\n2024-02-28,cloth,,,3,,,,,\n")},
		"instruments/pg-1.md": {Data: []byte("---\nid: PG-1\nkind: gauge\nmeasures: pressure\ncalibrated: 2023-01-01\ncalibrated_until: 2024-03-15\n---\n")},
	}
	for name, f := range more {
		files[name] = f
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return planning.New(b, checks.Run(b, checks.Options{}), nil)
}

// The spare that goes in is ready, of the engine's type and marking, and lasts; it goes where it sat before. Common practice, no source.
func TestAhead(t *testing.T) {
	day, _ := logbook.ParseDay("2024-03-10")
	ready := "---\nholder: \"H-4\"\nnozzle: {found: \"N-4\", left: \"N-4\", marking: \"9x0.3\"}\nremoved: {engine: ME1, cylinder: 3, date: 2024-02-20, counter: 1700 h, reason: planned}\nas_found: not done (dropped)\n" +
		"assembled: {seals: {adjusting_screw: renewed, body: renewed}}\nas_left: {date: 2024-02-20, opening_pressure: [320 bar], seat: {state: dry}, spray: {open: 9, weak: [], pattern: even}}\nminutes: 70\n---\n"
	p := aheadPlan(t, nil)
	a := p.Ahead("ME1", day, nil, nil)
	in, why := map[string]string{}, map[string]string{}
	for _, s := range a.Seats {
		in[s.Cylinder], why[s.Cylinder] = s.In.Holder, s.Why+"; "+strings.Join(s.In.Doubts, "; ")
	}
	passed := map[string]string{}
	for _, x := range a.Passed {
		passed[x.Holder] = x.Why
	}
	for holder, want := range map[string]string{"H-5": "marking 8x0.5 is not permitted on ME1", "H-7": "nozzle N-7 has run 8100 h, life 8000 h", "U-2": "it is of another type, u", "H-4": "not ready: "} {
		if !strings.Contains(passed[holder], want) {
			t.Errorf("%s is passed over because %q, want %q", holder, passed[holder], want)
		}
	}
	if in["1"] != "H-6" || !strings.Contains(why["1"], "nozzle N-6 has 1000 h left, interval 2000 h") || in["2"] != "" || !strings.Contains(why["2"], "its own valve goes back") {
		t.Errorf("goes in: %v, %v", in, why)
	}
	if a.Seats[0].Renew == "" || a.Seats[1].Renew != "" {
		t.Errorf("to be renewed: %q and %q", a.Seats[0].Renew, a.Seats[1].Renew)
	}
	p = aheadPlan(t, fstest.MapFS{"overhauls/me1/c3/2024-02-20-h-4.md": {Data: []byte(ready)},
		"limits/t.md": {Data: []byte("---\ntype: T\nrevisions:\n  - from: 2024-01-01\n    source: invented\n    opening_pressure: {used: 315 to 330 bar, new: 315 to 330 bar}\n    nozzle_life: {renew: 8000 h}\n    markings: [\"9x0.3\"]\n---\n")}})
	a = p.Ahead("ME1", day, nil, map[string]string{"1": "H-6"})
	got := ""
	for _, s := range a.Seats {
		got += s.Cylinder + ":" + s.In.Holder + " " + s.Why + "\n"
	}
	if got != "1:H-6 as decided\n2: no ready spare is left: its own valve goes back after the overhaul\n3:H-4 sat here 1 time before\n" {
		t.Errorf("with cylinder 1 decided:\n%s%v", got, a.Passed)
	}
	late, _ := logbook.ParseDay("2024-06-10")
	if a = p.Ahead("ME1", late, []string{"3"}, nil); len(a.Seats) != 1 || !strings.Contains(strings.Join(a.Seats[0].In.Doubts, ""), "test again: tested 111 d before") {
		t.Errorf("in June: %+v", a.Seats)
	}
	if a = p.Ahead("ME1", late, []string{"2"}, map[string]string{"2": "U-2"}); !strings.Contains(a.Seats[0].Why, "as decided, and it is of another type") {
		t.Errorf("a valve of another type, as decided: %+v", a.Seats)
	}
}

// What is needed goes by what the last round took, valve for valve, and what is out of date on the day is told. No outside source.
func TestAheadNeeds(t *testing.T) {
	day, _ := logbook.ParseDay("2024-03-20")
	p := aheadPlan(t, fstest.MapFS{"overhauls/me1/c3/2024-02-20-h-4.md": {Data: []byte("---\nholder: \"H-4\"\nnozzle: {found: \"N-4\", left: \"N-4\"}\n" +
		"removed: {engine: ME1, cylinder: 3, date: 2024-02-20, counter: 1700 h, reason: planned}\nas_left: {date: 2024-02-20, gauge: PG-1, opening_pressure: [320 bar]}\nminutes: 70\n---\n")}})
	got := map[string]string{}
	for _, table := range p.Ahead("ME1", day, nil, nil).Paper().Tables {
		for _, row := range table.Rows {
			cells := ""
			for _, c := range row {
				cells += c.Text + "|"
			}
			got[table.Name] += cells + "\n"
		}
	}
	for name, want := range map[string]string{"parts": "nozzle|P-1|1|1|–|nozzles at or near their life|\nseal kit|P-2|3|2|1|2 for 2 valves last time|\n",
		"tools": "gauge|none|PG-1 since 2024-03-15|\n", "time": "ME1 2024-02-20|1|1|70, of 1 valve|\n"} {
		if got[name] != want {
			t.Errorf("%s:\n%swant\n%s", name, got[name], want)
		}
	}
}
