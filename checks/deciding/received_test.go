package deciding

import (
	"strings"
	"testing"
)

// exchange is an exchange unit with its certificate; the workshop's gauge is no instrument of the book.
const exchange = `---
holder: "E-1"
nozzle: {left: "Y-1", marking: "7x0.40"}
received:
  date: 2020-06-01
  from: Harbour Workshop
  certificate: WC-7
  uncertainty: {pressure: 1 bar}
  state: new
  nozzle_hours: 0 h
  marking: as certified
  caps: in place
  opened_aboard: {date: 2020-06-02, gauge: G-1, opening_pressure: [285 bar]}
measured: {lift: 0.63 mm}
as_left:
  date: 2020-03-20
  gauge: WS-7
  opening_pressure: [283 bar]
  seat: {at: 263 bar, for: 10 s, state: dry}
  leak_down: {from: 263 bar, to: 213 bar, time: 12.0 s}
  spray: {open: 7, weak: [], pattern: even}
---
`

const shipsGauge = "---\nid: G-1\nkind: gauge\nmeasures: pressure\nrange: 0 to 600 bar\ndivision: 1 bar\n" +
	"class: 0.25\ncalibrated_until: 2021-05-31\n---\n"

// TestReadyReceived: a valve that came on board built is ready by its certificate, once it was looked at and opened on board.
// Common practice, no source; the limits are the book's own.
func TestReadyReceived(t *testing.T) {
	const ready = "yes"
	for _, c := range []struct {
		name, want string
		change     []string
	}{
		{name: "all in order", want: ready},
		{name: "marking not looked at", change: []string{"  marking: as certified\n", ""}, want: "no, because marking not looked at on board"},
		{name: "another marking", change: []string{"as certified", "differs"}, want: "no, because marking: differs"},
		{name: "a cap lost", change: []string{"caps: in place", "caps: missing"}, want: "no, because caps: missing"},
		{name: "caps not looked at", change: []string{"in place", "not looked at (in a crate)"}, want: "no, because caps not looked at on board (in a crate)"},
		{name: "no lift", change: []string{"measured: {lift: 0.63 mm}\n", ""}, want: "no, because the lift is neither measured nor in the certificate"},
		{name: "lift not measured, and why", want: ready, change: []string{"lift: 0.63 mm", "lift: not measured (it is not opened)"}},
		{name: "nothing measured, and why", want: ready, change: []string{"measured: {lift: 0.63 mm}", "measured: not done (it is not opened)"}},
		{name: "lift not measured, and why, with no certificate", want: "no, because the lift is neither measured nor in the certificate",
			change: []string{"lift: 0.63 mm", "lift: not measured (it is not opened)", "certificate: WC-7", "certificate: none"}},
		{name: "lift of the certificate beyond", change: []string{"0.63 mm", "0.69 mm"}, want: "no, because lift 0.69 mm against 0.60 to 0.66 mm (new): beyond"},
		{name: "not opened", change: []string{"  opened_aboard: {date: 2020-06-02, gauge: G-1, opening_pressure: [285 bar]}\n", ""}, want: "no, because not opened on board yet"},
		{name: "opened too low", change: []string{"[285 bar]", "[270 bar]"}, want: "no, because opening pressure aboard 270 bar against 280 +8/-0 bar (new): beyond"},
		{name: "opened with a gauge that nobody knows", change: []string{"G-1", "G-2"}, want: "no, because opening pressure aboard is not proven: instrument G-2 is not in the book"},
		{name: "state not stated", change: []string{"  state: new\n", ""}, want: "no, because not stated whether it is set as new, used or reground"},
		{name: "certified below the band", change: []string{"[283 bar]", "[279 bar]"}, want: "no, because opening pressure as left 279 bar against 280 +8/-0 bar (new): beyond, in doubt"},
		{name: "set as used", change: []string{"state: new", "state: used", "[283 bar]", "[264 bar]", "[285 bar]", "[264 bar]", "nozzle_hours: 0 h", "nozzle_hours: 900 h"}, want: ready},
		{name: "leak-down not certified", change: []string{"  leak_down: {from: 263 bar, to: 213 bar, time: 12.0 s}\n", ""}, want: "no, because leak-down as left not measured"},
		{name: "spray not certified", change: []string{"  spray: {open: 7, weak: [], pattern: even}\n", ""}, want: "no, because spray as left not measured"},
		{name: "spray not certified, and why", want: ready, change: []string{"{open: 7, weak: [], pattern: even}", "not stated (the sheet does not name it)"}},
		{name: "spray not tried, and why, with no certificate", want: "no, because spray as left not measured (no time)",
			change: []string{"{open: 7, weak: [], pattern: even}", "not tested (no time)", "certificate: WC-7", "certificate: none"}},
		{name: "marking of another engine", change: []string{`"7x0.40"`, `"5x0.28"`}, want: "no, because marking 5x0.28 is not permitted on this engine"},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := map[string]string{"book.md": vessel, "limits/trial.md": limits, "instruments/g-1.md": shipsGauge,
				"hours/a.csv":                        "date,counter_h,note\n2020-01-01,100,\n2020-06-01,1600,\n2020-08-01,1700,\n",
				"overhauls/spares/2020-06-01-e-1.md": with(t, exchange, c.change...)}
			if got := outcomeAt(t, all, "2020-06-01-e-1").Ready.String(); got != c.want {
				t.Errorf("ready: %s\nwant: %s", got, c.want)
			}
		})
	}
}

