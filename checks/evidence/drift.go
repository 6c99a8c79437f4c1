package evidence

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"needlebook/checks/drift"
	"needlebook/checks/paper"
	"needlebook/logbook"
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
	Reach    drift.Reach      // where one more reading meets the limit
	Left     *drift.Remaining // hours from now until it does; nil where the part is not in an engine today
	Why      string           // why no line or no age is given, in words; empty where both are
}

// robustOver is the most readings the median line is drawn through, the latest: its work grows with their square.
const robustOver = 120

// trends fits every quantity of a type at every level, or at that of the whole set and the engines alone. Lines of
// several parts leave out the readings after a part was ground or lapped, and lines of one part those before: both are
// steps, not drift.
func (e *Evidence) trends(t valveType, parts bool) []Trend {
	var all []Trend
	for _, q := range e.quantities(t) {
		all = append(all, e.trend(q, "whole set", "", firstRun(q.points)))
		for _, level := range []struct {
			name string
			of   func(point) string
		}{
			{"engine", func(p point) string { return p.engine }},
			{"position", func(p point) string { return p.engine + "-" + p.cylinder }},
			{"holder", func(p point) string { return p.holder }},
			{"nozzle", func(p point) string { return p.nozzle }},
		} {
			if level.name != "engine" && !parts {
				break
			}
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
				if level.name == q.Over {
					all = append(all, e.trend(q, level.name, n, lastRun(by[n])))
				} else {
					all = append(all, e.trend(q, level.name, n, firstRun(by[n])))
				}
			}
		}
	}
	return all
}

// firstRun are the readings with no step behind them.
func firstRun(points []point) []point { return ofRun(points, 0) }

// WholeSets fits every quantity over the whole set of each type of valve, by engine; engines of one type share their
// lines.
func (e *Evidence) WholeSets() map[string][]Trend {
	all := map[string][]Trend{}
	for _, t := range e.types() {
		var of []Trend
		for _, q := range e.quantities(t) {
			of = append(of, e.trend(q, "whole set", "", firstRun(q.points)))
		}
		for _, engine := range t.engines {
			all[engine] = of
		}
	}
	return all
}

// lastRun are the readings of a part since its last step.
func lastRun(points []point) []point { return ofRun(points, points[len(points)-1].run) }

func ofRun(points []point, run int) []point {
	var own []point
	for _, p := range points {
		if p.run == run {
			own = append(own, p)
		}
	}
	return own
}

func (e *Evidence) level() float64 { return e.settings.EvidenceLevel.Float() / 100 }

