package content

import (
	"math"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
	"needlebook/site/page"
)

// A plot of pressures is shown in the unit of the limits: each value of it, the bounds, the others and what lies ahead,
// and nothing that another plot shares. Outside source: 1 kgf/cm² is 0.980665 bar, the standard gravity of the third
// General Conference on Weights and Measures, 1901.
func TestPlotInTheUnitOfTheLimits(t *testing.T) {
	shared := []page.XY{{1, 98.0665}}
	p := &page.Plot{Unit: "bar", Points: []page.Point{{X: 1, Y: 294.1995}}, Periods: [][2]page.XY{{{1, 98.0665}, {2, 196.133}}},
		Bounds: []page.Bound{{X: 1, Y: 98.0665}}, Others: shared, Small: shared, Trend: shared,
		Band: [2][]page.XY{shared, shared}, Lines: []page.StepLine{{Steps: shared}}, Ahead: []page.Ahead{{X: 1, Low: 98.0665, High: 98.0665}}}
	p.Scale(1/0.980665, "kgf/cm²")
	hundred := []float64{p.Points[0].Y / 3, p.Periods[0][0][1], p.Periods[0][1][1] / 2, p.Bounds[0].Y, p.Others[0][1], p.Small[0][1],
		p.Trend[0][1], p.Band[0][0][1], p.Band[1][0][1], p.Lines[0].Steps[0][1], p.Ahead[0].Low, p.Ahead[0].High}
	for i, v := range hundred {
		if math.Abs(v-100) > 1e-9 {
			t.Errorf("value %d is %g, want 100 kgf/cm²", i, v)
		}
	}
	if p.Unit != "kgf/cm²" || shared[0][1] != 98.0665 {
		t.Errorf("unit %s, shared value %g", p.Unit, shared[0][1])
	}
}

// A book in kgf/cm² has its charts of pressure in kgf/cm². Outside source: as above.
func TestChartsOfABookInItsUnit(t *testing.T) {
	files := fstest.MapFS{}
	for name, text := range map[string]string{
		"book.md": "---\nvessel: A Ship\nengines:\n  - {id: ME1, type: 4T20, cylinders: [1], limits: 4t20}\nopening:\n  date: 2020-01-01\n" +
			"  fitted:\n    - {engine: ME1, cylinder: 1, holder: \"H-1\", nozzle: \"N-1\", counter: 100 h, left: 300 kgf/cm²}\n---\n",
		"limits/4t20.md": "---\ntype: 4T20\nrevisions:\n  - {from: 2020-01-01, source: a manual, opening_pressure: {used: 300 +10/-0 kgf/cm²}}\n---\n",
		"hours/me1.csv":  "date,counter_h,note\n2020-01-01,100,\n2020-07-01,2300,\n",
	} {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	w := writerOf(t, files)
	c := plotTitled(t, w.cylinderPage(logbook.Position{Engine: "ME1", Cylinder: "1"}, 0), "opening pressure of cylinder ME1-1, as left and as found")
	if c.Unit != "kgf/cm²" || len(c.Points) != 1 || math.Abs(c.Points[0].Y-300) > 0.01 {
		t.Errorf("the chart is in %s, with %v; want 300 kgf/cm²", c.Unit, c.Points)
	}
}
