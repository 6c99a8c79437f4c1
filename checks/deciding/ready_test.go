package deciding

import (
	"strings"
	"testing"

	"needlebook/logbook"
)

// TestReady: a valve is ready when its test as left passed whole, its build leaves nothing open and no part went back that may not.
// Common practice, no source; the limits are the book's own.
func TestReady(t *testing.T) {
	const ready = "yes"
	deferral := "---\nid: X-1\nrecord: " + stem + "\nlimit: effective_lift\nhours: 300 h\nuntil: 2020-08-01\napproved: {by: s.shore, date: 2020-06-01}\n---\n"
	for _, c := range []struct {
		name   string
		change []string
		limits []string
		more   []string
		want   string
	}{
		{name: "all in order", want: ready},
		{name: "not tested yet", change: []string{built[strings.Index(built, "as_left"):], ""}, want: "not yet: no as-left test"},
		{name: "damp as left", change: []string{"at: 242 bar, for: 10 s, state: dry", "at: 242 bar, for: 10 s, state: damp"}, want: ready},
		{name: "drops as left", change: []string{"at: 242 bar, for: 10 s, state: dry", "at: 242 bar, for: 10 s, state: drop"}, want: "no, because seat as left drop against at most damp: beyond"},
		{name: "set at the lower end", change: []string{"[262 bar, 262 bar, 261 bar]", "[260 bar, 260 bar, 260 bar]"}, want: ready},
		{name: "set just below", change: []string{"[262 bar, 262 bar, 261 bar]", "[259 bar, 259 bar, 259 bar]"}, want: "no, because opening pressure as left 259 bar against 260 +8/-0 bar (used): beyond"},
		{name: "set and no band stated", limits: []string{"used: 260 +8/-0 bar, ", ""}, want: "no, because no setting was in force to hold opening pressure as left 262 bar against"},
		{name: "leak-down short", change: []string{"time: 12.0 s", "time: 6.9 s"}, want: "no, because leak-down as left 6.9 s against 7.0 to 45 s: beyond, in doubt"},
		{name: "leak-down not timed", change: []string{"time: 12.0 s", "time: not measured (no watch)"}, want: "no, because leak-down as left not measured (no watch)"},
		{name: "leak-down not asked for", change: []string{"time: 12.0 s", "time: not measured (no watch)"}, limits: []string{"as_left: 7.0 .. 45 s, ", ""}, want: ready},
		{name: "a weak hole", change: []string{"open: 7, weak: [], pattern: even}\n  leaks: {nozzle_joint: dry, inlet: dry}\n  lock", "open: 7, weak: [2], pattern: even}\n  leaks: {nozzle_joint: dry, inlet: dry}\n  lock"}, want: "no, because weak holes as left, at clock number 2"},
		{name: "joint weeping", change: []string{"{nozzle_joint: dry, inlet: dry}\n  lock", "{nozzle_joint: weeping, inlet: dry}\n  lock"}, want: "no, because the nozzle joint leaks: weeping"},
		{name: "lock nut loose", change: []string{"lock_nut: tight", "lock_nut: loose"}, want: "no, because the lock nut is loose"},
		{name: "seal reused", change: []string{"adjusting_screw: renewed", "adjusting_screw: reused"}, want: "no, because the seal of the adjusting screw is reused"},
		{name: "seals not named", change: []string{"adjusting_screw: renewed, body: renewed", "part_no: S-1"}, want: "no, because the seal of the adjusting screw and of the body is not said to be new"},
		{name: "torque within its tolerance", change: []string{"torque: 220 N·m", "torque: 209 N·m"}, want: ready},
		{name: "torque out of its tolerance", change: []string{"torque: 220 N·m", "torque: 208 N·m"}, want: "no, because torque of the nozzle nut 208 N·m against 220 N·m ± 5 %: beyond"},
		{name: "torque not recorded", change: []string{"  end_cap: {torque: 90 N·m}\n", ""}, want: "no, because the torque of the end cap is not recorded"},
		{name: "two things, in the order of the work", change: []string{"state: dry}\n  leak_down: {from: 242", "state: runs}\n  leak_down: {from: 242", "dowels: seated", "dowels: loose"}, want: "no, because the dowels are loose; seat as left runs against at most damp: beyond"},
		{name: "a try that passed in the end", change: []string{"as_left:", "tries:\n  - {date: 2020-06-01, why: joint weeping, done: nut tightened again}\nas_left:"}, want: ready},
		{name: "nothing done after a try", change: []string{"as_left:", "tries:\n  - {date: 2020-06-01, why: joint weeping}\nas_left:"}, want: "no, because the last try did not pass and nothing is said to be done about it"},
		{name: "holder condemned", change: []string{built, "as_left: not done (holder condemned)\n", "holder: reuse", "holder: condemn"}, want: "no, because the holder is condemned"},
		{name: "not built up", change: []string{built, "as_left: not done (waits for a nozzle)\n"}, want: "no, because as left not done (waits for a nozzle)"},
		{name: "crack goes back", change: []string{"tip: good", "tip: cracked"}, want: "no, because the nozzle goes back, cracked: tip"},
		{name: "crack is out of use", change: []string{"tip: good", "tip: cracked", "nozzle: reuse, holder", "nozzle: renew, holder", `left: "Z-1"`, `left: "Z-2"`, "[262 bar, 262 bar, 261 bar]", "[282 bar, 282 bar, 281 bar]"}, want: ready},
		{name: "lift goes back over its limit", change: []string{"lift: 0.70 mm", "lift: 0.79 mm"}, want: "no, because effective lift 0.81 mm against at most 0.80 mm: beyond"},
		{name: "lift over, under a deferral", change: []string{"lift: 0.70 mm", "lift: 0.79 mm", "removed:", "deferral: X-1\nremoved:"}, more: []string{"deferrals/x-1.md", deferral}, want: "yes, under deferral X-1 for 300 h or 2020-08-01"},
		{name: "own lift goes back over its limit, the only one stated", change: []string{"lift: 0.70 mm", "lift: 0.73 mm"}, limits: ownLift, want: "no, because lift 0.73 mm against at most 0.72 mm: beyond"},
		{name: "own lift exactly at its limit", change: []string{"lift: 0.70 mm", "lift: 0.72 mm"}, limits: ownLift, want: ready},
		{name: "own lift goes back over its limit, the sum within", change: []string{"lift: 0.70 mm", "lift: 0.73 mm"}, limits: bothLifts, want: "no, because lift 0.73 mm against at most 0.72 mm: beyond"},
		{name: "own lift over, under a deferral", change: []string{"lift: 0.70 mm", "lift: 0.73 mm", "removed:", "deferral: X-1\nremoved:"}, limits: ownLift,
			more: []string{"deferrals/x-1.md", strings.Replace(deferral, "effective_lift", "lift", 1)}, want: "yes, under deferral X-1 for 300 h or 2020-08-01"},
		{name: "own lift over, its nozzle renewed", change: []string{"lift: 0.70 mm", "lift: 0.73 mm", "nozzle: reuse, holder", "nozzle: renew, holder", `left: "Z-1"`, `left: "Z-2"`, "[262 bar, 262 bar, 261 bar]", "[282 bar, 282 bar, 281 bar]"}, limits: ownLift, want: ready},
		{name: "ground and not measured again", change: []string{"nozzle: reuse, holder", "nozzle: grind, holder", "[262 bar, 262 bar, 261 bar]", "[272 bar, 272 bar, 271 bar]"}, want: "no, because the lift of the ground nozzle is not in the book"},
		{name: "ground and measured again", change: []string{"nozzle: reuse, holder", "nozzle: grind, holder", "[262 bar, 262 bar, 261 bar]", "[272 bar, 272 bar, 271 bar]"},
			more: []string{"parts/z-1.md", "---\nserial: \"Z-1\"\nkind: nozzle\nregrinds:\n  - {date: 2020-06-01, off: 0.05 mm, lift: 0.65 mm}\n---\n"}, want: ready},
		{name: "marking not permitted", change: []string{`marking: "7x0.40"`, `marking: "7x0.42"`}, want: "no, because marking 7x0.42 is not permitted on this engine"},
		{name: "gauge out of date", change: []string{"as_left:\n", "as_left:\n  gauge: G-1\n"}, more: []string{"instruments/g-1.md", "---\nid: G-1\nkind: gauge\nrange: 0 .. 600 bar\nclass: 0.6\ncalibrated_until: 2020-05-31\n---\n"},
			want: "no, because opening pressure as left is not proven: calibration of G-1 ran out on 2020-05-31"},
		{name: "caps off in the spares rack", change: []string{"as_left:", "stored: {date: 2020-06-03, place: 1, capped: no}\nas_left:"}, want: "no, because the openings are not capped"},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := files(with(t, asLeft(record), c.change...), c.more...)
			all["limits/trial.md"] = with(t, limits, c.limits...)
			if got := outcomeOf(t, all).Ready.String(); got != c.want {
				t.Errorf("ready: %s\nwant: %s", got, c.want)
			}
		})
	}
}

// TestReadyAdd: what another check found is added once, and not again where the bench itself shows it.
func TestReadyAdd(t *testing.T) {
	r := Readiness{Tested: true, Because: []Reason{{"seat drops", logbook.Place{Path: "a.md", Line: 3, Column: 5}}}}
	r.Add("seat as left: drop", logbook.Place{Path: "a.md", Line: 3, Column: 5})
	r.Add("opening pressure stands twice", logbook.Place{Path: "a.md", Line: 9, Column: 1})
	if got, want := r.String(), "no, because seat drops; opening pressure stands twice"; got != want {
		t.Errorf("ready: %s\nwant: %s", got, want)
	}
}
