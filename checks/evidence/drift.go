package evidence

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"needlebook/checks/drift"
	"needlebook/checks/paper"
)

// Trend is one line through the readings of one quantity at one level, and how far it is from its limit.
type Trend struct {
	Quantity Quantity
	Level    string // "whole set", "engine", "position", "holder", "nozzle"
	Which    string // its name; empty for the whole set
	N        int
	Line     drift.Line
	Slope    drift.Interval // confidence interval of the slope, per hour
	Median   drift.MedianLine
	Reach    drift.Reach // where one more reading meets the limit
	Why      string      // why no line or no age is given, in words; empty where both are
}

// robustOver is the most readings the median line is drawn through, the latest: its work grows with their square.
const robustOver = 400

// Trends fits every quantity at every level. Where a part was ground or lapped only the run since then is taken.
func (e *Evidence) Trends() []Trend {
	var all []Trend
	for _, q := range e.Quantities() {
		all = append(all, e.trend(q, "whole set", "", q.points))
		for _, level := range []struct {
			name string
			of   func(point) string
			own  bool
		}{
			{"engine", func(p point) string { return p.engine }, false},
			{"position", func(p point) string { return p.engine + "-" + p.cylinder }, false},
			{"holder", func(p point) string { return p.holder }, true},
			{"nozzle", func(p point) string { return p.nozzle }, true},
		} {
			by := map[string][]point{}
			for _, p := range q.points {
				by[level.of(p)] = append(by[level.of(p)], p)
			}
			names := make([]string, 0, len(by))
			for n := range by {
				names = append(names, n)
			}
			sort.Strings(names)
			for _, n := range names {
				points := by[n]
				if level.own && (level.name == q.Over || q.Over == "nozzle" && level.name == "nozzle") {
					points = lastRun(points)
				}
				all = append(all, e.trend(q, level.name, n, points))
			}
		}
	}
	return all
}

// lastRun are the readings of a part since its last step.
func lastRun(points []point) []point {
	last := points[len(points)-1].run
	var own []point
	for _, p := range points {
		if p.run == last {
			own = append(own, p)
		}
	}
	return own
}

func (e *Evidence) level() float64 { return e.settings.EvidenceLevel.Float() / 100 }

func (e *Evidence) trend(q Quantity, level, which string, points []point) Trend {
	t := Trend{Quantity: q, Level: level, Which: which, N: len(points)}
	t.Quantity.points = nil
	x, y := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		x[i], y[i] = p.hours, p.value
	}
	line, err := drift.Fit(x, y)
	switch {
	case errors.Is(err, drift.ErrTooFew):
		t.Why = fmt.Sprintf("too few: %d readings", len(points))
		return t
	case err != nil:
		t.Why = err.Error()
		return t
	}
	t.Line = line
	t.Slope, _ = line.SlopeInterval(e.level())
	if n := len(x); n > robustOver {
		x, y = x[n-robustOver:], y[n-robustOver:]
	}
	t.Median, _ = drift.MedianFit(x, y, e.level())
	if !q.Has {
		t.Why = "no limit in force"
		return t
	}
	t.Reach, err = line.Reach(q.Limit, e.level(), drift.Reading)
	switch {
	case errors.Is(err, drift.ErrFlat):
		t.Why = "the line is flat: it meets no limit"
	case err != nil:
		t.Why = err.Error()
	case !t.Reach.Bounded():
		t.Why = fmt.Sprintf("no finite interval: the trend is not clear of none (g = %.2g)", t.Reach.G)
	case (line.Slope > 0) != (q.Bad == drift.Above):
		t.Why = "the trend does not run towards the limit"
	}
	return t
}

// driftTable lists trends, the whole set and the engines always, the rest where a line could be drawn.
func (e *Evidence) driftTable(parts bool) paper.Table {
	lv := e.settings.EvidenceLevel.Written
	t := paper.Table{Name: "drift", Title: "drift of what was measured, and the hours at which one more reading may meet the limit (" + lv + ")",
		Columns: []string{"quantity", "level", "which", "n", "per 1000 h", "between", "median line", "scatter", "limit", "meets it at h", "earliest", "latest", "why not"}, Empty: "nothing measured drifts yet"}
	for _, x := range e.Trends() {
		small := x.Level != "whole set" && x.Level != "engine"
		if small && !parts || parts && small && x.Line.N == 0 && x.N < 2 {
			continue
		}
		row := []paper.Cell{paper.Text(x.Quantity.Name), paper.Text(x.Level), which(x), paper.Text(fmt.Sprint(x.N))}
		if x.Line.N == 0 {
			for range 8 {
				row = append(row, paper.Text("–"))
			}
		} else {
			d := map[string]string{"bar": "%.1f", "mm": "%.4f", "log10 s": "%.4f"}[x.Quantity.Unit]
			f := func(v float64) string {
				if math.IsInf(v, 0) {
					return "–"
				}
				return fmt.Sprintf(d, v)
			}
			limit, at, low, high := "–", "–", "–", "–"
			if x.Quantity.Has {
				limit = fmt.Sprintf("%.3g %s", x.Quantity.Limit, x.Quantity.Unit)
			}
			if x.Why == "" {
				at, low, high = fmt.Sprintf("%.0f", x.Reach.At), fmt.Sprintf("%.0f", math.Max(0, x.Reach.Interval.Low)), fmt.Sprintf("%.0f", x.Reach.Interval.High)
			}
			for _, s := range []string{f(1000*x.Line.Slope) + " " + x.Quantity.Unit, f(1000*x.Slope.Low) + " .. " + f(1000*x.Slope.High), f(1000 * x.Median.Slope), f(x.Line.ResidualSD), limit, at, low, high} {
				row = append(row, paper.Text(s))
			}
		}
		t.Add(append(row, paper.Text(x.Why))...)
	}
	return t
}

func which(x Trend) paper.Cell {
	switch x.Level {
	case "holder":
		return paper.Holder(x.Which)
	case "nozzle":
		return paper.Nozzle(x.Which)
	}
	if x.Which == "" {
		return paper.Text("–")
	}
	return paper.Text(x.Which)
}
