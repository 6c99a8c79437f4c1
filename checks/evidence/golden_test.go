package evidence_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/evidence"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// What the interval review and the recurring findings say, whole, of the example vessel and of a ship with what she has not: an engine
// without limits, one without an interval, intervals of their own, fuel to come and fuel in use, a rack index beside each change of valve.
// Outside source: none; the arithmetic behind has its own tests, what is held here is that each number is of what its heading says.
func TestPapersAreAsTheyWere(t *testing.T) {
	odd := ship("accepts: {failed_as_found: 20 %}\n",
		engineOf{id: "ME", limits: "    interval: 2200 h\n    nozzle_life: {renew: 1900 h}\n    exhaust_deviation: {look: 20 K, load: 50 %}\n", interval: "2000 h", opened: 12, age: 2000, bad: 4},
		engineOf{id: "AE", limits: "    leak_down: {as_found: 2.5 s .., oil: 20 °C}\n", opened: 5, age: 700, bad: 1},
		engineOf{id: "BE", interval: "900 h", opened: 3, age: 900})
	change := func(path string, pairs ...string) {
		text := strings.NewReplacer(pairs...).Replace(string(odd[path].Data))
		odd[path] = &fstest.MapFile{Data: []byte(text)}
	}
	put := func(path, text string) { odd[path] = &fstest.MapFile{Data: []byte(text)} }
	change("book.md", "limits: me, interval: 2000 h}\n", "limits: me, interval: 2000 h}\n  - {id: GE, cylinders: [1], limits: lost}\n")
	change("overhauls/me/c1/2021-01-01-hme-1.md", "reason: planned", "reason: symptom")
	change("overhauls/me/c2/2021-01-01-hme-2.md", "reason: planned", "reason: other work")
	change("overhauls/me/c3/2021-01-01-hme-3.md", "counter: 3000 h", "counter: not read (dark)")
	change("overhauls/me/c4/2021-01-01-hme-4.md", "nozzle: reuse", "nozzle: condemn")
	change("overhauls/me/c5/2021-01-01-hme-5.md", "nozzle: reuse", "nozzle: renew")
	change("overhauls/me/c6/2021-01-01-hme-6.md", ", opening_pressure: [282 bar], seat: {at: 260 bar, for: 10 s, state: dry}, spray: {open: 9, pattern: even}", "")
	change("overhauls/me/c8/2021-01-01-hme-8.md", "holder: reuse", "holder: condemn")
	change("overhauls/me/c9/2021-01-01-hme-9.md", "nozzle: reuse", "nozzle: condemn")
	for c := 10; c <= 12; c++ {
		change(fmt.Sprintf("overhauls/me/c%d/2021-01-01-hme-%d.md", c, c), "decided:", fmt.Sprintf("measured: {lift: 0.7%d mm, holder_wear: 0.02 mm, seat_diameter: 4.2 mm}\ndecided:", c-10))
	}
	put("decisions/dr-01.md", "---\nid: DR-01\ndate: 2020-06-01\nkind: trial\nengines: [BE]\ncylinders: [1]\ninterval: 1000 h\nby: a.chief\n---\n")
	put("overhauls/me/c7/2021-01-10-hme-1.md", "---\nholder: \"HME-1\"\nnozzle: {left: \"NME-1\"}\nas_left: {date: 2021-01-10, opening_pressure: [305 bar]}\n"+
		"fitted: {engine: ME, cylinder: 7, date: 2021-02-01, counter: 3000 h}\n---\n")
	running := "date,load_pct,fuel,cylinder,exhaust_c,exhaust_dev_k,fuel_rack\n"
	for c := 1; c <= 12; c++ {
		for _, r := range []struct {
			date, fuel string
			load, rack int
		}{{"2020-06-01", "residual", 80, 40}, {"2020-11-20", "residual", 80, 40 + c%2}, {"2020-12-20", "residual", 82, 40}, {"2021-01-20", "residual", 81, 38}, {"2021-02-10", "distillate", 40, 20}} {
			running += fmt.Sprintf("%s,%d,%s,%d,350,%d,%d\n", r.date, r.load, r.fuel, c, c, r.rack)
		}
	}
	put("running/me.csv", running)
	put("fuel/bunkers.csv", "stem,received,in_use_from,in_use_to,grade,al_si_mg_kg,viscosity,note\nBay One,2020-01-01,2020-01-02,2020-08-01,residual,12,180,\n"+
		"Bay Two,2020-07-20,2020-08-01,,residual,30,180,tank 2\nBay Three,2021-01-30,,,distillate,,3,\n")
	var out strings.Builder
	for _, b := range []struct {
		name string
		e    *evidence.Evidence
	}{{"the example vessel", bookOf(t, os.DirFS("../../example-vessel"))}, {"the other ship", bookOf(t, odd)}} {
		fmt.Fprintf(&out, "==== %s\n", b.name)
		for _, p := range b.e.Book.Problems {
			if b.name == "the other ship" {
				t.Errorf("the book of the test is not sound: %s", p)
			}
		}
		if err := b.e.Paper(evidence.Ask{Planned: 1, Failed: 5, BadHour: 0.001, Parts: true, Plots: true}).WriteText(&out, 0); err != nil {
			t.Fatal(err)
		}
		if err := b.e.RecurringPaper().WriteText(&out, 0); err != nil {
			t.Fatal(err)
		}
		for _, r := range b.e.Reviews(evidence.Ask{}) {
			out.WriteString(r.Decision("DR-1"))
		}
	}
	const golden = "testdata/papers.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(out.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	is, was := strings.Split(out.String(), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(is), len(was)) {
		if i >= len(is) || i >= len(was) || is[i] != was[i] {
			t.Fatalf("line %d of %d:\n%s\nin %s\n%s", i+1, len(is), strings.Join(is[i:min(i+1, len(is))], ""), golden, strings.Join(was[i:min(i+1, len(was))], ""))
		}
	}
}
