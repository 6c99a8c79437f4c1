package evidence

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"needlebook/checks/drift"
	"needlebook/checks/paper"
	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// shares is how the service lives in the window were run: load, and which fuel, by the days with a reading. Lives of
// one engine that began and ended together, with as many hours, were run alike, and stand in one row.
func (r Review) shares() paper.Table {
	low := r.e.settings.LowLoad
	t := paper.Table{Name: "running", Title: "how these service lives were run, by the readings of load and fuel",
		Columns: []string{"engine", "from", "to", "cylinders", "hours", "bad", "readings", "mean load %",
			"below " + low.Written, "fuel"}, Empty: "no opening in the window"}
	type together struct {
		engine   string
		from, to logbook.Day
		hours    string
	}
	if len(r.inWindow) > 0 && !r.readings() {
		t.Empty = "not known: the book holds no reading of load on these engines in this time"
		return t
	}
	var order []together
	of := map[together][]Opening{}
	for _, o := range r.inWindow {
		k := together{o.ServicePeriod.Engine, o.ServicePeriod.From, o.ServicePeriod.To, fmt.Sprintf("%.0f", o.Hours)}
		if of[k] == nil {
			order = append(order, k)
		}
		of[k] = append(of[k], o)
	}
	for _, k := range order {
		var c tally
		var cylinders []string
		for _, o := range of[k] {
			c.take(o)
			cylinders = append(cylinders, o.ServicePeriod.Cylinder)
		}
		run := r.e.runs(of[k][0].ServicePeriod.Position, k.from, k.to)
		mean, under, with := "not known", "not known", "not known"
		if run.n > 0 {
			mean, under, with = fmt.Sprintf("%.0f", run.load/float64(run.n)), percent(float64(run.low)/float64(run.n)),
				run.fuels()
		}
		bad := fmt.Sprintf("%d of %d", c.bad, c.n)
		if c.unknown > 0 {
			bad += fmt.Sprintf(", %d not known", c.unknown)
		}
		t.Add(paper.Text(k.engine), paper.Text(k.from.String()), paper.Text(k.to.String()),
			paper.Text(strings.Join(cylinders, " ")), paper.Text(k.hours), paper.Text(bad), num(run.n), paper.Text(mean),
			paper.Text(under), paper.Text(with))
	}
	return t
}

// readings says that there is any reading of load in the service lives of the window.
func (r Review) readings() bool {
	return slices.ContainsFunc(r.inWindow, func(o Opening) bool {
		return r.e.runs(o.ServicePeriod.Position, o.ServicePeriod.From, o.ServicePeriod.To).n > 0
	})
}

// ran is what the readings of a time say of load and fuel.
type ran struct {
	n, low int
	load   float64
	fuel   map[string]int
}

// runs reads load and fuel in one position after one day and by another.
func (e *Evidence) runs(p logbook.Position, after, by logbook.Day) ran {
	r := ran{fuel: map[string]int{}}
	for _, x := range e.signs[p] {
		if x.Date.Day <= after || x.Date.Day > by || !x.Load.Valid {
			continue
		}
		r.n++
		r.load += x.Load.Value
		if x.Load.Value < e.settings.LowLoad.Float() {
			r.low++
		}
		r.fuel[x.Fuel.Written]++
	}
	return r
}

func (r ran) fuels() string { return fuelText(r.fuel, r.n) }

// outlookDays is how far back the readings of load and fuel are taken for what is burned now: common practice, no
// source.
const outlookDays = 90

