package judging

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

const bookText = `---
vessel: X
engines:
  - {id: ME1, cylinders: [1], limits: x}
opening:
  date: 2020-01-01
  fitted: [{engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 0 h, nozzle_hours: 100 h, left: 320 bar}]
---
`

const limitsText = `---
type: X
revisions:
  - from: 2020-01-01
    source: manual A
    rule: %s
    opening_pressure: {used: 320 +10/-0 bar, new: 345 +10/-0 bar, as_found: {look: 285 bar, cause: 265 bar}}
    seat: {at: opening - 20 bar, for: 10 s, allow: damp}
    leak_down: {from: opening - 25 bar, fall: 60 bar, oil: 20 °C, as_left: 6.0 .. 40 s, as_found: 2.5 s ..}
    effective_lift: {max: 0.90 mm, safety: yes}
    holder_wear: {max: 0.05 mm}
    nozzle_nut: {torque: 400 N·m, tolerance: 6 %%, steps: 2}
---
`

// judged judges one record of a small book whose gauge is a 600 bar gauge of class 1.6 with 5-bar divisions.
func judged(t *testing.T, rule, record string) (*Judgement, *logbook.Overhaul) {
	t.Helper()
	files := fstest.MapFS{
		"book.md":     {Data: []byte(bookText)},
		"limits/x.md": {Data: []byte(fmt.Sprintf(limitsText, rule))},
		"instruments/pg-2.md": {Data: []byte(`---
id: PG-2
kind: gauge
range: 0 .. 600 bar
division: 5 bar
class: 1.6
calibrated_until: 2023-12-31
found_wrong: [{from: 2022-03-09, to: 2022-05-14, factor: 1.072, why: dropped}]
---
`)},
		"instruments/dg-1.md":                {Data: []byte("---\nid: DG-1\nkind: dial gauge\nrange: 0 .. 10 mm\ndivision: 0.01 mm\nerror: 0.01 mm\n---\n")},
		"instruments/b-1.md":                 {Data: []byte("---\nid: B-1\nkind: bench\noil: {viscosity_40: 2.60 mm²/s, viscosity_100: 1.05 mm²/s, density_15: 825 kg/m³}\n---\n")},
		"overhauls/me1/c1/2021-06-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\n" + record + "\n---\n")},
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	return Judge(b), b.Overhauls[0]
}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name, rule, record, key string
		want                    Result
		accepted                bool
		why                     string
	}{
		{"clear of the uncertainty", "simple", "as_found: {date: 2021-06-01, gauge: PG-2, opening_pressure: [300 bar, 300 bar, 300 bar]}", "as_found.opening_pressure", Within, true, ""},
		// Worked by hand: class 1.6 of 600 bar is ±9.6 bar, u = 9.6/√3 = 5.54; half a division u = 5/√12 = 1.44; U = 2·√(5.54² + 1.44²) = 11.5 bar.
		{"below the setting by less than the uncertainty", "simple", "as_left: {date: 2021-06-02, gauge: PG-2, opening_pressure: [318 bar, 318 bar, 318 bar]}", "as_left.opening_pressure", BeyondDoubt, false, "more than half of the band"},
		{"inside the setting, but a gauge too coarse to prove it", "simple", "as_left: {date: 2021-06-02, gauge: PG-2, opening_pressure: [325 bar]}", "as_left.opening_pressure", WithinDoubt, true, "more than half of the band"},
		{"the same under the guarded rule", "guarded", "as_left: {date: 2021-06-02, gauge: PG-2, opening_pressure: [325 bar]}", "as_left.opening_pressure", WithinDoubt, false, ""},
		{"far off", "simple", "as_left: {date: 2021-06-02, gauge: PG-2, opening_pressure: [250 bar]}", "as_left.opening_pressure", Beyond, false, ""},
		{"exactly on the limit", "simple", "as_left: {date: 2021-06-02, opening_pressure: [330 bar]}", "as_left.opening_pressure", Within, true, ""},
		{"just beyond it", "simple", "as_left: {date: 2021-06-02, opening_pressure: [330.1 bar]}", "as_left.opening_pressure", Beyond, false, ""},
		{"in another unit", "simple", "as_left: {date: 2021-06-02, opening_pressure: [32.5 MPa]}", "as_left.opening_pressure", Within, true, ""},
		{"instrument not in the book", "simple", "as_found: {date: 2021-06-01, gauge: PG-9, opening_pressure: [300 bar]}", "as_found.opening_pressure", NotProven, false, "not in the book"},
		{"calibration run out", "simple", "as_found: {date: 2024-06-01, gauge: PG-2, opening_pressure: [300 bar]}", "as_found.opening_pressure", NotProven, false, "ran out on 2023-12-31"},
		{"found wrong then", "simple", "as_left: {date: 2022-04-01, gauge: PG-2, opening_pressure: [320 bar]}", "as_left.opening_pressure", NotProven, false, "shown 320 bar, probably 299 bar"},
		{"found wrong, and beyond", "simple", "as_left: {date: 2022-04-01, gauge: PG-2, opening_pressure: [250 bar]}", "as_left.opening_pressure", Beyond, false, "probably 233 bar"},
		{"two that disagree", "simple", "as_found: {date: 2021-06-01, gauge: PG-2, opening_pressure: [300 bar, 340 bar]}", "as_found.opening_pressure", NotProven, false, "300 bar and 340 bar disagree: take 3 readings again"},
		{"two that disagree, beyond", "simple", "as_found: {date: 2021-06-01, gauge: PG-2, opening_pressure: [240 bar, 280 bar]}", "as_found.opening_pressure", Beyond, false, "240 bar and 280 bar disagree"},
		{"two that agree", "simple", "as_found: {date: 2021-06-01, gauge: PG-2, opening_pressure: [340 bar, 340 bar]}", "as_found.opening_pressure", Within, true, ""},
		{"not measured", "simple", "as_left: {date: 2021-06-02, opening_pressure: not measured (gauge broken)}", "as_left.opening_pressure", NotMeasured, false, "gauge broken"},
		{"no limit then", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: 0.72 mm}", "measured.lift", NoLimitThen, false, ""},
		{"no date at all", "simple", "measured: {holder_wear: 0.01 mm}", "measured.holder_wear", NoLimitThen, false, "no date"},
		{"before the first revision", "simple", "removed: {engine: ME1, cylinder: 1, date: 2019-06-01}\nas_found: {date: 2019-06-01, opening_pressure: [300 bar]}", "as_found.opening_pressure", NoLimitThen, false, ""},
		{"damp is allowed", "simple", "as_left: {date: 2021-06-02, seat: {state: damp}}", "as_left.seat.state", Within, false, ""},
		{"a drop is not", "simple", "as_left: {date: 2021-06-02, seat: {state: drop}}", "as_left.seat.state", Beyond, false, ""},
		// 0.87 + 0.02 with one gauge of ±0.01 mm for both: U = 2·√((2·0.01/√3)² + 2·(0.01/√12)²) = 0.024 mm, more than the 0.01 mm that is left.
		{"safety limit within, but not clear of the uncertainty", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: {value: 0.87 mm, with: DG-1}, holder_wear: {value: 0.02 mm, with: DG-1}}", "effective_lift", WithinDoubt, false, ""},
		{"safety limit with two gauges' worth of room, but one gauge", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: {value: 0.86 mm, with: DG-1}, holder_wear: {value: 0.02 mm, with: DG-1}}", "effective_lift", WithinDoubt, false, ""},
		{"safety limit clear of the uncertainty", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: {value: 0.85 mm, with: DG-1}, holder_wear: {value: 0.02 mm, with: DG-1}}", "effective_lift", Within, true, ""},
		{"sum exactly on the limit", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: 0.87 mm, holder_wear: 0.03 mm}", "effective_lift", Within, true, ""},
		{"sum beyond", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: 0.88 mm, holder_wear: 0.03 mm}", "effective_lift", Beyond, false, ""},
		{"half of the sum missing", "simple", "as_found: {date: 2021-06-01}\nmeasured: {lift: 0.88 mm, holder_wear: not measured (no bridge)}", "effective_lift", NotMeasured, false, "holder wear not measured"},
		{"torque inside its tolerance", "simple", "as_found: {date: 2021-06-01}\nassembled: {nozzle_nut: {torque: 376 N·m, steps: 2}}", "assembled.nozzle_nut.torque", Within, true, ""},
		{"torque outside", "simple", "as_found: {date: 2021-06-01}\nassembled: {nozzle_nut: {torque: 375.9 N·m, steps: 1}}", "assembled.nozzle_nut.torque", Beyond, false, ""},
		{"a step short", "simple", "as_found: {date: 2021-06-01}\nassembled: {nozzle_nut: {torque: 400 N·m, steps: 1}}", "assembled.nozzle_nut.steps", Beyond, false, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, o := judged(t, c.rule, c.record)
			v := j.Find(o, c.key)
			if v.Result != c.want || v.Accepted != c.accepted || !strings.Contains(v.Why, c.why) {
				t.Errorf("%s: %s (accepted %v, %q), want %s (accepted %v, %q)\n%s", c.key, v.Result, v.Accepted, v.Why, c.want, c.accepted, c.why, strings.Join(v.Working, "\n"))
			}
			if v.Result != NotMeasured && v.Result != NoLimitThen && v.LimitText != "" && (v.Source != "manual A" || v.LimitPlace.Line == 0) {
				t.Errorf("limit %q without its source or line: %q %v", v.LimitText, v.Source, v.LimitPlace)
			}
		})
	}
}

