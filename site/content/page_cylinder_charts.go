package content

import (
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

const mostYears = 40

// years are the valves of a position over calendar time, one row a year, with their table; nil where no day is known.
func (w *Writer) years(periods []*logbook.ServicePeriod) page.Block {
	begin := facts.FirstFitted(periods)
	if begin == 0 {
		return nil
	}
	c := page.Years{First: begin.Time().Year(), Last: w.Today.Time().Year()}
	if end := periods[len(periods)-1].To; end != 0 {
		c.Last = end.Time().Year()
	}
	c.First = max(c.First, c.Last-mostYears)
	for n, st := range periods {
		end := st.To
		if end == 0 {
			end = w.Today
		}
		b := w.bar(st, n)
		if b.Page == "" || st.From == 0 {
			continue
		}
		b.From, b.To = float64(st.From), float64(end)
		b.Words += ", " + st.From.String() + " to " + st.To.String()
		c.Bars = append(c.Bars, b)
	}
	return page.Under("Fitting history", from(barWords), &page.Box{Style: page.Beside,
		Blocks: []page.Block{c, page.Together(w.periods(periods))}})
}

// barWords explain the bars of service periods.
const barWords = "A bar is a valve with its holder, light and dark in turn to tell one from the next. " +
	"A black notch at its end: it was pulled for a symptom."

// stays are service periods, the newest first.
func (w *Writer) periods(periods []*logbook.ServicePeriod) *page.Table {
	t := page.NewTable(page.Listed, "from", "to", "holder", "nozzle", "ran", "pulled for")
	for _, st := range slices.Backward(periods) {
		to, reason := "in place", page.Text{}
		if st.To != 0 {
			to = st.To.String()
		}
		if st.Closed != nil {
			reason = page.Link(w.at.Overhaul[st.Closed], page.OrDash(st.Closed.Removed.Reason.Written))
		}
		t.Row(page.On(st.From.String()), page.On(to), page.Said(w.holder(st.Holder)), page.Said(w.nozzle(st.Nozzle)),
			page.Value(stayHours(st)), page.Said(reason))
	}
	return t
}

// overHours are charts of each quantity over the engine's hours, one below another on the same axis under the valves,
// with the other cylinders of the engine in grey and the band in which the next reading may fall.
func (w *Writer) overHours(p logbook.Position, periods []*logbook.ServicePeriod) page.Block {
	lives, now := w.LivesIn(p), w.PresentIn(p)
	lives = slices.DeleteFunc(lives, func(l facts.Life) bool { return !slices.Contains(periods, l.ServicePeriod) })
	if now.ServicePeriod != nil && !slices.Contains(periods, now.ServicePeriod) {
		now = facts.Present{}
	}
	span := w.SpanOf(lives, now)
	charts := &page.Box{Style: page.Charts}
	charts.Add(w.valvesOverHours(p, lives, span))
	for _, q := range facts.CylinderQuantities {
		c := w.followed(q, lives, "h in all, "+p.Engine)
		c.Title += " of cylinder " + p.String() + ", as left and as found"
		c.Others, c.OthersAre = w.EngineClouds[p.Engine][q.Found].Others(p.Cylinder, page.MostOthers), "the other cylinders"
		expected := w.Expected(q, now)
		for _, a := range expected {
			c.Ahead = append(c.Ahead, page.Ahead(a))
		}
		c.Span = span
		w.inUnitOf(c, p.Engine)
		charts.Add(plotted(c, aheadWords(c)))
	}
	charts.Add(w.exhaustChart(p, lives, span))
	return page.Under("Over the engine's hours", page.Legend{Others: "other cylinders of " + p.Engine + ", as found"},
		charts,
		page.Fold{Summary: page.Words("the numbers of the first three charts"), Blocks: []page.Block{w.lives(lives)}}).
		Named("hours")
}

// valvesOverHours are the valves on the axis that the charts below share; nil for none.
func (w *Writer) valvesOverHours(p logbook.Position, lives []facts.Life, span page.XY) page.Block {
	if len(lives) == 0 {
		return nil
	}
	c := page.OverHours{Cylinder: p.String(), Span: span}
	for n, l := range lives {
		b := w.bar(l.ServicePeriod, n)
		if b.Page == "" {
			continue
		}
		b.From, b.To = l.Begin, l.End
		b.Words += ", " + page.Hours(l.Begin) + " to " + page.Hours(l.End)
		c.Bars = append(c.Bars, b)
	}
	return &page.Charted{Over: true, Caption: "valves of cylinder " + p.String() + " over the engine's hours", Chart: c}
}

// aheadWords say what the band ends at; empty for none.
func aheadWords(c *page.Plot) string {
	if len(c.Ahead) == 0 {
		return ""
	}
	end := c.Ahead[len(c.Ahead)-1]
	decimals := map[string]int{"mm": 2, "s": 1, "MPa": 1}[c.Unit]
	return "At the end of its interval 19 of 20 readings would fall between " + page.Fixed(end.Low, decimals) + " and " +
		page.Fixed(end.High, decimals) + " " + c.Unit + ", by the drift of the whole set."
}

// lives are the numbers of the charts of a cylinder, a valve a row, the newest first.
func (w *Writer) lives(lives []facts.Life) *page.Table {
	t := page.NewTable(page.Listed, "valve", "fitted at", "opening as left", "leak-down as left", "removed at",
		"opening as found",
		"leak-down as found", "effective lift")
	for _, l := range slices.Backward(lives) {
		fitted, removed := page.Words(page.Hours(l.Begin)), page.Words("in place")
		if l.Opened != nil {
			fitted = page.Link(w.at.Overhaul[l.Opened], page.Hours(l.Begin))
		}
		if l.Closed != nil {
			removed = page.Link(w.at.Overhaul[l.Closed], page.Hours(l.End))
		}
		t.Row(page.Plainly(page.OrDash(l.Holder)), page.Quantity(fitted), withLimit(w.LeftAt(l, facts.OpeningPressure)),
			withLimit(w.LeftAt(l, facts.LeakDown)), page.Quantity(removed), withLimit(w.FoundAt(l, facts.OpeningPressure)),
			withLimit(w.FoundAt(l, facts.LeakDown)), withLimit(w.FoundAt(l, facts.EffectiveStroke)))
	}
	return t
}

// withLimit is a cell with a value and the limit of the time; the verdict is beside it where it is not within.
func withLimit(v *judging.Verdict) page.Cell {
	if v == nil {
		return page.Cell{}
	}
	t := page.Words(v.Shown())
	if v.LimitText != "" {
		t = t.Say(" ").In(page.More, v.LimitText)
	}
	if v.Result.Out() {
		t = t.Say(" ").Then(verdict(v))
	}
	return page.Said(t)
}

// exhaustChart is the exhaust deviation of a cylinder with the valve changes marked, and its numbers valve by valve.
func (w *Writer) exhaustChart(p logbook.Position, lives []facts.Life, span page.XY) page.Block {
	own := w.ExhaustOf(p)
	c := &page.Plot{Title: "exhaust deviation of cylinder " + p.String() + ", valve by valve", Unit: "K",
		XUnit:     "h in all, " + p.Engine,
		OthersAre: "the other cylinders", Span: span, Lines: w.exhaustLimits(p.Engine)}
	for _, r := range own {
		if r.Record != nil {
			c.Points = append(c.Points, page.Point{X: r.Hours, Y: r.Kelvin, Found: !r.After, To: w.at.Overhaul[r.Record],
				Words: r.Words})
		} else {
			c.Small = append(c.Small, page.XY{r.Hours, r.Kelvin})
		}
	}
	for _, q := range w.Positions {
		if q.Engine == p.Engine && q != p {
			for _, r := range w.ExhaustOf(q) {
				c.Others = append(c.Others, page.XY{r.Hours, r.Kelvin})
			}
		}
	}
	t := page.NewTable(page.Listed, "valve", "from", "readings", "lowest", "middle", "highest", "before it was pulled",
		"after it was fitted")
	for _, l := range lives {
		c.Changes = append(c.Changes, page.Change{X: l.Begin, Words: l.Holder})
	}
	for _, l := range slices.Backward(lives) {
		w.exhaustRow(t, l, own)
	}
	numbers := []page.Block{t}
	file := "running/" + strings.ToLower(p.Engine) + ".csv"
	if to := w.at.File[file]; to != "" {
		numbers = append(numbers, page.Para{Style: page.Source, Text: page.Words("Every reading: ").Link(to, file)})
	}
	return plotted(c, "", numbers...)
}

// exhaustRow is what one valve showed while it sat there.
func (w *Writer) exhaustRow(t *page.Table, l facts.Life, own []facts.Reading) {
	var values []float64
	before, after := page.Words("–"), page.Words("–")
	for _, r := range own {
		link := func() page.Text { return page.Link(w.at.Overhaul[r.Record], page.SignedKelvin(r.Kelvin)+" K") }
		switch {
		case r.Record == nil:
			if r.Day >= l.From && (l.To == 0 || r.Day < l.To) {
				values = append(values, r.Kelvin)
			}
		case r.Record == l.Closed && !r.After:
			before = link()
		case r.Record == l.Opened && r.After:
			after = link()
		}
	}
	cells := []page.Cell{page.Plainly(page.OrDash(l.Holder)), page.On(l.From.String()), page.Number(len(values))}
	for _, share := range []float64{0, 0.5, 1} {
		middle := "–"
		if len(values) > 0 {
			middle = page.SignedKelvin(facts.Quantile(values, share)) + " K"
		}
		cells = append(cells, page.Value(middle))
	}
	t.Row(append(cells, page.Quantity(before), page.Quantity(after))...)
}

// exhaustLimits are the thresholds of the exhaust deviation, revision by revision.
func (w *Writer) exhaustLimits(engine string) []page.StepLine {
	l := w.Book.LimitsOf(engine)
	if l == nil {
		return nil
	}
	look, act := page.StepLine{Words: "look"}, page.StepLine{Words: "act"}
	for _, e := range l.Revisions {
		in, ok := l.On(e.From.Day)
		if !ok {
			continue
		}
		x, known := w.Book.TotalOn(engine, e.From.Day)
		if !known {
			x = 0
		}
		add := func(line *page.StepLine, a logbook.Amount) {
			if a.Quantity.Valid() {
				line.Steps = append(line.Steps, page.XY{x, a.Float()})
			}
		}
		add(&look, in.Exhaust.Look)
		add(&act, in.Exhaust.Act)
	}
	return []page.StepLine{look, act}
}
