package logbook

import (
	"fmt"
	"testing"
	"testing/fstest"
)

const goodOverhaul = `---
holder: "H-115"
nozzle: {found: "N-2046", left: "N-2046", marking: "9x0.36 C"}
removed: {engine: ME2, cylinder: 3, date: 2024-04-02, counter: 57705 h, reason: planned, rings_out: 1}
as_found:
  date: 2024-04-02
  bench: B-1
  gauge: PG-01
  oil: 21 °C
  connection: clean
  opening_pressure: [300 bar, 300 bar, 305 bar]
  seat: {at: 280 bar, for: 10 s, state: damp}      # dry | damp | drop | runs
  leak_down: {from: 275 bar, to: 215 bar, time: 11.2 s}
  spray: {open: 9, weak: [], form: even}
inspected:
  needle_seat: good
  holder_face: marked
  tip: not looked at (lens broken)
measured:
  stroke: {value: 0.76 mm, with: DG-2}
  holder_wear: {value: 0.03 mm, with: DG-2}
  seat_diameter: not measured (no gauge aboard)
decided: {nozzle: reuse, holder: reuse, spring: reuse, why: all within}
assembled:
  nozzle_nut: {torque: 400 N·m, steps: 2, wrench: TW-1, lubricant: high temperature}
  seals: {adjusting_screw: renewed, body: renewed}
  dowels: seated
as_left:
  date: 2024-04-04
  gauge: PG-01
  opening_pressure: [325 bar, 325 bar, 320 bar]
  leak_down: {from: 300 bar, to: 240 bar, time: 14.8 s}
  end_cap: {torque: 150 N·m, wrench: TW-1}
racked: {date: 2024-04-04, place: 3, capped: yes}
fitted: {engine: ME1, cylinder: 3, date: 2024-06-11, counter: 9599 h, rings_in: 1, clamp_nuts: {torque: 90 N·m, steps: 3}, leak_check: cold warm loaded, shields: refitted}
by: m.oyelaran
corrections:
  - {date: 2024-04-05, by: m.oyelaran, what: measured.stroke, was: 0.67 mm, why: digits swapped}
---

All in order.
`

func TestSmoke(t *testing.T) {
	o, ps := ReadOverhaul("overhauls/me2/c3/2024-04-02-h-115.md", []byte(goodOverhaul))
	for _, p := range ps {
		t.Error(p)
	}
	fmt.Println(o.AsFound.Opening.Median(), o.AsFound.Opening.Place, o.Measured.Stroke.Value, o.Inspected.Tip.Why, o.Corrections[0].Was)
	_ = fstest.MapFS{}
}
