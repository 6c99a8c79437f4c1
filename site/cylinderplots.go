package site

import (
	"slices"

	"needlebook/logbook"
)

// cylinderPlots draws each quantity over the engine's hours, with the other cylinders of the engine in grey.
func (s *sheet) cylinderPlots(p logbook.Position) {
	lives := s.livesIn(p)
	s.m(`<section><h2>Over the engine's hours</h2>`)
	s.legend("other cylinders of " + p.Engine + ", as found")
	s.m(`<div class="plots">`)
	for _, q := range cylinderQuantities {
		one := s.followed(q, lives, "h in all, "+p.Engine)
		one.others, one.otherWords = s.engineClouds[p.Engine][q.found].others(p.Cylinder), "the other cylinders"
		s.plotWithTable(one, func() { s.lifeTable(q, lives) })
	}
	s.exhaustPlot(p, lives)
	s.m("</div></section>")
}

// legend explains the marks once, in words and shapes.
func (s *sheet) legend(others string) {
	s.m(`<p class="legend">`)
	for _, l := range []struct{ drawing, words markup }{
		{`<circle class="fnd" cx="8" cy="6" r="4"/>`, "as found"},
		{`<circle class="left" cx="8" cy="6" r="4"/>`, "as left, used setting"},
		{`<path class="left" d="M4 2h8v8H4z"/>`, "new setting"},
		{`<path class="left" d="M8 1l5 9H3z"/>`, "reground"},
		{`<path class="frame" d="M8 .5L14 6l-6 5.5L2 6z"/>`, "beyond its limit"},
		{`<path class="bound" d="M2 3.5V7h12V3.5"/>`, "limit that held"},
		{`<path class="life" d="M1 3l14 6"/>`, "one service life"},
	} {
		s.m(`<span><svg class="mk" viewBox="0 0 16 12" aria-hidden="true">`, l.drawing, `</svg>`, l.words, `</span> `)
	}
	if others != "" {
		s.m(`<span><svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="others" d="M8 6h0"/></svg>`).t(others).m("</span>")
	}
	s.m("</p>")
}

// plotWithTable writes a plot with its numbers behind it. A plot without values says so in words.
func (s *sheet) plotWithTable(p plot, table func()) {
	s.m("<figure><figcaption>").t(p.title).m("</figcaption>")
	if len(p.dots)+len(p.small) == 0 {
		s.quietLine("No value of this cylinder or part is in the book.")
		s.m("</figure>")
		return
	}
	s.plot(p)
	s.m("<details><summary>the numbers</summary>")
	table()
	s.m("</details></figure>")
}

