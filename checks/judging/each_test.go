package judging

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

const eachLimits = `---
type: X
revisions:
  - from: 2020-01-01
    source: manual A
    opening_pressure: {used: 320 +10/-0 bar, new: 345 +10/-0 bar, reground: 330 +10/-0 bar, as_found: {look: 285 bar, cause: 265 bar}}
    seat: {allow: damp}
    cooling: {at: 4 bar, for: 5 min}
    leak_down: {as_left: 6.0 .. 40 s, as_found: 2.5 s ..}
    lift: {new: 0.50 to 0.60 mm, max: 0.80 mm}
    effective_lift: {max: 0.90 mm, safety: yes}
    holder_wear: {max: 0.05 mm}
    seat_diameter: {nominal: 4.0 mm, allowance: 0.3 mm}
    holes: {count: 9, size: 0.36 mm, no_go: 0.39 mm}
    markings: [M-1, M-2]
    nozzle_life: {renew: 8000 h}
    spring: {min: 70 mm}
    nozzle_nut: {torque: 400 N·m, tolerance: 6 %, steps: 2}
    clamp_nuts: {torque: 100 to 120 N·m}
    end_cap: {torque: 50 N·m}
    protrusion: 9.0 to 9.4 mm
    bath: 60 to 90 °C
---
`