// outlook says what is burned now and what is to come, beside what these overhauls ran on: an interval proved on one
// fuel is not proved on another.
func (r Review) outlook() string {
	var all []string
	tanks := map[string]bool{}
	most := 0.0 // aluminium and silicon of any bunker burned in these lives
	for i := range r.e.Book.Bunkers {
		b := &r.e.Book.Bunkers[i]
		if b.From.Day == 0 || b.From.Day > r.e.today {
			if b.Received.Day != 0 && b.Received.Day <= r.e.today {
				all = append(all, "to come: "+bunkerText(b))
			}
			continue
		}
		if b.To.Day == 0 || b.To.Day >= r.e.today {
			all = append(all, "in use: "+bunkerText(b))
			tanks[recurring.BunkerName(b)] = true
		} else if b.AlSi.Valid && b.To.Day >= r.from {
			most = max(most, b.AlSi.Value)
		}
	}
	for i := range r.e.Book.Bunkers {
		if b := &r.e.Book.Bunkers[i]; tanks[recurring.BunkerName(b)] && b.AlSi.Valid && most > 0 && b.AlSi.Value > most {
			all = append(all, fmt.Sprintf("%s holds more aluminium and silicon than any fuel these overhauls ran on (%g mg/kg)",
				b.Stem, most))
		}
	}
	now, then := ran{fuel: map[string]int{}}, ran{fuel: map[string]int{}}
	seen := map[string]bool{}
	for _, p := range r.positions() {
		if !seen[p.Engine] {
			seen[p.Engine] = true
			now.add(r.e.runs(p, r.e.today-outlookDays, r.e.today))
			then.add(r.e.runs(p, r.from, r.e.today))
		}
	}
	if now.n > 0 {
		all = append(all, fmt.Sprintf("last %d days by the readings: %s; whole window: %s", outlookDays, now.fuels(),
			then.fuels()))
	}
	if len(all) == 0 {
		return "unknown: the book holds no bunkers and no readings of fuel"
	}
	return strings.Join(all, "; ")
}

func (r *ran) add(x ran) {
	r.n, r.low, r.load = r.n+x.n, r.low+x.low, r.load+x.load
	for f, n := range x.fuel {
		r.fuel[f] += n
	}
}

func bunkerText(b *logbook.Bunker) string {
	s := recurring.BunkerName(b)
	var what []string
	if b.Grade.Stated() {
		what = append(what, b.Grade.Written)
	}
	if b.AlSi.Valid {
		what = append(what, "Al+Si "+b.AlSi.Written+" mg/kg")
	}
	if b.Note.Stated() {
		what = append(what, b.Note.Written)
	}
	if len(what) > 0 {
		s += " (" + strings.Join(what, ", ") + ")"
	}
	return s
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

// fuelCost compares the fuel rack of a cylinder before a bad valve came out and after another went in, at like load and
// fuel. The rack index is what the governor asks of the pump: more of it for the same load is more fuel, though not by
// the same share.
func (r Review) fuelCost() paper.Table {
	t := paper.Table{Name: "fuel", Title: "what a tired valve cost in fuel: rack index at like load, before and after",
		Columns: []string{"from", "n", "rack, after over before", "between", "fuel"}}
	for _, g := range []struct {
		name  string
		state State
	}{{"failed as found", Bad}, {"fine as found", Fine}} {
		var diff []float64
		for _, o := range r.all {
			if o.State != g.state {
				continue
			}
			if d, ok := r.e.rackChange(o); ok {
				diff = append(diff, d)
			}
		}
		change, between, says := "–", "–",
			"unknown: the book holds no consumption by cylinder, and no rack index before and after at like load"
		switch n := len(diff); {
		case n == 1, n == 2:
			says = "unknown: too few, at least 3 are needed"
		case n >= 3:
			mean, in, err := drift.MeanOf(diff, r.e.level())
			if err != nil {
				says = err.Error()
				break
			}
			change, between = fmt.Sprintf("%+.1f %%", 100*mean), fmt.Sprintf("%+.1f to %+.1f %%", 100*in.Low, 100*in.High)
			if in.Low <= 0 && in.High >= 0 {
				says = "unknown: no change clear of the scatter"
			} else {
				says = "rack changed with the valve; the fuel itself is not measured"
			}
		}
		t.Add(paper.Text(g.name), num(len(diff)), paper.Text(change), paper.Text(between), paper.Text(says))
	}
	return t
}

// rackChange is the change of the mean rack index over a change of valve, at loads within the book's setting and the
// same fuel.
func (e *Evidence) rackChange(o Opening) (float64, bool) {
	var before, after []logbook.Run
	for _, x := range e.signs[o.ServicePeriod.Position] {
		if !x.FuelRack.Valid || !x.Load.Valid || x.FuelRack.Value <= 0 {
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
				sum += a.FuelRack.Value*b.Load.Value/(b.FuelRack.Value*a.Load.Value) - 1
				n++
			}
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}