// lifeTable lists the numbers of a plot of lives.
func (s *sheet) lifeTable(q quantity, lives []life) {
	if q.left != "" {
		s.table("list", "valve", "at", "as left", "at", "as found", "limit")
	} else {
		s.table("list", "valve", "at", "as found", "limit")
	}
	for _, l := range slices.Backward(lives) {
		left, found := s.leftAt(l, q), s.foundAt(l, q)
		if left == nil && found == nil {
			continue
		}
		s.m("<tr><td>").t(orDash(l.Holder)).m("</td>")
		if q.left != "" {
			s.m(`<td class="n">`).t(hours(l.from)).m(`</td><td class="n">`)
			if left != nil {
				s.a(s.pages.overhaul[l.Opened], left.Value.String())
			}
			s.m("</td>")
		}
		s.m(`<td class="n">`)
		if found != nil {
			s.t(hours(l.to)).m(`</td><td class="n">`).a(s.pages.overhaul[l.Closed], found.Value.String()).m("</td><td>").t(found.LimitText)
			if found.LimitText != "" {
				s.m(": ").t(found.Result.String())
			}
		} else {
			s.m("</td><td></td><td>")
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div>")
}

// reading is one exhaust deviation.
type reading struct {
	x, k   float64
	day    logbook.Day
	words  string
	to     ref
	record bool // of a record, before or after a change of valves; otherwise of the running file
	after  bool
}

// exhaustPlot draws the exhaust deviation of a cylinder with the valve changes marked.
func (s *sheet) exhaustPlot(p logbook.Position, lives []life) {
	own := s.exhaustOf(p)
	one := plot{title: "exhaust deviation", unit: "K", xUnit: "h in all, " + p.Engine, otherWords: "the other cylinders"}
	for _, r := range own {
		if r.record {
			one.dots = append(one.dots, dot{x: r.x, y: r.k, found: !r.after, to: r.to, words: r.words})
		} else {
			one.small = append(one.small, [2]float64{r.x, r.k})
		}
	}
	for _, q := range s.pages.positions {
		if q.Engine == p.Engine && q != p {
			for _, r := range s.exhaustOf(q) {
				one.others = append(one.others, [2]float64{r.x, r.k})
			}
		}
	}
	for _, l := range lives {
		one.changes = append(one.changes, change{l.from, l.Holder})
	}
	one.lines = s.exhaustLimits(p.Engine)
	s.plotWithTable(one, func() {
		s.table("list", "date", "at", "deviation")
		for _, r := range slices.Backward(own) {
			s.m("<tr><td>").a(r.to, r.day.String()).m(`</td><td class="n">`).t(hours(r.x)).m(`</td><td class="n">`).t(r.words).m("</td></tr>")
		}
		s.m("</tbody></table></div>")
	})
}

// exhaustOf are the readings of a cylinder: of the running file, and of the records before and after a change. By day.
func (s *site) exhaustOf(p logbook.Position) []reading {
	var all []reading
	add := func(day logbook.Day, k float64, words string, to ref, record, after bool) {
		if x, ok := s.Book.TotalOn(p.Engine, day); ok {
			all = append(all, reading{x, k, day, words, to, record, after})
		}
	}
	for _, r := range s.runs[p] {
		if r.Dev.Valid {
			add(r.Date.Day, r.Dev.Value, r.Dev.Written+" K", s.pages.line(r.Row.Place), false, false)
		}
	}
	for _, stay := range s.lives.InPosition(p) {
		if o := stay.Closed; o != nil && o.AsFound.Signs.Exhaust.Quantity.Valid() {
			e := o.AsFound.Signs.Exhaust
			add(firstDay(o.AsFound.Signs.Date, o.Removed.Date), e.Float(), e.String()+" before "+stay.Holder+" was pulled", s.pages.overhaul[o], true, false)
		}
		if o := stay.Opened; o != nil && o.After.Exhaust.Quantity.Valid() {
			e := o.After.Exhaust
			add(firstDay(o.After.Date, o.Fitted.Date), e.Float(), e.String()+" after "+stay.Holder+" was fitted", s.pages.overhaul[o], true, true)
		}
	}
	slices.SortStableFunc(all, func(a, b reading) int { return int(a.day) - int(b.day) })
	return all
}

func firstDay(days ...logbook.Date) logbook.Day {
	for _, d := range days {
		if d.Day != 0 {
			return d.Day
		}
	}
	return 0
}

// exhaustLimits are the thresholds of the exhaust deviation, edition by edition.
func (s *site) exhaustLimits(engine string) []stepLine {
	l := s.Book.LimitsOf(engine)
	if l == nil {
		return nil
	}
	look, act := stepLine{words: "look"}, stepLine{words: "act"}
	for _, e := range l.Editions {
		in, ok := l.On(e.From.Day)
		if !ok {
			continue
		}
		x, known := s.Book.TotalOn(engine, e.From.Day)
		if !known {
			x = 0
		}
		add := func(line *stepLine, a logbook.Amount) {
			if a.Quantity.Valid() {
				line.steps = append(line.steps, [2]float64{x, a.Float()})
			}
		}
		add(&look, in.Exhaust.Look)
		add(&act, in.Exhaust.Act)
	}
	return []stepLine{look, act}
}
