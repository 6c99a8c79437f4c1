package site

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// cylinderPlots draws each quantity over the engine's hours, one below another on the same axis under the strip of valves, with the other
// cylinders of the engine in grey and the band in which the next reading may fall.
func (s *sheet) cylinderPlots(p logbook.Position, stays []*logbook.Stay) {
	lives, now := s.livesIn(p), s.presentIn(p)
	lives = slices.DeleteFunc(lives, func(l life) bool { return !slices.Contains(stays, l.Stay) })
	if now.stay != nil && !slices.Contains(stays, now.stay) {
		now = present{}
	}
	span := s.spanOf(lives, now)
	s.m(`<section id="hours"><h2>Over the engine's hours</h2>`)
	s.legend("other cylinders of " + p.Engine + ", as found")
	s.m(`<div class="plots">`)
	s.hoursStrip(p, lives, span)
	for _, q := range cylinderQuantities {
		one := s.followed(q, lives, "h in all, "+p.Engine)
		one.title += " of cylinder " + p.String() + ", as left and as found"
		one.others, one.otherWords = s.engineClouds[p.Engine][q.found].others(p.Cylinder), "the other cylinders"
		one.ahead, one.span = s.expected(q, now), span
		one.after = aheadWords(q, one.ahead)
		s.plotWithTable(one, nil)
	}
	s.exhaustPlot(p, lives, span)
	s.m("</div><details><summary>the numbers of the first three drawings</summary>")
	s.livesTable(lives)
	s.m("</details></section>")
}

// spanOf are the engine hours that all drawings of a cylinder share: from its first valve to the end of the interval of the last.
func (s *site) spanOf(lives []life, now present) [2]float64 {
	if len(lives) == 0 {
		return [2]float64{}
	}
	end := lives[len(lives)-1].to
	for _, l := range lives {
		end = max(end, l.to)
	}
	if left, known := now.left(); known && left > 0 && now.stay != nil {
		if today, ok := s.Book.TotalOn(now.stay.Engine, s.today); ok {
			end = max(end, today+left)
		}
	}
	return [2]float64{lives[0].from, end}
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
		{`<path class="ahead" d="M2 3l12-2v10l-12-4z"/>`, "19 of 20 next readings"},
	} {
		s.m(`<span><svg class="mk" viewBox="0 0 16 12" aria-hidden="true">`, l.drawing, `</svg>`, l.words, `</span> `)
	}
	if others != "" {
		s.m(`<span><svg class="mk" viewBox="0 0 16 12" aria-hidden="true"><path class="others" d="M8 6h0"/></svg>`).t(others).m("</span>")
	}
	s.m("</p>")
}

