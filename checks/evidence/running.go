package evidence

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// shares is how each service life in the window was run: load, and which fuel, by the days with a reading.
func (r Review) shares() paper.Table {
	t := paper.Table{Name: "running", Title: "how these service lives were run, by the readings of load and fuel", Columns: []string{"record", "where", "hours", "state", "readings", "mean load %", "below half load", "fuel"}, Empty: "no opening in the window"}
	for _, o := range r.inWindow {
		n, low := 0, 0
		load := 0.0
		fuel := map[string]int{}
		for _, x := range r.e.signs[o.Stay.Position] {
			if x.Date.Day <= o.Stay.From || x.Date.Day > o.Stay.To || !x.Load.Valid {
				continue
			}
			n++
			load += x.Load.Value
			if x.Load.Value < 50 { // half load: a plain half of the scale, no limit
				low++
			}
			fuel[x.Fuel.Written]++
		}
		mean, under, with := "not known", "not known", "not known"
		if n > 0 {
			mean, under, with = fmt.Sprintf("%.0f", load/float64(n)), percent(float64(low)/float64(n)), fuelText(fuel, n)
		}
		t.Add(paper.Record(o.Overhaul.Stem), paper.At(o.Stay.Position), paper.Text(fmt.Sprintf("%.0f", o.Hours)), paper.Text(string(o.State)), num(n), paper.Text(mean), paper.Text(under), paper.Text(with))
	}
	return t
}

func fuelText(fuel map[string]int, n int) string {
	names := make([]string, 0, len(fuel))
	for f := range fuel {
		names = append(names, f)
	}
	sort.Strings(names)
	var all []string
	for _, f := range names {
		name := f
		if name == "" {
			name = "not stated"
		}
		all = append(all, name+" "+percent(float64(fuel[f])/float64(n)))
	}
	return strings.Join(all, ", ")
}

// beside is how long before and after a change of valve readings are compared: common practice, no source.
const beside = 45

// fuelCost compares the fuel rack of a cylinder before a bad valve came out and after another went in, at like load and fuel. The rack
// index is what the governor asks of the pump: more of it for the same load is more fuel, though not by the same share.
func (r Review) fuelCost() paper.Table {
	t := paper.Table{Name: "fuel", Title: "what a tired valve cost in fuel: rack index at like load, before and after", Columns: []string{"from", "n", "rack, after over before", "between", "fuel"}}
	for _, g := range []struct {
		name  string
		state State
	}{{"bad as found", Bad}, {"fine as found", Fine}} {
		var diff []float64
		for _, o := range r.e.Openings {
			if o.State != g.state {
				continue
			}
			if d, ok := r.e.rackChange(o); ok {
				diff = append(diff, d)
			}
		}
		change, between, says := "–", "–", "unknown: the book holds no consumption by cylinder"
		if n := len(diff); n >= 3 {
			mean, sd := 0.0, 0.0
			for _, d := range diff {
				mean += d / float64(n)
			}
			for _, d := range diff {
				sd += (d - mean) * (d - mean) / float64(n-1)
			}
			half := 2 * math.Sqrt(sd/float64(n))
			change, between = fmt.Sprintf("%+.1f %%", 100*mean), fmt.Sprintf("%+.1f .. %+.1f %%", 100*(mean-half), 100*(mean+half))
			if math.Abs(mean) <= half {
				says = "unknown: no change clear of the scatter"
			} else {
				says = "rack changed with the valve; the fuel itself is not measured"
			}
		}
		t.Add(paper.Text(g.name), num(len(diff)), paper.Text(change), paper.Text(between), paper.Text(says))
	}
	return t
}

// rackChange is the change of the mean rack index over a change of valve, at loads within the book's setting and the same fuel.
func (e *Evidence) rackChange(o Opening) (float64, bool) {
	var before, after []logbook.Run
	for _, x := range e.signs[o.Stay.Position] {
		if !x.Rack.Valid || !x.Load.Valid || x.Rack.Value <= 0 {
			continue
		}
		switch d := x.Date.Day.Days(o.Day); {
		case d <= 0 && -d <= beside:
			before = append(before, x)
		case d > 0 && d <= beside:
			after = append(after, x)
		}
	}
	sum, n := 0.0, 0
	for _, a := range after {
		for _, b := range before {
			if math.Abs(a.Load.Value-b.Load.Value) <= e.settings.LoadWithin.Float()/2 && a.Fuel.Written == b.Fuel.Written {
				sum += a.Rack.Value*b.Load.Value/(b.Rack.Value*a.Load.Value) - 1
				n++
			}
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}
