package evidence

import (
	"fmt"
	"math"

	"needlebook/checks/paper"
	"needlebook/checks/recurring"
	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// counts is the table of overhauls by reason and age, with and without the special causes.
func (r Review) counts() paper.Table {
	t := paper.Table{Name: "overhauls", Title: "overhauls in the window", Columns: []string{"opened", "age", "n", "bad",
		"not known", "bad, upper bound", "between h"}, Empty: "none"}
	row := func(what, age string, in func(Opening) bool) {
		var c tally
		low, high := math.Inf(1), 0.0
		for _, o := range r.inWindow {
			if in(o) {
				c.take(o)
				low, high = math.Min(low, o.Hours), math.Max(high, o.Hours)
			}
		}
		bound, ages := "–", "–"
		if b, err := survival.UpperBound(c.bad, c.n, r.e.level()); err == nil {
			bound = percent(b)
		}
		if high > 0 {
			ages = fmt.Sprintf("%.0f to %.0f", low, high)
		}
		t.Add(paper.Text(what), paper.Text(age), num(c.n), num(c.bad), num(c.unknown), paper.Text(bound), paper.Text(ages))
	}
	full := fmt.Sprintf("from %.0f h", r.fullAge())
	if r.Present == 0 {
		full = "any: no interval stated"
	}
	row("for hours", "all", func(o Opening) bool { return o.Why == ForHours })
	row("for hours, without special causes", "all", func(o Opening) bool { return o.Why == ForHours && o.Special == "" })
	row("for hours", full, func(o Opening) bool { return r.atFullAge(o) })
	row("for hours, without special causes", full, func(o Opening) bool { return r.atFullAge(o) && o.Special == "" })
	row("for symptom", "all", func(o Opening) bool { return o.Why == ForSymptom })
	row("for symptom, without special causes", "all", func(o Opening) bool {
		return o.Why == ForSymptom &&
			o.Special == ""
	})
	row("other work", "all", func(o Opening) bool { return o.Why == ForOther })
	return t
}

// proves is what N overhauls prove, and at the assumed shapes the interval they carry.
func (r Review) proves() paper.Table {
	lv := r.e.level()
	t := paper.Table{Name: "proof", Title: "what N overhauls at full age prove: most that may be bad (" +
		r.e.settings.EvidenceLevel.Written + "), and the interval carried over the present one with none bad",
		Columns: []string{"N opened", "0 bad", "1 bad", "2 bad", "shape 1.5", "shape 2", "shape 3", "shape 4"}}
	for _, n := range []int{6, 12, 24, 36, 60, 90} {
		row := []paper.Cell{num(n)}
		for bad := range 3 {
			b, _ := survival.UpperBound(bad, n, lv)
			row = append(row, paper.Text(percent(b)))
		}
		for _, shape := range []float64{1.5, 2, 3, 4} {
			ratio, err := survival.PermittedRatio(0, n, r.Target, lv, shape)
			text := "–"
			if err == nil {
				text = fmt.Sprintf("%.2f", ratio)
			}
			row = append(row, paper.Text(text))
		}
		t.Add(row...)
	}
	return t
}

// excluded names each opening left out, and the bad ones kept, so that nobody has to trust a number.
func (r Review) excluded() paper.Table {
	t := paper.Table{Name: "excluded", Title: "bad, left out or not known: each by name",
		Columns: []string{"record", "where", "hours", "opened", "state", "what", "left out because"}, Empty: "none"}
	for _, o := range r.inWindow {
		if o.State == Fine && o.Special == "" && o.Why == ForHours {
			continue
		}
		why := o.Special
		if why == "" && o.Why != ForHours {
			why = "opened " + string(o.Why)
		}
		if why == "" && o.State == Bad {
			why = "counted"
		}
		if why == "" {
			why = o.Unproven
		}
		t.Add(paper.Record(o.Overhaul.Stem), paper.At(o.ServicePeriod.Position), paper.Text(fmt.Sprintf("%.0f", o.Hours)),
			paper.Text(string(o.Why)), paper.Text(string(o.State)), paper.Text(o.What), paper.Text(why))
	}
	for _, o := range r.ageless {
		hours, why := "not known", "no reading tells how long it had run"
		if o.ServicePeriod.HoursKnown {
			hours, why = "0", "it had not run"
		}
		t.Add(paper.Record(o.Overhaul.Stem), paper.At(o.ServicePeriod.Position), paper.Text(hours), paper.Text(string(o.Why)),
			paper.Text(string(o.State)), paper.Text(o.What), paper.Text(why))
	}
	return t
}

// bands is the share fine by age, never a bare percentage.
func (r Review) bands() paper.Table {
	t := paper.Table{Name: "ages", Title: "fine as found by age, all of the book opened for hours without special causes",
		Columns: []string{"age h", "n", "fine", "share fine", "between", "curve, by the end of that age"}}
	if t.Empty = "the book states no interval to take ages by"; r.Present == 0 {
		return t
	}
	edges := []float64{0, 0.5, 0.75, 1, 1.1, 1.25, math.Inf(1)}
	var lives []survival.Life
	for _, o := range r.all {
		if o.Why == ForHours && o.Special == "" && o.State != Unknown {
			l := o.life()
			if l.After > 0 { // to tens of hours: so fine an age decides nothing, and the curve has fewer steps
				l.After = 10 * math.Ceil(l.After/10)
			}
			if !math.IsInf(l.By, 1) {
				l.By = 10 * math.Ceil(l.By/10)
			}
			lives = append(lives, l)
		}
	}
	curve, cerr := survival.Turnbull(lives)
	for i := range len(edges) - 1 {
		a, b := edges[i]*r.Present, edges[i+1]*r.Present
		n, fine := 0, 0
		for _, o := range r.all {
			if o.Why == ForHours && o.Special == "" && o.State != Unknown && o.Hours >= a && o.Hours < b {
				n++
				if o.State == Fine {
					fine++
				}
			}
		}
		name := fmt.Sprintf("%.0f to %.0f", a, b)
		if math.IsInf(b, 1) {
			name = fmt.Sprintf("from %.0f", a)
		}
		share, between, at := "–", "–", "–"
		if x, err := survival.BadShare(n-fine, n, r.e.level()); err == nil {
			share, between = percent(float64(fine)/float64(n)), percent(1-x.High)+" to "+percent(1-x.Low)
		}
		if cerr == nil && !math.IsInf(b, 1) && b > 0 {
			s := curve.Survives(b)
			at = percent(s.Low) + " to " + percent(s.High)
		}
		t.Add(paper.Text(name), num(n), num(fine), paper.Text(share), paper.Text(between), paper.Text(at))
	}
	return t
}

// byEngine compares the engines at equal ages.
func (r Review) byEngine() paper.Table {
	t := paper.Table{Name: "engines", Title: "the engines " + r.ages() +
		", opened for hours, without special causes, all of the book", Columns: []string{"engine", "n", "bad", "bad, between",
		"loss of opening pressure, middle, used setting"}}
	unit := scaleOf(r.t.in.Opening.Used.Span.Low, measure.Pressure)
	for _, x := range r.t.engines {
		var c tally
		for _, o := range r.all {
			if o.ServicePeriod.Engine == x && o.Special == "" && r.atFullAge(o) {
				c.take(o)
			}
		}
		between, loss := "–", "–"
		if b, err := survival.BadShare(c.bad, c.n, r.e.level()); err == nil {
			between = percent(b.Low) + " to " + percent(b.High)
		}
		var bars []float64
		for _, s := range r.e.Recurring.Shifts {
			if s.Overhaul.Removed.Engine.Written == x && s.Left.Class == logbook.Used && s.LeftWrong == nil &&
				s.FoundWrong == nil && !s.Settled && s.Hours >= r.fullAge() && s.Overhaul.Removed.Date.Day <= r.e.today {
				bars = append(bars, -s.Bar)
			}
		}
		if len(bars) > 0 {
			loss = unit.text("%.0f ", recurring.Habit(bars, 0).Median) + fmt.Sprintf("%s of %d", unit.name, len(bars))
		}
		t.Add(paper.Text(x), num(c.n), num(c.bad), paper.Text(between), paper.Text(loss))
	}
	return t
}
