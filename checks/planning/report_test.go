package planning_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks"
	"needlebook/checks/planning"
	"needlebook/logbook"
)

// The report says what the records of the example vessel say, as somebody reads it who has only the paper: overhauls/me2/c3/2024-04-02-h-115.md,
// c6/2024-04-02-h-118.md and the limits file; what was judged is what the judgement says of it.
func TestReportOfARound(t *testing.T) {
	b, err := logbook.Read(os.DirFS(filepath.Join("..", "..", "example-vessel")))
	if err != nil {
		t.Fatal(err)
	}
	r := checks.Run(b, checks.Options{})
	p := planning.New(b, r, nil)
	for _, round := range r.Rounds {
		out := p.Round(round)
		text := out.Text()
		if lines := strings.Count(text, "\n"); lines > 20 || len(out.Valves) != len(round.Overhauls) {
			t.Errorf("%s: %d lines, %d valves of %d", round.Name, lines, len(out.Valves), len(round.Overhauls))
		}
		for i, o := range round.Overhauls {
			v := out.Valves[i]
			if v.Out[0] != o.Holder.Written || len(o.AsFound.Opening.Each) > 0 && v.Found[0].Brief != o.AsFound.Opening.Median().String() ||
				len(o.AsLeft.Opening.Each) > 0 && v.Left[0].Brief != o.AsLeft.Opening.Median().String() {
				t.Errorf("%s: %+v", o.Stem, v)
			}
			for _, verdict := range r.Judgement.Of(o) {
				if verdict.Result.Out() && (verdict.Key == "effective_lift" && v.Found[len(v.Found)-1].Verdict != verdict.Result.String() || verdict.Key == "as_left.leak_down.time" && v.Left[1].Verdict != verdict.Result.String()) {
					t.Errorf("%s: %s is %s and is shown as %+v", o.Stem, verdict.Key, verdict.Result, v)
				}
			}
		}
		if round.Name != "ME2 2024-04-02" {
			continue
		}
		for _, want := range []string{"ME2, type 6QZ31: 4 valves, removed 2024-04-02 at 57705 h",
			"cyl. 3: out H-115 / N-2046, ran 1741 h, nozzle 3868 h; found 300 bar, 11.2 s, damp, 9 holes open, even, 0.79 mm; nozzle reuse, holder reuse; left 325 bar, 14.8 s, dry, 9 holes open, even; fitted ME1-3 2024-06-11; in H-103 / N-2035 / 2024-04-02",
			"9 holes open, 1 weak, even", "opening as left 320 +10/-0 bar (used)", "owner's manual 6QZ31, section 16, revision B", "4 × seals (6QZ-1680)",
			"cyl. 6: action: 2 rings came out of the pocket at ME2-6, 1 belongs there (closed by work 2024-04-02", "PG-01 (gauge) calibrated 2021-08-16, until 2024-08-15",
			"Signatures: cyl. 2, 3, 5, 6: not under git: nothing is proved"} {
			if !strings.Contains(text, want) {
				t.Errorf("the report does not say %q:\n%s", want, text)
			}
		}
	}
}

