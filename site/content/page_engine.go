package content

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// periodsOnSheet is how many service periods the sheet of an engine shows, the newest.
const periodsOnSheet = 170

// enginePage is an engine over its running hours on one sheet: what held for all of it, and the service periods of its
// cylinders. What several rows show at one place is the story of a fuel, a gauge or a setting; what one row shows is
// that of a cylinder; what wanders from row to row is that of a part.
func (w *Writer) enginePage(name string) *page.Page {
	p := &page.Page{Name: w.at.Engine[name], Title: name + " over its hours", Kind: "engine",
		Way: here(name + " over its hours"), Head: name + " over its running hours"}
	cylinders := w.cylindersOf(name)
	c, left := w.engineSheet(name, cylinders)
	if len(c.Rows) == 0 {
		p.Add(quiet("No service period of this engine is at known running hours."))
		return p
	}
	p.Add(lead(page.Words("A row a cylinder, a bar a service period with its holder. A fault of a part goes along from "+
		"row to row; a fault of a cylinder stays in its own; what begins in every row at once is in the rows above "+
		"them.")), w.renewedOn(name), &page.Charted{Wide: true, Chart: c,
		Caption: name + ", " + page.Hours(c.Span[0]) + " to " + page.Hours(c.Span[1])},
		from("A black notch: pulled for a symptom. A filled lozenge: something was found beyond its limit. A heavy bar: its "+
			"nozzle was renewed, and nothing else on record explains it. A grey band behind the rows: a gauge read wrong "+
			"then, or failures go with the "+
			"fuel that is framed above. A dotted line from top to foot: "+
			"the hour counter was replaced; hours go on right across it."))
	if left > 0 {
		p.Add(said("Earlier, and not shown: " + page.Counted(left, "one service period", "service periods") +
			", on the pages of the cylinders."))
	}
	p.Add(w.sheetTable(c))
	return p
}

// engineSheet is the chart of an engine, and how many earlier service periods it leaves out.
func (w *Writer) engineSheet(name string, cylinders []logbook.Position) (c page.EngineSheet, left int) {
	c.Engine = name
	lives := map[logbook.Position][]facts.Life{}
	var ends []float64
	for _, at := range cylinders {
		lives[at] = w.LivesIn(at)
		for _, l := range lives[at] {
			ends = append(ends, l.End)
		}
	}
	slices.Sort(ends)
	since := 0.0
	if left = max(0, len(ends)-periodsOnSheet); left > 0 {
		since = ends[left]
	}
	rejected := w.unexplained()
	for _, at := range cylinders {
		row := page.BarRow{Name: at.Cylinder}
		for n, l := range lives[at] {
			if l.End < since {
				continue
			}
			b := w.bar(l.ServicePeriod, n)
			b.From, b.To, b.Odd = l.Begin, l.End, false
			b.Heavy, b.Beyond = rejected[l.Closed], w.foundBeyond(l)
			b.Words = at.String() + ": " + b.Words + ", " + page.Hours(l.Begin) + " to " + page.Hours(l.End)
			row.Bars = append(row.Bars, b)
		}
		if len(row.Bars) > 0 && len(c.Rows) == 0 {
			c.Span = page.XY{row.Bars[0].From, row.Bars[0].To}
		}
		for _, b := range row.Bars {
			c.Span = page.XY{min(c.Span[0], b.From), max(c.Span[1], b.To)}
		}
		c.Rows = append(c.Rows, row)
	}
	if c.Span[1] <= c.Span[0] {
		return page.EngineSheet{}, 0
	}
	w.heldFor(&c)
	return c, left
}

// heldFor fills in what held for the whole of an engine: years, counters, fuel, limits, trials, and gauges.
func (w *Writer) heldFor(c *page.EngineSheet) {
	inSpan := func(d logbook.Day) (float64, bool) {
		x, ok := w.Book.TotalOn(c.Engine, d)
		return x, ok && x >= c.Span[0] && x <= c.Span[1] && d <= w.Today
	}
	for y := w.Today.Time().Year(); ; y-- {
		x, ok := inSpan(logbook.NewDay(y, 1, 1))
		if !ok {
			break
		}
		c.Years = append(c.Years, page.Change{X: x, Words: strconv.Itoa(y)})
	}
	slices.Reverse(c.Years)
	for _, r := range w.Book.Hours[w.Book.HostOf(c.Engine)] {
		if _, ok := r.Replaced(); !ok {
			continue
		}
		if x, ok := inSpan(r.Date.Day); ok {
			c.Counters = append(c.Counters, page.Change{X: x, Words: "counter replaced " + r.Date.Written})
		}
	}
	wrong := w.wrongGauges(c)
	c.Behind = wrong
	for _, held := range []struct {
		name string
		bars []page.Bar
	}{{"fuel", w.fuelBars(c)}, {"limits", w.limitBars(c)}, {"trials", w.trialBars(c)}, {"gauges", wrong}} {
		for i, lane := range lanes(held.bars) {
			row := page.BarRow{Bars: lane}
			if i == 0 {
				row.Name = held.name
			}
			c.Held = append(c.Held, row)
		}
	}
}

