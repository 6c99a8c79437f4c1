package judging

import (
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// The working of a verdict says each thing that is not known of it, in the order in which it is added up. Worked by hand: a gauge that shows 1 bar
// too much at 201 bar and 5 at 405 shows 1 + 4·99/204 = 2.9 too much at 300, and may have moved by half of its class of 6 bar; three comparisons 0.01,
// 0.02 and 0.01 mm off are 0.013 off, and scatter by 0.0058; half widths over √3, marks over 2√3: GUM 4.3.7 and F.2.2.1.
func TestWorkingIsWhole(t *testing.T) {
	gauge := "---\nid: %s\nkind: gauge\nmeasures: %m\nrange: 0 to 600 bar\ndivision: 5 bar\nclass: 1.0\n"
	points := "certificate: C-7\npoints_uncertainty: 1.2 bar\npoints:\n  - {true: 200 bar, shows: 201 bar}\n  - {true: 400 bar, shows: 405 bar}\n---\n"
	depth := func(date, shows string) string {
		return "  - {date: " + date + ", against: DG-2, true: 0.50 mm, shows: " + shows + " mm}\n"
	}
	b, err := logbook.Read(fstest.MapFS{
		"book.md":             {Data: []byte(bookText)},
		"limits/x.md":         {Data: []byte(strings.NewReplacer("%s", "simple", "%%", "%").Replace(limitsText))},
		"instruments/pg-1.md": {Data: []byte(strings.NewReplacer("%s", "PG-1", "%m", "pressure").Replace(gauge) + points)},
		"instruments/b-1.md": {Data: []byte("---\nid: B-1\nkind: bench\noil: {viscosity_40: 2.60 mm²/s, viscosity_100: 1.05 mm²/s, density_15: 825 kg/m³}\n" +
			"own_leak: {from: 300 bar, to: 290 bar, time: 120 s}\n---\n")},
		"instruments/dg-1.md": {Data: []byte("---\nid: DG-1\nkind: dial gauge\nmeasures: length\nrange: 0 to 10 mm\ndivision: 0.01 mm\nerror: 0.02 mm\ncomparisons:\n" +
			depth("2020-02-01", "0.51") + depth("2020-03-01", "0.52") + depth("2020-04-01", "0.51") + "---\n")},
		"instruments/dg-2.md": {Data: []byte("---\nid: DG-2\nkind: dial gauge\nmeasures: length\nrange: 0 to 10 mm\ndivision: 0.001 mm\nerror: 0.002 mm\n---\n")},
		"overhauls/me1/c1/2021-06-01-h-1.md": {Data: []byte("---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\n" +
			"as_found: {date: 2021-06-01, bench: B-1, gauge: PG-1, oil: 28 °C, opening_pressure: [300 bar, 302 bar], leak_down: {time: 8.0 s}}\n" +
			"measured: {lift: {value: 0.80 mm, with: DG-1}, holder_wear: {value: 0.02 mm, with: DG-1}}\n" +
			"as_left: {date: 2021-06-02, bench: B-1, gauge: PG-1, oil: 28 °C, opening_pressure: [320 bar, 322 bar, 324 bar], leak_down: {from: 297 bar, to: 237 bar, time: 10.0 s}}\n---\n")},
	})
	if err != nil || len(b.Problems) > 0 {
		t.Fatal(err, b.Problems)
	}
	wants := map[string]string{
		"as_found.opening_pressure": `opening pressure as found 300 bar against at least 265 bar
2 readings, 3 are asked for: how far they scatter is hardly known
u(correction of PG-1, certificate C-7) = 0.6 = 0.6
u(drift of PG-1) = 3 / √3 = 1.7
u(division of PG-1) = 5 / (2 √3) = 1.4
u(repeats of opening pressure) = 1.414 / √2 × 1.41 = 1.4
PG-1 shows +2.9 bar: certificate C-7
uncertainty ±5.5 bar (k = 2): within`,
		"as_found.leak_down.time": `8.0 s at 28 °C is 9.5 s at 20 °C: the time goes with viscosity over bulk modulus (ASTM D341; 0.5 % a kelvin)
leak-down as found 9.5 s against at least 2.5 s
u(thermometer) = 0.1859 / √3 = 0.11
u(oil and body of the valve apart) = 0.3717 / √3 = 0.21
u(viscosity of the oil) = 0.1461 / √3 = 0.084
u(watch and reaction) = 0.3548 / √3 = 0.2
u(oil that cools after pumping) = 0.7469 / √3 = 0.43
uncertainty ±1.1 s (k = 2): within`,
		"effective_lift": `effective lift = lift 0.80 mm + holder wear 0.02 mm = 0.82 mm
effective lift 0.82 mm against at most 0.90 mm
u(correction of DG-1, 3 comparisons with DG-2) = 0.004567 = 0.0046
u(drift of DG-1) = 0.005774 / √3 × 1.73 = 0.0058
u(division of DG-1) = 0.01 / (2 √3) = 0.0029
u(correction of DG-1, 3 comparisons with DG-2) = 0.004567 = 0.0046
the error of DG-1 is the same in both readings: r = 1 (GUM 5.2.4)
u(drift of DG-1) = 0.005774 / √3 × 1.73 = 0.0058
u(division of DG-1) = 0.01 / (2 √3) = 0.0029
DG-1 shows +0.013 mm: 3 comparisons with DG-2
DG-1 shows +0.013 mm: 3 comparisons with DG-2
uncertainty ±0.026 mm (k = 2): within`,
		"as_left.leak_down.time": `timed from 297 bar; the limit holds for opening - 25 bar = 297 bar, a fall of 60 bar (timed: 60 bar)
the bench alone would take 799 s (blank plug: 300 bar to 290 bar in 120 s): the valve alone 10 s
10.0 s at 28 °C is 12.0 s at 20 °C: the time goes with viscosity over bulk modulus (ASTM D341; 0.5 % a kelvin)
leak-down as left 12.0 s against 6.0 to 40 s
u(thermometer) = 0.2353 / √3 = 0.14
u(oil and body of the valve apart) = 0.4705 / √3 = 0.27
u(viscosity of the oil) = 0.1849 / √3 = 0.11
u(watch and reaction) = 0.3593 / √3 = 0.21
u(error of PG-1) = 0.08292 = 0.083
u(both pressures read) = 0.7162 / √3 = 0.41
u(oil that cools after pumping) = 0.9455 / √3 = 0.55
uncertainty ±1.6 s (k = 2): within`,
	}
	for _, v := range Judge(b).Worked(b.Overhauls[0]) {
		if got, want := strings.Join(v.Working, "\n"), wants[v.Key]; want != "" && got != want {
			t.Errorf("%s:\n%s\nwant\n%s", v.Key, got, want)
		}
		delete(wants, v.Key)
	}
	if len(wants) > 0 {
		t.Errorf("not judged: %v", wants)
	}
}
