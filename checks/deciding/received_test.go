package deciding

import "testing"

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
		{name: "lift of the certificate beyond", change: []string{"0.63 mm", "0.69 mm"}, want: "no, because lift 0.69 mm against 0.60 to 0.66 mm (new): beyond"},
		{name: "not opened", change: []string{"  opened_aboard: {date: 2020-06-02, gauge: G-1, opening_pressure: [285 bar]}\n", ""}, want: "no, because not opened on board yet"},
		{name: "opened too low", change: []string{"[285 bar]", "[270 bar]"}, want: "no, because opening pressure aboard 270 bar against 280 +8/-0 bar (new): beyond"},
		{name: "opened with a gauge that nobody knows", change: []string{"G-1", "G-2"}, want: "no, because opening pressure aboard is not proven: instrument G-2 is not in the book"},
		{name: "state not stated", change: []string{"  state: new\n", ""}, want: "no, because not stated whether it is set as new, used or reground"},
		{name: "certified below the band", change: []string{"[283 bar]", "[279 bar]"}, want: "no, because opening pressure as left 279 bar against 280 +8/-0 bar (new): beyond, in doubt"},
		{name: "set as used", change: []string{"state: new", "state: used", "[283 bar]", "[264 bar]", "[285 bar]", "[264 bar]", "nozzle_hours: 0 h", "nozzle_hours: 900 h"}, want: ready},
		{name: "leak-down not certified", change: []string{"  leak_down: {from: 263 bar, to: 213 bar, time: 12.0 s}\n", ""}, want: "no, because leak-down as left not measured"},
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