func (e *Evidence) trend(q Quantity, level, which string, points []point) Trend {
	t := Trend{Quantity: q, Level: level, Which: which, N: len(points)}
	t.Quantity.points = points
	x, y := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		x[i], y[i] = p.hours, p.value
	}
	line, err := drift.Fit(x, y)
	if err == nil && slices.Max(x)-slices.Min(x) <= e.settings.LikeAge.Float()/100*slices.Min(x) {
		t.Why = fmt.Sprintf("ages too much alike: %.0f to %.0f h", slices.Min(x), slices.Max(x))
		return t
	}
	switch {
	case errors.Is(err, drift.ErrTooFew):
		t.Why = "too few: " + logbook.Counted(len(points), "reading")
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
	if now, in := e.hoursNow(q, level, which); in {
		if left, err := line.Remaining(now, q.Limit, q.Bad, e.level(), drift.Reading); err == nil {
			t.Left = &left
		}
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

// hoursNow are the hours today of the part or position that a line is about, on its own scale of hours; in is false
// where it sits in no engine, or its hours are not known.
func (e *Evidence) hoursNow(q Quantity, level, which string) (now float64, in bool) {
	for _, p := range e.Book.Positions() {
		s := e.lives.At(p, e.today)
		if s == nil {
			continue
		}
		switch {
		case level == "nozzle" && q.Over == "nozzle" && s.Nozzle == which:
			return e.lives.NozzleHours(which, e.today)
		case level == "holder" && q.Over == "holder" && s.Holder == which:
			return e.lives.HolderHours(which, e.today)
		case q.Over == "service life" && (level == "position" && p.String() == which || level == "holder" &&
			s.Holder == which || level == "nozzle" && s.Nozzle == which):
			return e.lives.HoursOn(s, e.today)
		}
	}
	return 0, false
}

// driftTable lists trends; those of single parts where there is something to say.
func (e *Evidence) driftTable(trends []Trend) paper.Table {
	out := paper.Table{Name: "drift",
		Title: "drift of what was measured, and the hours at which one more reading may meet the limit (" +
			e.settings.EvidenceLevel.Written + ")",
		Columns: []string{"quantity", "level", "which", "n", "per 1000 h", "between", "median line", "scatter", "limit",
			"hours of the", "meets it at h", "earliest", "latest", "left h, at least", "why not"},
		Empty: "nothing measured drifts yet"}
	for _, x := range trends {
		if own := x.Level != "whole set" && x.Level != "engine"; own && x.Line.N == 0 && x.N < 2 {
			continue
		}
		row := []paper.Cell{paper.Text(x.Quantity.heading()), paper.Text(x.Level), which(x), num(x.N)}
		for _, s := range x.figures() {
			row = append(row, paper.Text(s))
		}
		row = slices.Insert(row, 9, paper.Text(x.Quantity.hoursOf()))
		out.Add(append(row, paper.Text(x.Why))...)
	}
	return out
}

// figures are the numbers of a trend, in the unit that its limit is written in; a time on the log scale changes by a
// share.
func (x Trend) figures() []string {
	const dash = "–"
	if x.Line.N == 0 {
		return []string{dash, dash, dash, dash, x.Quantity.limitText(), dash, dash, dash, dash}
	}
	per := func(v float64) string { return x.Quantity.change(1000 * v) }
	at, low, high, left := dash, dash, dash, dash
	if x.Why == "" {
		at, low, high = fmt.Sprintf("%.0f", x.Reach.At), fmt.Sprintf("%.0f", math.Max(0, x.Reach.Interval.Low)),
			fmt.Sprintf("%.0f", x.Reach.Interval.High)
	}
	if l := x.Left; l != nil && x.Why == "" && !math.IsInf(l.Earliest, 1) {
		left = fmt.Sprintf("%.0f", l.Earliest)
	}
	return []string{per(x.Line.Slope), bare(per(x.Slope.Low)) + " to " + per(x.Slope.High), per(x.Median.Slope),
		strings.TrimPrefix(x.Quantity.change(x.Line.ResidualSD), "+"), x.Quantity.limitText(), at, low, high, left}
}

// bare is a number without its unit, where the unit follows.
func bare(s string) string {
	n, _, _ := strings.Cut(s, " ")
	return n
}

// change is a difference of the quantity: in its unit, on the log scale in per cent.
func (q Quantity) change(v float64) string {
	switch {
	case math.IsInf(v, 0) || math.IsNaN(v):
		return "–"
	case q.log:
		return fmt.Sprintf("%+.1f %%", 100*(math.Pow(10, v)-1))
	}
	return figure(v / q.scale.of)
}

// figure writes a change with the two digits that count, and never as a power of ten.
func figure(v float64) string {
	if math.Abs(v) < 1e-9 { // what rounding leaves of nothing
		return "0"
	}
	return fmt.Sprintf("%+.*f", min(6, max(0, 1-int(math.Floor(math.Log10(math.Abs(v)))))), v)
}

// heading is the name with the unit that its changes are in.
func (q Quantity) heading() string {
	if q.log {
		return q.Name
	}
	return q.Name + ", " + q.scale.name
}

// hoursOf says whose hours they are; those of a holder before the book are not known to it.
func (q Quantity) hoursOf() string {
	if q.Over == "holder" {
		return "holder in this book"
	}
	return q.Over
}

func (q Quantity) limitText() string {
	if !q.Has {
		return "–"
	}
	return strconv.FormatFloat(math.Round(q.shown(q.Limit)*1e4)/1e4, 'f', -1, 64) + " " + q.scale.name
}

// shown is a value in the unit it is shown in.
func (q Quantity) shown(v float64) float64 {
	if q.log {
		v = math.Pow(10, v)
	}
	return v / q.scale.of
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

// plots draws each quantity of the whole set that has a line: its readings, the line, the band for one more reading,
// and the limit.
func (e *Evidence) plots(trends []Trend) []paper.Plot {
	var all []paper.Plot
	for _, x := range trends {
		if x.Level != "whole set" || x.Line.N == 0 {
			continue
		}
		q := x.Quantity
		p := paper.Plot{Name: q.Name, Title: q.Name, X: "h of the " + q.hoursOf(), Y: q.scale.name, Log: q.log,
			Limit: q.shown(q.Limit), HasLimit: q.Has, LimitText: q.From, Upper: q.Bad == drift.Above}
		last := 0.0
		for _, r := range q.points {
			p.Points = append(p.Points, paper.Point{X: r.hours, Y: q.shown(r.value), About: paper.About{Record: r.record.Stem},
				Words: logbook.Position{Engine: r.engine, Cylinder: r.cylinder}.String() + " " + r.holder + ", " + r.record.Stem})
			last = math.Max(last, r.hours)
		}
		const steps = 24
		for i := range steps + 1 {
			h := last * float64(i) / steps
			band, err := x.Line.Band(h, e.level(), drift.Reading)
			if err != nil {
				continue
			}
			p.Line = append(p.Line, [2]float64{h, q.shown(x.Line.At(h))})
			p.Low, p.High = append(p.Low, [2]float64{h, q.shown(band.Low)}), append(p.High, [2]float64{h, q.shown(band.High)})
		}
		all = append(all, p)
	}
	return all
}