// heldBar is a bar of what held from a day to a day, 0 for today; ok is false where none of it is on the sheet.
func (w *Writer) heldBar(c *page.EngineSheet, name, words string, to page.Ref,
	begin, end logbook.Day) (page.Bar, bool) {
	if end == 0 || end > w.Today {
		end = w.Today
	}
	x, known := w.Book.TotalOn(c.Engine, begin)
	if !known {
		x = c.Span[0]
	}
	y, known := w.Book.TotalOn(c.Engine, end)
	b := page.Bar{From: max(x, c.Span[0]), To: min(y, c.Span[1]), Name: name, Page: to,
		Words: words + ", " + begin.String() + " to " + end.String()}
	return b, known && begin != 0 && begin <= w.Today && b.To > b.From && to != ""
}

// fuelBars are the bunkers in use; one with which failures go, by the recurring findings, is heavy.
func (w *Writer) fuelBars(c *page.EngineSheet) []page.Bar {
	blamed := w.blamedBunkers()
	var all []page.Bar
	for i := range w.Book.Bunkers {
		b := &w.Book.Bunkers[i]
		if bar, ok := w.heldBar(c, b.Stem.Written, bunkerWords(b), w.at.Bunker[b], b.From.Day, b.To.Day); ok {
			if bar.Heavy = blamed[recurring.BunkerName(b)]; bar.Heavy {
				c.Behind = append(c.Behind, bar)
			}
			all = append(all, bar)
		}
	}
	return all
}

func (w *Writer) limitBars(c *page.EngineSheet) []page.Bar {
	l := w.Book.LimitsOf(c.Engine)
	if l == nil {
		return nil
	}
	var all []page.Bar
	for i := range l.Revisions {
		r, end := &l.Revisions[i], w.Today
		if i+1 < len(l.Revisions) {
			end = l.Revisions[i+1].From.Day
		}
		if bar, ok := w.heldBar(c, "from "+r.From.Written, r.Source.Written, w.at.Line(r.Place), r.From.Day, end); ok {
			all = append(all, bar)
		}
	}
	return all
}

// trialBars are the decisions on the hours between overhauls that name the engine, or all.
func (w *Writer) trialBars(c *page.EngineSheet) []page.Bar {
	var all []page.Bar
	for _, d := range w.Book.Decisions {
		named := len(d.Engines.Each) == 0 || slices.ContainsFunc(d.Engines.Each, func(s logbook.Serial) bool {
			return s.Written == c.Engine
		})
		if !named || !d.Kind.Is("trial", "interval") {
			continue
		}
		end := cmp.Or(d.Until.Day, w.Today)
		if d.Closed.Date.Day != 0 {
			end = min(end, d.Closed.Date.Day)
		}
		words := strings.Join(strings.Fields(d.Kind.Written+" "+d.ID.Written+" "+d.Interval.String()), " ")
		if n := len(d.Cylinders.Each); n > 0 {
			words += " on " + page.Counted(n, "one cylinder", "cylinders")
		}
		name := d.ID.Written + " " + d.Interval.String()
		if bar, ok := w.heldBar(c, name, words, w.at.File[d.Path], d.Date.Day, end); ok {
			all = append(all, bar)
		}
	}
	return all
}

// wrongGauges are the times in which an instrument read wrong that the records of the engine were made with.
func (w *Writer) wrongGauges(c *page.EngineSheet) []page.Bar {
	var all []page.Bar
	for _, id := range slices.Sorted(maps.Keys(w.Book.Instruments)) {
		in := w.Book.Instruments[id]
		for n := range in.FoundWrong {
			f := &in.FoundWrong[n]
			used := slices.ContainsFunc(w.Used[id], func(u facts.Use) bool {
				on := facts.RemovedFrom(u.Record).Engine == c.Engine || facts.FittedTo(u.Record).Engine == c.Engine
				return on && f.From.Day <= u.Day && (f.To.Day == 0 || u.Day <= f.To.Day)
			})
			if !used {
				continue
			}
			to := w.at.Instrument[id].At("found-wrong")
			if bar, ok := w.heldBar(c, id+" wrong", id+" read wrong", to, f.From.Day, f.To.Day); ok {
				all = append(all, bar)
			}
		}
	}
	return all
}

// renewedOn is what nozzles cost on an engine: how many were taken out of use there for its hours, year by year.
func (w *Writer) renewedOn(name string) page.Block {
	total := nozzleUse{}
	var all page.Figures
	for _, u := range w.byYear() {
		begin, ok := w.Book.TotalOn(name, max(u.from, w.Book.Vessel.Opening.Date.Day))
		end, also := w.Book.TotalOn(name, u.to)
		if !ok || !also || end <= begin {
			continue
		}
		for _, o := range w.Book.Overhauls {
			if d := o.Day(); facts.Renewed(o) && facts.RemovedFrom(o).Engine == name && u.from <= d && d <= u.to {
				u.renewed++
			}
		}
		u.hours = end - begin
		total.renewed, total.hours = total.renewed+u.renewed, total.hours+u.hours
		all = append(all, figure(u.name, page.Fixed(u.rate(), 2), page.Grouped(u.renewed)+" in "+page.Hours(u.hours)))
	}
	if total.hours == 0 {
		return nil
	}
	return page.Together(para(page.Words("Nozzles renewed for every 1000 h of "+name+": ").
		In(page.Bold, page.Fixed(total.rate(), 2)).Say(" over the book, year by year ").
		Link(address.Charts.At("nozzles"), "and of all engines").Say(".")), all)
}