// TestSetAgainUnopened: a valve that is set again without being opened stands as it was built before, by the limits of the engine that it
// was of before; one that is fitted with no work done stands as it was left. Common practice, no source.
func TestSetAgainUnopened(t *testing.T) {
	const two = "---\nvessel: Trial\nengines:\n  - {id: A, cylinders: [1, 2], limits: trial, interval: 1500 h}\n  - {id: P, cylinders: [1], limits: pilot}\nopening:\n  date: 2020-01-01\n" +
		"  fitted: [{engine: A, cylinder: 1, holder: \"F-1\", nozzle: \"Y-2\", counter: 100 h, left: 280 bar}]\n  spares: [{holder: \"S-1\", nozzle: \"Y-3\", left: 280 bar}]\n---\n"
	const pilot = "---\ntype: P\nrevisions:\n  - {from: 2019-01-01, source: manual, opening_pressure: {used: 200 to 210 bar}}\n---\n"
	again := func(holder, nozzle, pressure, rest string) string {
		return "---\nholder: \"" + holder + "\"\nnozzle: {found: \"" + nozzle + "\", left: \"" + nozzle + "\", marking: \"7x0.40\"}\n" + rest + "as_left:\n  date: 2020-06-05\n  gauge: G-1\n  opening_pressure: [" + pressure + "]\n" +
			"  seat: {at: 245 bar, for: 10 s, state: dry}\n  leak_down: {from: 245 bar, to: 195 bar, time: 12.0 s}\n  spray: {open: 7, pattern: even}\n  end_cap: {torque: 90 N·m}\n---\n"
	}
	out := "removed: {engine: A, cylinder: 1, date: 2020-06-04, counter: 1600 h, reason: planned}\n"
	moved := func(holder, rest string) string {
		return "---\nholder: \"" + holder + "\"\n" + rest + "as_left: not done (as it was)\nfitted: {engine: A, cylinder: 2, date: 2020-06-05, counter: 1600 h}\n---\n"
	}
	built := "---\nholder: \"B-9\"\nnozzle: {left: \"Y-9\", marking: \"7x0.40\"}\nassembled: {nozzle_nut: {torque: 220 N·m, steps: 2}, seals: {adjusting_screw: renewed, body: reused}, dowels: seated, faces: clean}\n" +
		"stored: {date: 2020-06-01, place: 1}\n---\n"
	for _, c := range []struct {
		name, record, want string
		more               []string
	}{
		{name: "an exchange unit", record: again("E-1", "Y-1", "283 bar", "assembled: not done (only set)\n"), want: "yes"},
		{name: "an exchange unit, set beyond its band", record: again("E-1", "Y-1", "275 bar", ""), want: "no, because opening pressure as left 275 bar against 280 +8/-0 bar (new): beyond"},
		{name: "an exchange unit, opened", record: again("E-1", "Y-1", "283 bar", "stripped: {needle: free}\nassembled: not done (in a hurry)\n"), want: "no, because nothing is said of the assembly"},
		{name: "of the opening state", record: again("F-1", "Y-2", "263 bar", out), want: "yes"},
		{name: "built before, with a seal reused", record: again("B-9", "Y-9", "263 bar", out), more: []string{"overhauls/spares/2020-06-01-b-9.md", built}, want: "no, because the seal of the body is reused"},
		{name: "nobody knows its build", record: again("X-1", "Y-8", "263 bar", out), want: "no, because nothing is said of the assembly"},
		{name: "a spare of the opening state, fitted as it was", record: moved("S-1", ""), want: "yes"},
		{name: "an exchange unit, fitted as it was", record: moved("E-1", "nozzle: {left: \"Y-1\"}\n"), want: "yes"},
		{name: "an exchange unit that was not opened on board, fitted as it was", record: moved("E-1", "nozzle: {left: \"Y-1\"}\n"),
			more: []string{"overhauls/spares/2020-06-01-e-1.md", strings.Replace(exchange, "  opened_aboard: {date: 2020-06-02, gauge: G-1, opening_pressure: [285 bar]}\n", "  for: A\n", 1)},
			want: "no, because not opened on board yet"},
		{name: "lent, having run", record: moved("F-1", out), want: "no, because as left not done (as it was)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			holder := strings.ToLower(c.record[strings.Index(c.record, `"`)+1:][:3])
			folder, stem := "overhauls/spares/", "2020-06-05-"+holder
			if strings.Contains(c.record, "removed:") {
				folder, stem = "overhauls/a/c1/", "2020-06-04-"+holder
			}
			all := map[string]string{"book.md": two, "limits/trial.md": limits, "limits/pilot.md": pilot, "instruments/g-1.md": shipsGauge,
				"hours/a.csv":                        "date,counter_h,note\n2020-01-01,100,\n2020-06-01,1600,\n2020-08-01,1700,\n",
				"overhauls/spares/2020-06-01-e-1.md": strings.Replace(exchange, "  state: new", "  for: A\n  state: new", 1), folder + stem + ".md": c.record}
			for i := 0; i+1 < len(c.more); i += 2 {
				all[c.more[i]] = c.more[i+1]
			}
			if got := outcomeAt(t, all, stem).Ready.String(); got != c.want {
				t.Errorf("ready: %s\nwant: %s", got, c.want)
			}
		})
	}
}
