package implied

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// The figures of this record are those of rows run with a general reference implementation: a needle of 6 mm in a guide of 20 mm, 5 cm³
// of oil of 1.4 GPa shut in, 12.0 s from 250 to 200 bar in an oil of 2.145 mPa·s is a clearance of 1.21953 µm (laminar gap, Rabie
// equation 2.19, with exponential decay); 340 bar on a seat of 3.6 mm is 615.25 N and closes at 217.6 bar; a seat gone to 3.7 mm
// alone would read 351.1 bar; a torque of 50 N·m on a thread of 10 mm with a nut factor of 0.2 pulls 25 kN (T = K·F·d).
const record = `---
holder: "H-1"
nozzle: {found: "N-1", left: "N-1"}
removed: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 2800 h, reason: planned}
as_found:
  date: 2020-07-02
  bench: B-1
  gauge: PG-1
  oil: 20 °C
  opening_pressure: [330 bar, 330 bar, 330 bar]
  leak_down: {from: 250 bar, to: 200 bar, time: 12.0 s}
measured:
  seat_diameter: {value: 3.7 mm, with: DG-1}
assembled:
  nozzle_nut: {torque: 50 N·m, steps: 2, wrench: TW-1, lubricant: paste}
as_left:
  date: 2020-07-03
  gauge: PG-1
  opening_pressure: [345 bar, 345 bar, 345 bar]
---
`

var book = map[string]string{
	"book.md": `---
vessel: Test
engines: [{id: ME1, cylinders: [1], limits: x1}]
opening:
  date: 2020-01-01
  fitted: [{engine: ME1, cylinder: 1, holder: "H-1", nozzle: "N-1", counter: 1000 h, nozzle_hours: 500 h, left: 340 bar}]
---
`,
	"limits/x1.md": `---
type: X1
revisions:
  - from: 2020-01-01
    source: manual
    rule: simple
    opening_pressure: {used: 340.6 +10/-0 bar}
    spring: {rate: 180.955736847 N/mm}
    nozzle_nut: {torque: 50 N·m, thread: 10 mm, nut_factor: 0.2}
    geometry: {guide: 6.0 mm, seat: 3.6 mm, land: 20 mm}
---
`,
	"instruments/b-1.md":                 "---\nid: B-1\nkind: bench\noil: {viscosity_40: 1.5894 mm²/s, viscosity_100: 0.8 mm²/s, density_15: 825 kg/m³}\ntrapped_volume: 5 cm³\n---\n",
	"instruments/pg-1.md":                "---\nid: PG-1\nkind: gauge\nmeasures: pressure\nrange: 0 .. 600 bar\ndivision: 5 bar\nclass: 1.0\n---\n",
	"instruments/tw-1.md":                "---\nid: TW-1\nkind: torque wrench\nmeasures: torque\nrange: 20 .. 600 N·m\nerror: 4 %\n---\n",
	"overhauls/me1/c1/2020-07-01-h-1.md": record,
	"hours/me1.csv":                      "date,counter_h,note\n2020-01-01,1000,\n2020-08-01,3000,\n",
}

func lines(t *testing.T, change ...string) map[string]Line {
	t.Helper()
	files := fstest.MapFS{}
	for p, text := range book {
		for i := 0; i < len(change); i += 2 {
			text = strings.ReplaceAll(text, change[i], change[i+1])
		}
		files[p] = &fstest.MapFile{Data: []byte(text)}
	}
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]Line{}
	for _, l := range Of(b, b.Overhauls[0], judging.Judge(b)) {
		out[l.Name] = l
	}
	return out
}

func TestImplied(t *testing.T) {
	got := lines(t)
	for _, c := range []struct{ name, value, working string }{
		{"clearance of the needle guide as found", "1.2 µm", "Rabie"},
		{"opening pressure since the last setting", "-10 bar: seat +11, spring and what it rests on -21 bar", "seat 3.6 mm then (a new seat's, as the limits state it), 3.7 mm now"},
		{"marks to set between", "345 bar to 350 bar", "divided in 5 bar"},
		{"spring at the setting", "605 N", "0.1 mm more or less on the spring is 10 bar"},
		{"true torque of the nozzle nut", "48.0 to 52.0 N·m", "about 25 kN"},
	} {
		l := got[c.name]
		if l.Value != c.value || !strings.Contains(strings.Join(l.Working, "\n"), c.working) || l.Place.Line == 0 {
			t.Errorf("%s: %q %s %q, want %q with %q", c.name, l.Value, l.Cannot, l.Working, c.value, c.working)
		}
	}
}