// Each verdict: what it shows, on which side of its limit, the limit as it is written, and why there is none. What a limit asks is invented;
// that a value on a limit is within, and that what is not known is no verdict: common practice, no source.
func TestEachVerdict(t *testing.T) {
	const came = "holder: H-1\nremoved: {engine: ME1, cylinder: 1, date: 2021-05-30, counter: 500 h}\n"
	for _, c := range []struct{ record, key, want string }{
		{came + "as_left: {spray: {open: 9, pattern: even}}", "as_left.spray",
			"9 holes open, even: within +0 of 9 holes open, even"},
		{came + "as_left: {spray: {open: 8, weak: [2, 5], pattern: even}}", "as_left.spray",
			"8 holes open, 2 weak, even: beyond -1 of 9 holes open, even"},
		{came + "as_left: {spray: {open: 10}}", "as_left.spray",
			"10 holes open: not proven +0 of 9 holes open, even (more holes than the nozzle has)"},
		{came + "as_left: {spray: {pattern: jet}}", "as_left.spray",
			"jet: beyond -1 of 9 holes open, even"},
		{came + "as_left: {spray: {open: 9}}", "as_left.spray",
			"9 holes open: within +0 of 9 holes open, even"},
		{came + "as_left: {spray: {open: not counted (in a hurry)}}", "as_left.spray",
			": not measured +0 of 9 holes open, even (in a hurry)"},
		{came + "as_left: {spray: {pattern: even}}", "as_left.spray",
			"even: within +0 of 9 holes open, even"},
		{came + "as_found: {spray: not tested (no pump)}", "as_found.spray",
			": not measured +0 of 9 holes open, even (no pump)"},
		{came + "as_found: {cooling: {state: tight, at: 4 bar, for: 5 min}}", "as_found.cooling",
			"tight, 4 bar, 5 min: within +0 of tight at 4 bar for 5 min"},
		{came + "as_found: {cooling: {state: leaks, at: 4 bar}}", "as_found.cooling",
			"leaks, 4 bar: beyond +1 of tight at 4 bar for 5 min"},
		{came + "as_found: {cooling: {state: tight, at: 3.9 bar, for: 5 min}}", "as_found.cooling",
			"tight, 3.9 bar, 5 min: not proven +0 of tight at 4 bar for 5 min (its pressure was 3.9 bar, at least 4 bar is asked for)"},
		{came + "as_found: {cooling: {state: tight, at: 4 bar, for: 4 min}}", "as_found.cooling",
			"tight, 4 bar, 4 min: not proven +0 of tight at 4 bar for 5 min (its time was 4 min, at least 5 min is asked for)"},
		{came + "as_found: {cooling: {state: tight, for: 5 min}}", "as_found.cooling",
			"tight, 5 min: not proven +0 of tight at 4 bar for 5 min (its pressure is not written)"},
		{came + "as_found: {cooling: {state: tight, at: 5 bar}}", "as_found.cooling",
			"tight, 5 bar: not proven +0 of tight at 4 bar for 5 min (its time is not written)"},
		{came + "as_found: {cooling: {state: not tested (no air)}}", "as_found.cooling",
			": not measured +0 of tight at 4 bar for 5 min (no air)"},
		{came + "as_left: {cooling: {state: tight, at: 4 bar, for: 5 min}}", "as_left.cooling",
			"tight, 4 bar, 5 min: within +0 of tight at 4 bar for 5 min"},
		{came + "measured: {no_go: {wire: 0.39 mm, result: stops}}", "measured.no_go",
			"0.39 mm stops: within +0 of 0.39 mm must not enter"},
		{came + "measured: {no_go: {wire: 0.39 mm, result: enters}}", "measured.no_go",
			"0.39 mm enters: beyond +1 of 0.39 mm must not enter"},
		{came + "measured: {no_go: {wire: 0.40 mm, result: enters}}", "measured.no_go",
			"0.40 mm enters: beyond +1 of 0.39 mm must not enter"},
		{came + "measured: {no_go: {wire: 0.38 mm, result: enters}}", "measured.no_go",
			"0.38 mm enters: within +0 of 0.39 mm must not enter"},
		{came + "measured: {no_go: {result: enters}}", "measured.no_go",
			"enters: beyond +1 of 0.39 mm must not enter"},
		{came + "measured: {no_go: {wire: 0.39 mm}}", "measured.no_go",
			"0.39 mm: not measured +0 of "},
		{came + "measured: {no_go: {result: not measured (no wire)}}", "measured.no_go",
			"not measured (no wire): not measured +0 of  (no wire)"},
		{came + "measured: {lift: 0.80 mm}", "measured.lift",
			"0.80 mm: within +0 of at most 0.80 mm"},
		{came + "measured: {lift: 0.81 mm}", "measured.lift",
			"0.81 mm: beyond +1 of at most 0.80 mm"},
		{came + "measured: {lift: not measured (no gauge)}", "measured.lift",
			"not measured (no gauge): not measured +0 of at most 0.80 mm (no gauge)"},
		{"holder: H-2\nnozzle: {left: N-9}\nas_left: {date: 2021-06-01}\nmeasured: {lift: 0.60 mm}", "measured.lift",
			"0.60 mm: within +0 of 0.50 to 0.60 mm (new)"},
		{"holder: H-2\nnozzle: {left: N-9}\nas_left: {date: 2021-06-01}\nmeasured: {lift: 0.61 mm}", "measured.lift",
			"0.61 mm: beyond +1 of 0.50 to 0.60 mm (new)"},
		{"holder: H-2\nnozzle: {left: N-9}\nas_left: {date: 2021-06-01}\nmeasured: {lift: 0.49 mm}", "measured.lift",
			"0.49 mm: beyond -1 of 0.50 to 0.60 mm (new)"},
		{came + "measured: {lift: 0.80 mm, holder_wear: 0.05 mm}", "effective_lift",
			"0.85 mm: within +0 of at most 0.90 mm"},
		{came + "measured: {lift: 0.91 mm}", "effective_lift",
			"0.91 mm: beyond +1 of at most 0.90 mm"},
		{came + "measured: {lift: 0.90 mm}", "effective_lift",
			": not measured +0 of  (holder wear not measured, so the sum is not known)"},
		{came + "measured: {lift: 0.91 mm, holder_wear: not measured (worn gauge)}", "effective_lift",
			"0.91 mm: beyond +1 of at most 0.90 mm"},
		{came + "measured: {effective_lift: 0.91 mm}", "effective_lift",
			"0.91 mm: beyond +1 of at most 0.90 mm"},
		{came + "measured: {effective_lift: 0.90 mm}", "effective_lift",
			"0.90 mm: within +0 of at most 0.90 mm"},
		{came + "measured: {holder_wear: 0.05 mm}", "measured.holder_wear",
			"0.05 mm: within +0 of at most 0.05 mm"},
		{came + "measured: {holder_wear: 0.06 mm}", "measured.holder_wear",
			"0.06 mm: beyond +1 of at most 0.05 mm"},
		{came + "measured: {seat_diameter: 4.3 mm}", "measured.seat_diameter",
			"4.3 mm: within +0 of at most 4.3 mm"},
		{came + "measured: {seat_diameter: 4.31 mm}", "measured.seat_diameter",
			"4.31 mm: beyond +1 of at most 4.3 mm"},
		{came + "measured: {seat_diameter: not measured (no blue)}", "measured.seat_diameter",
			"not measured (no blue): not measured +0 of at most 4.3 mm (no blue)"},
		{came + "measured: {spring_length: 70 mm}", "measured.spring_length",
			"70 mm: within +0 of at least 70 mm"},
		{came + "measured: {spring_length: 69.9 mm}", "measured.spring_length",
			"69.9 mm: beyond -1 of at least 70 mm"},
		{came + "nozzle: {found: N-1, left: N-1, marking: M-1}", "nozzle.marking",
			"M-1: within +0 of M-1 or M-2"},
		{came + "nozzle: {left: N-1, marking: M-2}", "nozzle.marking",
			"M-2: within +0 of M-1 or M-2"},
		{came + "nozzle: {left: N-1, marking: M-3}", "nozzle.marking",
			"M-3: beyond +1 of M-1 or M-2"},
		{came + "nozzle: {left: N-1}", "nozzle.marking",
			": not measured +0 of "},
		{came + "nozzle: {left: N-1, marking: not readable (worn)}", "nozzle.marking",
			"not readable (worn): not measured +0 of  (worn)"},
		{came + "nozzle: {found: N-1}", "nozzle_hours",
			"600 h: within +0 of at most 8000 h"},
		{came + "nozzle: {found: N-1}\ndecided: {nozzle: grind}\nas_left: {opening_pressure: [340 bar]}", "as_left.opening_pressure",
			"340 bar: within +0 of 330 +10/-0 bar (reground)"},
		{came + "assembled: {nozzle_nut: {torque: 376 N·m, steps: 2}}", "assembled.nozzle_nut.torque",
			"376 N·m: within +0 of 400 N·m ± 6 %"},
		{came + "assembled: {nozzle_nut: {torque: 376 N·m, steps: 2}}", "assembled.nozzle_nut.steps",
			"2: within +0 of 2 steps"},
		{came + "assembled: {nozzle_nut: {torque: 424 N·m, steps: 1}}", "assembled.nozzle_nut.torque",
			"424 N·m: within +0 of 400 N·m ± 6 %"},
		{came + "assembled: {nozzle_nut: {torque: 424 N·m, steps: 1}}", "assembled.nozzle_nut.steps",
			"1: beyond -1 of 2 steps"},
		{came + "assembled: {nozzle_nut: {torque: 424.1 N·m}}", "assembled.nozzle_nut.torque",
			"424.1 N·m: beyond +1 of 400 N·m ± 6 %"},
		{came + "assembled: {nozzle_nut: {torque: 424.1 N·m}}", "assembled.nozzle_nut.steps",
			": not measured +0 of 2 steps"},
		{came + "assembled: {nozzle_nut: {steps: 2}}", "assembled.nozzle_nut.torque",
			": not measured +0 of 400 N·m ± 6 %"},
		{came + "assembled: {nozzle_nut: {steps: 2}}", "assembled.nozzle_nut.steps",
			"2: within +0 of 2 steps"},
		{came + "assembled: {nozzle_nut: {torque: not measured (no wrench)}}", "assembled.nozzle_nut.torque",
			"not measured (no wrench): not measured +0 of 400 N·m ± 6 % (no wrench)"},
		{came + "assembled: {nozzle_nut: {torque: not measured (no wrench)}}", "assembled.nozzle_nut.steps",
			": not measured +0 of 2 steps"},
		{came + "assembled: {nozzle_nut: not done (still warm)}", "assembled.nozzle_nut.torque",
			"not done: not measured +0 of 400 N·m ± 6 % (still warm)"},
		{came + "as_left: {end_cap: {torque: 52 N·m}}", "as_left.end_cap.torque",
			"52 N·m: within +0 of 50 N·m ± 10 %"},
		{came + "as_left: {date: 2021-06-01}", "as_left.end_cap.torque",
			": not measured +0 of 50 N·m ± 10 %"},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, clamp_nuts: {torque: 120 N·m}}", "fitted.clamp_nuts.torque",
			"120 N·m: within +0 of 100 to 120 N·m"},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, clamp_nuts: {torque: 121 N·m}}", "fitted.clamp_nuts.torque",
			"121 N·m: beyond +1 of 100 to 120 N·m"},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, pipe_nut: {torque: 60 N·m}}", "fitted.pipe_nut.torque",
			"60 N·m: no limit then +0 of "},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, protrusion: 9.0 mm}", "fitted.protrusion",
			"9.0 mm: within +0 of 9.0 to 9.4 mm"},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, protrusion: 8.9 mm}", "fitted.protrusion",
			"8.9 mm: beyond -1 of 9.0 to 9.4 mm"},
		{came + "fitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 501 h, protrusion: not measured (gasket)}", "fitted.protrusion",
			"not measured (gasket): not measured +0 of 9.0 to 9.4 mm (gasket)"},
		{came + "stripped: {needle_freed: {bath: 60 °C}}", "stripped.needle_freed.bath",
			"60 °C: within +0 of 60 to 90 °C"},
		{came + "stripped: {needle_freed: {bath: 91 °C}}", "stripped.needle_freed.bath",
			"91 °C: beyond +1 of 60 to 90 °C"},
		{came + "stripped: {nozzle_freed: {bath: 59 °C}}", "stripped.nozzle_freed.bath",
			"59 °C: beyond -1 of 60 to 90 °C"},
		{came + "as_left: {seat: {state: dry}}", "as_left.seat.state",
			"dry: within +0 of at most damp"},
		{came + "as_left: {seat: {state: damp}}", "as_left.seat.state",
			"damp: within +0 of at most damp"},
		{came + "as_left: {seat: {state: drop}}", "as_left.seat.state",
			"drop: beyond +1 of at most damp"},
		{came + "as_left: {seat: {state: runs}}", "as_left.seat.state",
			"runs: beyond +1 of at most damp"},
		{came + "as_found: {seat: not tested (no pump)}", "as_found.seat.state",
			": not measured +0 of at most damp (no pump)"},
		{came + "as_left: {leak_down: {time: 6.0 s}}", "as_left.leak_down.time",
			"6.0 s: within, in doubt +0 of 6.0 to 40 s (the limits state no oil temperature: judged as read; in doubt below 15 s: time it a second time)"},
		{came + "as_left: {leak_down: {time: 5.9 s}}", "as_left.leak_down.time",
			"5.9 s: beyond, in doubt -1 of 6.0 to 40 s (the limits state no oil temperature: judged as read; in doubt below 15 s: time it a second time)"},
		{came + "as_left: {leak_down: {time: 40 s}}", "as_left.leak_down.time",
			"40 s: within, in doubt +0 of 6.0 to 40 s (the limits state no oil temperature: judged as read)"},
		{came + "as_left: {leak_down: {time: 41 s}}", "as_left.leak_down.time",
			"41 s: beyond +1 of 6.0 to 40 s (the limits state no oil temperature: judged as read)"},
		{came + "as_left: {leak_down: {time: more than 60 s}}", "as_left.leak_down.time",
			"more than 60 s: beyond +1 of 6.0 to 40 s (the limits state no oil temperature: judged as read)"},
		{came + "as_left: {leak_down: {time: more than 5 s}}", "as_left.leak_down.time",
			"more than 5 s: not proven +0 of 6.0 to 40 s (the time was cut off: how long it is, is not known)"},
		{came + "as_left: {leak_down: {time: not measured (valve dripped)}}", "as_left.leak_down.time",
			"not measured (valve dripped): not measured +0 of 6.0 to 40 s (valve dripped)"},
		{came + "as_found: {leak_down: {time: 2.5 s}}", "as_found.leak_down.time",
			"2.5 s: within, in doubt +0 of at least 2.5 s (the limits state no oil temperature: judged as read; in doubt below 15 s: time it a second time)"},
		{came + "as_found: {leak_down: {time: 2.4 s}}", "as_found.leak_down.time",
			"2.4 s: beyond, in doubt -1 of at least 2.5 s (the limits state no oil temperature: judged as read; in doubt below 15 s: time it a second time)"},
		{came + "as_found: {leak_down: {time: more than 60 s}}", "as_found.leak_down.time",
			"more than 60 s: within +0 of at least 2.5 s (the limits state no oil temperature: judged as read)"},
		{came + "as_found: {leak_down: {time: more than 2.0 s}}", "as_found.leak_down.time",
			"more than 2.0 s: not proven +0 of at least 2.5 s (the time was cut off: how long it is, is not known)"},
		{came + "as_found: {opening_pressure: [284 bar]}", "as_found.opening_pressure/look",
			"284 bar: beyond -1 of at least 285 bar"},
		{came + "as_found: {opening_pressure: [285 bar]}", "as_found.opening_pressure/look",
			"285 bar: within +0 of at least 285 bar"},
		{came + "as_found: {opening_pressure: [264 bar]}", "as_found.opening_pressure",
			"264 bar: beyond -1 of at least 265 bar"},
		{came + "as_found: {opening_pressure: [265 bar]}", "as_found.opening_pressure",
			"265 bar: within +0 of at least 265 bar"},
		{came + "as_found: not tested (needle stuck)", "as_found.opening_pressure",
			"not tested: not measured +0 of at least 265 bar (needle stuck)"},
		{came + "as_found: {opening_pressure: not tested (needle stuck)}", "as_found.opening_pressure",
			"not tested (needle stuck): not measured +0 of at least 265 bar (needle stuck)"},
		{came + "nozzle: {found: N-1, left: N-1}\nas_left: {opening_pressure: [330 bar]}", "as_left.opening_pressure",
			"330 bar: within +0 of 320 +10/-0 bar (used)"},
		{came + "nozzle: {found: N-1, left: N-9}\nas_left: {opening_pressure: [330 bar]}", "as_left.opening_pressure",
			"330 bar: beyond -1 of 345 +10/-0 bar (new)"},
		{came + "nozzle: {found: N-1, left: N-1}\nas_left: {opening_pressure: [331 bar]}", "as_left.opening_pressure",
			"331 bar: beyond +1 of 320 +10/-0 bar (used)"},
		{came + "nozzle: {found: N-1, left: N-9}\nas_left: {opening_pressure: [331 bar]}", "as_left.opening_pressure",
			"331 bar: beyond -1 of 345 +10/-0 bar (new)"},
		{came + "nozzle: {found: N-1, left: N-1}\nas_left: {opening_pressure: [319 bar]}", "as_left.opening_pressure",
			"319 bar: beyond -1 of 320 +10/-0 bar (used)"},
		{came + "nozzle: {found: N-1, left: N-9}\nas_left: {opening_pressure: [319 bar]}", "as_left.opening_pressure",
			"319 bar: beyond -1 of 345 +10/-0 bar (new)"},
		{came + "nozzle: {found: N-1, left: N-1}\ndecided: {nozzle: grind}\nas_left: {opening_pressure: [341 bar]}", "as_left.opening_pressure",
			"341 bar: beyond +1 of 330 +10/-0 bar (reground)"},
	} {
		path := "overhauls/spares/2021-06-01-h-2.md"
		if strings.HasPrefix(c.record, came) {
			path = "overhauls/me1/c1/2021-05-30-h-1.md"
		}
		b, err := logbook.Read(fstest.MapFS{
			"book.md":     {Data: []byte(bookText)},
			"limits/x.md": {Data: []byte(eachLimits)},
			path:          {Data: []byte("---\n" + c.record + "\n---\n")},
		})
		if err != nil || len(b.Problems) > 0 {
			t.Fatal(err, b.Problems, c.record)
		}
		j := Judge(b)
		v := j.Find(b.Overhauls[0], c.key)
		got := fmt.Sprintf("%s: %s %+d of %s", v.Shown(), v.Result, v.Side, v.LimitText)
		if v.Why != "" {
			got += " (" + v.Why + ")"
		}
		if got != c.want {
			t.Errorf("%s, %s:\n%s\n%s is wanted", c.record, c.key, got, c.want)
		}
		if v.LimitPlace.Line == 0 {
			continue
		}
		// a limit that is asked about judges nothing, and is named
		v = Judge(b.Without(map[logbook.Place]bool{v.LimitPlace: true})).Find(b.Overhauls[0], c.key)
		if v.Result == NoLimitThen && (v.LimitText == "" || v.Why != "the limit is asked about") {
			t.Errorf("%s, %s: with its limit asked about %s (%s), limit %q", c.record, c.key, v.Result, v.Why, v.LimitText)
		}
	}
}
