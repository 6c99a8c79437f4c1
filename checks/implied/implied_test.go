package implied

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// The figures of this record are those of rows run with a general reference implementation: a needle of 6 mm in a guide of 20 mm, 5 cm³
// of oil of 1.4 GPa shut in, 12.0 s from 250 to 200 bar in an oil of 2.145 mPa·s is a clearance of 1.21953 µm with the needle central (laminar
// gap, Rabie equation 2.19, with exponential decay), in one of 1.80 mPa·s its third root less, and aside 2.5 to the third less again; 340 bar on a seat of 3.6 mm is 615.25 N and closes at 217.6 bar; a seat gone to 3.7 mm
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
		{"clearance of the needle guide as found, at most", "the nozzle's first on B-1", "0.85 to 1.2 µm as the needle lies"},
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

// A nozzle that falls in half the time over the same fall with the same oil has at most the third root of two, 26 %, more clearance
// (Rabie, equation 2.19). Twice the logarithm of the pressures' ratio takes twice the time; oil at another temperature counts by its
// viscosity over its modulus, here 8.0 s at 30 °C for 9.8 s at 20 °C, and the bench's own leak of 24 s by the same fall is taken out.
func TestClearanceSinceTheFirst(t *testing.T) {
	const name = "clearance of the needle guide as left, at most"
	left := func(oil, hold, more string) []string {
		return []string{"as_left:\n  date: 2020-07-03\n", "as_left:\n  date: 2020-07-03\n  bench: B-1\n  oil: " + oil + "\n  leak_down: " + hold + "\n" + more}
	}
	oil := []string{"viscosity_40: 1.5894 mm²/s, viscosity_100: 0.8 mm²/s", "viscosity_40: 2.6 mm²/s, viscosity_100: 1.05 mm²/s"}
	for _, c := range []struct {
		name          string
		change        []string
		value, cannot string
	}{
		{"half the time", left("20 °C", "{from: 250 bar, to: 200 bar, time: 6.0 s}", ""), "+26 % since its first on B-1", ""},
		{"half the time over half the fall", left("20 °C", "{from: 250 bar, to: 223.607 bar, time: 6.0 s}", ""), "0 % since its first on B-1", ""},
		{"warm oil", append(left("30 °C", "{from: 250 bar, to: 200 bar, time: 9.8 s}", ""), oil...), "0 % since its first on B-1", ""},
		{"a leaking bench", append(left("20 °C", "{from: 250 bar, to: 200 bar, time: 8.0 s}", ""), "trapped_volume: 5 cm³",
			"trapped_volume: 5 cm³\nown_leak: {from: 250 bar, to: 200 bar, time: 24 s}"), "+26 % since its first on B-1", ""},
		{"a wet seat", left("20 °C", "{from: 250 bar, to: 200 bar, time: 6.0 s}", "  seat: {state: drop}\n"), "", "seat or joint leaked too"},
		{"no oil temperature", left("not noted (broken)", "{from: 250 bar, to: 200 bar, time: 6.0 s}", ""), "", "oil temperature of one of the two"},
	} {
		if l := lines(t, c.change...)[name]; l.Value != c.value || !strings.Contains(l.Cannot, c.cannot) {
			t.Errorf("%s: %q, %q; want %q, %q\n%s", c.name, l.Value, l.Cannot, c.value, c.cannot, strings.Join(l.Working, "\n"))
		}
	}
}

// A bench that the book does not know has no leak of its own to take out, and no oil.
func TestClearanceOnUnknownBench(t *testing.T) {
	l := lines(t, "bench: B-1\n", "bench: B-9\n", "as_left:\n  date: 2020-07-03\n",
		"as_left:\n  date: 2020-07-03\n  bench: B-9\n  oil: 20 °C\n  leak_down: {from: 250 bar, to: 200 bar, time: 6.0 s}\n")
	if v := l["clearance of the needle guide as left, at most"].Value; v != "+26 % since its first on B-9" {
		t.Errorf("%q", v)
	}
}

// An oil that is harder to compress gives less to leak away in the same time: the clearance that is worked out grows with the oil's give.
func TestBulkModulusOfTheOil(t *testing.T) {
	const name = "clearance of the needle guide as found, at most"
	soft := lines(t, "vessel: Test", "vessel: Test\nsettings: {oil_bulk_modulus: 7000 bar}")[name].Working[1]
	hard := lines(t, "vessel: Test", "vessel: Test\nsettings: {oil_bulk_modulus: 28000 bar}")[name].Working[1]
	if !strings.HasPrefix(soft, "1.1 to 1.4 µm") || !strings.HasPrefix(hard, "0.67 to 0.91 µm") {
		t.Errorf("soft %s, hard %s", soft, hard)
	}
}

// The new seat and the setting of the outside row.
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
	if got := lines(t, "from: 250 bar, to: 200 bar, time: 12.0 s", "from: 250 bar, to: 200 bar, time: not measured (no watch)"); got["clearance of the needle guide as found, at most"].Name != "" {
		t.Error("a test that was not made has a clearance")
	}
	// A seat read as wide as the guide is a misreading, said in words.
	if l := lines(t, "value: 3.7 mm", "value: 6.2 mm")["opening pressure since the last setting"]; !strings.Contains(l.Cannot, "exchanged?") {
		t.Errorf("a seat wider than the guide: %+v", l)
	}
}