// The uncertainty of a test gauge: EN 837-1 class of span, half a division, repeats; the sum after GUM 5.1.2 is worked out beside
// each case above.
func TestGaugeUncertainty(t *testing.T) {
	j, o := judged(t, "simple", "as_left: {date: 2021-06-02, gauge: PG-2, opening_pressure: [320 bar, 320 bar, 320 bar]}")
	if v := j.Find(o, "as_left.opening_pressure"); math.Abs(v.U-2*math.Hypot(9.6/math.Sqrt(3), 5/math.Sqrt(12))) > 1e-9 {
		t.Errorf("U = %v bar\n%s", v.U, strings.Join(v.Working, "\n"))
	}
}

// A reading counts with its instrument as that was on the day of its own step: here the gauge is known to have read 1.072 times too high
// from 2022-03-09 to 2022-05-14, and the two tests of one record lie on either side of its beginning.
func TestInstrumentOfTheDay(t *testing.T) {
	step := func(block, date string) string {
		return block + ": {date: " + date + ", gauge: PG-2, opening_pressure: [320 bar, 320 bar, 320 bar]}"
	}
	for _, c := range []struct{ found, left, wrong string }{
		{"2022-03-08", "2022-03-10", "as_left"},
		{"2022-03-10", "2022-05-20", "as_found"},
		{"2022-03-08", "2022-05-20", ""},
	} {
		j, o := judged(t, "guarded", step("as_found", c.found)+"\n"+step("as_left", c.left))
		for _, block := range []string{"as_found", "as_left"} {
			v := j.Find(o, block+".opening_pressure")
			if (block == c.wrong) != strings.Contains(v.Why, "was found to read wrong") {
				t.Errorf("found %s, left %s: %s is %s (%s)", c.found, c.left, block, v.Result, v.Why)
			}
		}
	}
	for key, want := range map[string]string{"as_left.x": "2021-06-02", "fitted.x": "2021-06-03", "as_found.x": "2021-06-01", "measured.x": "2021-06-01"} {
		_, o := judged(t, "simple", "removed: {engine: ME1, cylinder: 1, date: 2021-05-31, counter: 10 h}\nas_found: {date: 2021-06-01}\n"+
			"as_left: {date: 2021-06-02}\nfitted: {engine: ME1, cylinder: 1, date: 2021-06-03, counter: 11 h}")
		if got := (&judge{o: o}).dayOf(key).String(); got != want {
			t.Errorf("the day of %s is %s, want %s", key, got, want)
		}
	}
}