// The report's lift is the one that a limit judges: the nozzle's own, that with the wear of the face, or whichever is beyond.
func TestReportOfALift(t *testing.T) {
	for limits, want := range map[string]string{
		"lift: {max: 0.72 mm}":                                "0.73 mm beyond",
		"lift: {max: 0.73 mm}":                                "0.73 mm",
		"effective_lift: {max: 0.74 mm}":                      "0.75 mm beyond",
		"lift: {max: 0.72 mm}, effective_lift: {max: 0.8 mm}": "0.73 mm beyond",
		"lift: {max: 0.8 mm}, effective_lift: {max: 0.74 mm}": "0.75 mm beyond",
		"interval: 2000 h":                                    "0.75 mm no limit then",
	} {
		b, err := logbook.Read(fstest.MapFS{
			"book.md":     {Data: []byte("---\nvessel: T\nengines: [{id: A, cylinders: [1], limits: t}]\n---\n")},
			"limits/t.md": {Data: []byte("---\ntype: T\nrevisions:\n  - {from: 2019-01-01, source: manual, " + limits + "}\n---\n")},
			"overhauls/a/c1/2020-06-01-b-1.md": {Data: []byte("---\nholder: \"B-1\"\nnozzle: {found: \"Z-1\"}\nremoved: {engine: A, cylinder: 1, date: 2020-06-01, counter: 1600 h}\n" +
				"measured: {lift: 0.73 mm, holder_wear: 0.02 mm}\n---\n")}})
		if err != nil || len(b.Problems) > 0 {
			t.Fatal(err, b.Problems)
		}
		r := checks.Run(b, checks.Options{})
		v := planning.New(b, r, nil).Round(r.Rounds[0]).Valves[0]
		if got := v.Found[len(v.Found)-1].String(); got != want {
			t.Errorf("by %q the report says %q, want %q", limits, got, want)
		}
	}
}

// What was beyond as found, what came in its place and from where, and what was used are told by whoever reads the records alone: a valve
// landed with its delivery note, a unit received with its certificate, a valve borrowed as it was, a nozzle renewed. The limits are invented.
func TestReportOfWhatComesAndGoes(t *testing.T) {
	p := planOf(t, map[string]string{
		"limits/small.md": "---\ntype: S\nrevisions:\n  - {from: 2019-01-01, source: manual, opening_pressure: {used: 300 +10/-0 bar}, seat: {at: opening - 20 bar, for: 10 s, allow: damp}}\n---\n",
		"overhauls/ae/c1/2020-03-10-h1.md": `---
holder: "H1"
nozzle: {found: "N1"}
removed: {engine: AE, cylinder: 1, date: 2020-03-10, counter: 1500 h, reason: planned}
as_found: {date: 2020-03-10, gauge: not recorded (none aboard), opening_pressure: [300 bar], seat: {at: 280 bar, for: 10 s, state: runs}}
inspected: {tip: cracked}
landed: {date: 2020-03-11, to: a workshop, delivery_note: "311", promised: 2020-05-01}
by: a.b
---
`,
		"overhauls/spares/2020-03-10-h9.md": "---\nholder: \"H9\"\nnozzle: {left: \"N9\"}\nreceived: {date: 2020-03-10, from: a workshop, certificate: WC-7, for: AE, in_place_of: \"H1\"}\nas_left: {date: 2020-02-20, opening_pressure: [305 bar]}\nfitted: {engine: AE, cylinder: 1, date: 2020-03-10, counter: 1500 h}\n---\n",
		"overhauls/ae/c2/2020-03-10-h2.md":  "---\nholder: \"H2\"\nnozzle: {found: \"N2\", left: \"N5\"}\nremoved: {engine: AE, cylinder: 2, date: 2020-03-10, counter: 1500 h, reason: planned}\ndecided: {nozzle: renew, holder: reuse}\nas_left: {date: 2020-03-11, opening_pressure: [325 bar]}\nfitted: {engine: AE, cylinder: 2, date: 2020-03-11, counter: 1500 h}\nby: a.b\n---\n",
	})
	seen := false
	for _, r := range p.Report.Rounds {
		if r.Name != "AE 2020-03-10" {
			continue
		}
		seen = true
		text := p.Round(r).Text()
		for _, want := range []string{"landed 2020-03-11 to a workshop, delivery note 311", "in H9 / N9 / 2020-03-10 received from a workshop, by certificate WC-7",
			"Parts used: 1 × nozzle N5", "Deviation: beyond its limit as found: cyl. 1 seat, cracked: tip", "Calibrations: none stated"} {
			if !strings.Contains(text, want) {
				t.Errorf("the report does not say %q:\n%s", want, text)
			}
		}
	}
	if !seen {
		t.Error("there is no round")
	}
}