// plotWithTable writes a plot with its numbers behind it, or without where they stand in a table of several drawings. A plot without values says so in words.
func (s *sheet) plotWithTable(p plot, table func()) {
	s.m("<figure><figcaption>").t(p.title).m("</figcaption>")
	if len(p.dots)+len(p.small) == 0 {
		s.quietLine("No value of this cylinder or part is in the book.")
		s.m("</figure>")
		return
	}
	s.plot(p)
	if p.after != "" {
		s.m(`<p class="src">`).t(p.after).m("</p>")
	}
	if table != nil {
		s.m("<details><summary>the numbers</summary>")
		table()
		s.m("</details>")
	}
	s.m("</figure>")
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

// livesTable lists the numbers of the drawings of a cylinder, a valve a row, the newest first.
func (s *sheet) livesTable(lives []life) {
	s.table("list", "valve", "fitted at", "opening as left", "leak-down as left", "removed at", "opening as found", "leak-down as found", "effective stroke")
	for _, l := range slices.Backward(lives) {
		s.m("<tr><td>").t(orDash(l.Holder)).m(`</td><td class="n">`)
		if l.Opened != nil {
			s.a(s.pages.overhaul[l.Opened], hours(l.from))
		} else {
			s.t(hours(l.from))
		}
		s.m("</td>")
		for _, q := range []quantity{openingPressure, leakDown} {
			s.withLimit(s.leftAt(l, q))
		}
		s.m(`<td class="n">`)
		if l.Closed != nil {
			s.a(s.pages.overhaul[l.Closed], hours(l.to))
		} else {
			s.m("sits there")
		}
		s.m("</td>")
		for _, q := range cylinderQuantities {
			s.withLimit(s.foundAt(l, q))
		}
		s.m("</tr>")
	}
	s.m("</tbody></table></div>")
}

// withLimit is a cell with a value and the limit of the time; the verdict stands beside it where it is not within.
func (s *sheet) withLimit(v *judging.Verdict) {
	s.m("<td>")
	if v != nil {
		s.t(v.Value.String())
		if v.LimitText != "" {
			s.m(` <span class="more">`).t(v.LimitText).m("</span>")
		}
		if v.Result.Out() {
			s.m(" ").result(v)
		}
	}
	s.m("</td>")
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

// exhaustPlot draws the exhaust deviation of a cylinder with the valve changes marked, and lists it valve by valve.
func (s *sheet) exhaustPlot(p logbook.Position, lives []life, span [2]float64) {
	own := s.exhaustOf(p)
	one := plot{title: "exhaust deviation of cylinder " + p.String() + ", valve by valve", unit: "K", xUnit: "h in all, " + p.Engine, otherWords: "the other cylinders", span: span}
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
		s.table("list", "valve", "from", "readings", "lowest", "middle", "highest", "before it was pulled", "after it was fitted")
		for _, l := range slices.Backward(lives) {
			s.exhaustRow(l, own)
		}
		s.m("</tbody></table></div>")
		if to := s.pages.file["running/"+strings.ToLower(p.Engine)+".csv"]; to != "" {
			s.m(`<p class="src">Every reading: `).a(to, "running/"+strings.ToLower(p.Engine)+".csv").m("</p>")
		}
	})
}

// exhaustRow is what one valve showed while it sat there.
func (s *sheet) exhaustRow(l life, own []reading) {
	var values []float64
	before, after := reading{}, reading{}
	for _, r := range own {
		switch {
		case r.record && r.to != "" && l.Closed != nil && r.to == s.pages.overhaul[l.Closed] && !r.after:
			before = r
		case r.record && r.to != "" && l.Opened != nil && r.to == s.pages.overhaul[l.Opened] && r.after:
			after = r
		case !r.record && r.day >= l.From && (l.To == 0 || r.day < l.To):
			values = append(values, r.k)
		}
	}
	s.m("<tr><td>").t(orDash(l.Holder)).m("</td><td>").t(l.From.String()).m(`</td><td class="n">`).i(len(values)).m("</td>")
	for _, share := range []float64{0, 0.5, 1} {
		s.m(`<td class="n">`)
		if len(values) > 0 {
			s.t(signedK(quantile(values, share)) + " K")
		} else {
			s.m("–")
		}
		s.m("</td>")
	}
	for _, r := range []reading{before, after} {
		s.m(`<td class="n">`)
		if r.to != "" {
			s.a(r.to, signedK(r.k)+" K")
		} else {
			s.m("–")
		}
		s.m("</td>")
	}
	s.m("</tr>")
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
			add(firstDay(o.AsFound.Signs.Date, o.Removed.Date), e.Float(), e.String()+" before "+cmp.Or(stay.Holder, "a holder without a serial")+" was pulled", s.pages.overhaul[o], true, false)
		}
		if o := stay.Opened; o != nil && o.After.Exhaust.Quantity.Valid() {
			e := o.After.Exhaust
			add(firstDay(o.After.Date, o.Fitted.Date), e.Float(), e.String()+" after "+cmp.Or(stay.Holder, "a holder without a serial")+" was fitted", s.pages.overhaul[o], true, true)
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