// The new seat and the setting of the outside row.
// An oil that is harder to compress gives less to leak away in the same time: the clearance that is worked out grows with the oil's give.
func TestBulkModulusOfTheOil(t *testing.T) {
	soft := lines(t, "vessel: Test", "vessel: Test\nsettings: {oil_bulk_modulus: 7000 bar}")["clearance of the needle guide as found"]
	hard := lines(t, "vessel: Test", "vessel: Test\nsettings: {oil_bulk_modulus: 28000 bar}")["clearance of the needle guide as found"]
	if !strings.Contains(strings.Join(soft.Working, "\n"), "bulk modulus 7000 bar") || soft.Value <= hard.Value {
		t.Errorf("soft %s %q, hard %s", soft.Value, soft.Working, hard.Value)
	}
}

func TestSpringOfOutsideRow(t *testing.T) {
	l := lines(t, "{value: 3.7 mm, with: DG-1}", "not measured (no gauge)", "[345 bar, 345 bar, 345 bar]", "[340 bar, 340 bar, 340 bar]")["spring at the setting"]
	if l.Value != "615 N" || !strings.Contains(l.Working[1], "closes at 218 bar or above, 64 %") {
		t.Errorf("%+v", l)
	}
}

// A spring of which only wire and coil are stated: the sheet's 2.197 N/mm, times 0.1 mm, over the ring of 17.5 mm².
func TestRateOfWireAndCoil(t *testing.T) {
	l := lines(t, "rate: 180.955736847 N/mm", "wire: 2.5 mm, coil: 22.25 mm, turns: 16, shear_modulus: 79300 MPa")["spring at the setting"]
	if want := "spring rate 2.20 N/mm (16 coils of 2.5 mm wire, 22.25 mm wide, shear modulus 79300 MPa): 0.1 mm more or less on the spring is 0.13 bar"; !strings.Contains(strings.Join(l.Working, "\n"), want) {
		t.Errorf("%q lacks %q", l.Working, want)
	}
	for _, l := range lines(t, "rate: 180.955736847 N/mm", "wire: 2.5 mm, coil: 22.25 mm, turns: 16")["spring at the setting"].Working {
		if strings.Contains(l, "shim") || strings.Contains(l, "N/mm") {
			t.Errorf("a rate without a shear modulus: %q", l)
		}
	}
}

// What the book does not state is named, and nothing is put in its place.
func TestWhatIsMissingIsNamed(t *testing.T) {
	got := lines(t, "guide: 6.0 mm, ", "", "trapped_volume: 5 cm³\n", "", "error: 4 %\n", "")
	for name, cannot := range map[string]string{
		"clearance of the needle guide as found":  "the book does not state guide (limits, geometry), trapped_volume (instruments/b-1.md)",
		"opening pressure since the last setting": "the book does not state guide (limits, geometry)",
		"spring at the setting":                   "the book does not state guide (limits, geometry)",
	} {
		if l := got[name]; l.Cannot != cannot || l.Value != "" {
			t.Errorf("%s: %q, cannot %q; want %q", name, l.Value, l.Cannot, cannot)
		}
	}
	if l, there := got["true torque of the nozzle nut"]; there {
		t.Errorf("a wrench of unknown error gives a true torque: %+v", l)
	}
	if got := lines(t, "from: 250 bar, to: 200 bar, time: 12.0 s", "from: 250 bar, to: 200 bar, time: not measured (no watch)"); got["clearance of the needle guide as found"].Name != "" {
		t.Error("a test that was not made has a clearance")
	}
	// A seat read as wide as the guide is a misreading, said in words.
	if l := lines(t, "value: 3.7 mm", "value: 6.2 mm")["opening pressure since the last setting"]; !strings.Contains(l.Cannot, "exchanged?") {
		t.Errorf("a seat wider than the guide: %+v", l)
	}
}

// The bench's own leak is taken out: common practice, no source; leak rates add.
func TestBenchLeakTakenOut(t *testing.T) {
	plain := lines(t)["clearance of the needle guide as found"]
	l := lines(t, "trapped_volume: 5 cm³", "trapped_volume: 5 cm³\nown_leak: {from: 250 bar, to: 200 bar, time: 24 s}")["clearance of the needle guide as found"]
	if !strings.Contains(strings.Join(l.Working, "\n"), "the valve alone 24 s") || l.Value == plain.Value {
		t.Errorf("%+v", l)
	}
}
