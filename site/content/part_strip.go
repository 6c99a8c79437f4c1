package content

import (
	"cmp"
	"maps"
	"slices"

	"needlebook/checks/judging"
	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// livesOnStrip is how many service periods of a part are on its strip, the newest.
const livesOnStrip = 24

// partLife is what a strip is made from: a part with its service periods over its own hours and its overhauls, oldest
// first.
type partLife struct {
	kind, serial string
	lives        []facts.Life
	benches      []*logbook.Overhaul
}

// lifeOfHolder is that of a holder over its hours in the book.
func (w *Writer) lifeOfHolder(serial string) partLife {
	return partLife{"holder", serial, facts.LivesOf(w.Lives.OfHolder(serial), 0), w.Lives.Benches(serial)}
}

// lifeOfNozzle is that of a nozzle over all its hours.
func (w *Writer) lifeOfNozzle(serial string) partLife {
	periods, start := w.Lives.OfNozzle(serial), 0.0
	if total, known := w.Lives.NozzleHours(serial, w.Today); known {
		for _, period := range periods {
			total -= period.Hours
		}
		start = max(0, total)
	}
	return partLife{"nozzle", serial, facts.LivesOf(periods, start), w.NozzleBenches[serial]}
}

// strip is the life of a part on one strip, with all of it as a table; nil where it never ran.
func (w *Writer) strip(of partLife) page.Block {
	c, left := w.stripOf(&of)
	if c.Span[1] <= c.Span[0] {
		return nil
	}
	rows := len(c.Held)
	for i, lane := range lanes(w.fuelOver(of.lives)) {
		row := page.BarRow{Bars: lane}
		if i == 0 {
			row.Name = "fuel"
		}
		c.Held = append(c.Held, row)
	}
	c.Held = append(c.Held, w.wrongOver(&of)...)
	s := page.Under("One life on one strip", &page.Charted{Wide: true, Chart: c,
		Caption: of.kind + " " + of.serial + ", " + page.Hours(c.Span[0]) + " to " + page.Hours(c.Span[1]) + " of its own"},
		stripLegend())
	if left > 0 {
		s.Add(said("Earlier, and not shown: " + page.Counted(left, "one service period", "service periods") +
			", in the table of where it has been."))
	}
	if len(c.Held) > rows {
		s.Add(w.sheetTable(page.EngineSheet{Held: c.Held[rows:]}))
	}
	return s
}

// stripLegend explains the marks of a strip.
func stripLegend() page.Block {
	return from("Solid: opening pressure as left; hollow: as found; a frame round it: beyond its limit. A black notch: " +
		"pulled for a symptom. A black block: an overhaul, with a frame behind it where there is a photo. " +
		"A heavy bar: the gauge that is named beside it read wrong then, or failures go with that fuel.")
}

// youAreHere is the strip of the valve of a record, without fuel and gauges, with the place of the record on it; nil
// where its part never ran.
func (w *Writer) youAreHere(o *logbook.Overhaul) page.Block {
	of := w.lifeOfHolder(o.Holder.Written)
	to := w.at.Holder[of.serial]
	if len(of.lives) == 0 {
		of = w.lifeOfNozzle(cmp.Or(o.Nozzle.Left.Written, o.Nozzle.Found.Written))
		to = w.at.Nozzle[of.serial]
	}
	c, _ := w.stripOf(&of)
	at, on := of.placeOf(o)
	if c.Span[1] <= c.Span[0] || !on || at < c.Span[0] {
		return nil
	}
	for i := range c.Held {
		for j := range c.Held[i].Bars {
			c.Held[i].Bars[j].Page, c.Held[i].Bars[j].Words = "", "" // on the strip of the part, which is one step away
		}
	}
	for i := range c.Points {
		c.Points[i].To, c.Points[i].Words = "", ""
	}
	c.Here = []page.Change{{X: at, Words: "you are here, " + page.Hours(at)}}
	s := page.Under("", &page.Charted{Wide: true, Chart: c}).Named("life")
	s.Title = page.Words("Where this is in the life of ").Link(to, of.kind+" "+of.serial)
	return s
}

// stripOf is a strip without what held for the whole ship, and how many earlier service periods it leaves out.
func (w *Writer) stripOf(of *partLife) (c page.LifeStrip, left int) {
	c.Of = of.kind + " " + of.serial
	if left = max(0, len(of.lives)-livesOnStrip); left > 0 {
		of.lives = of.lives[left:]
	}
	if len(of.lives) == 0 {
		return c, 0
	}
	c.Span = page.XY{of.lives[0].Begin, of.lives[len(of.lives)-1].End}
	mates := page.BarRow{Name: "nozzle"}
	if of.kind == "nozzle" {
		mates.Name = "holder"
	}
	where := page.BarRow{Name: "cylinder"}
	for n, l := range of.lives {
		b := w.bar(l.ServicePeriod, n)
		b.From, b.To, b.Name, b.Beyond = l.Begin, l.End, l.Position.String(), w.foundBeyond(l)
		b.Words = l.Position.String() + ": " + b.Words + ", " + l.From.String() + " to " + dayOrNow(l.To)
		where.Bars = append(where.Bars, b)
		mates.Bars = w.withMate(mates.Bars, of.kind, l)
	}
	c.Held = []page.BarRow{where, mates}
	p := w.followed(facts.OpeningPressure, of.lives, "")
	w.inUnitOf(p, of.lives[len(of.lives)-1].Engine)
	c.Points, c.Periods, c.Unit = p.Points, p.Periods, p.Unit
	for _, o := range of.benches {
		x, on := of.placeOf(o)
		if !on || x < c.Span[0] {
			continue
		}
		words := o.Day().String() + ", overhaul at " + page.Hours(x)
		if n := len(o.Photos.Each); n > 0 {
			words += ", " + page.Counted(n, "one photo", "photos")
		}
		c.Works = append(c.Works, page.Work{X: x, To: w.at.Overhaul[o], Words: words, Pictures: len(o.Photos.Each) > 0})
	}
	if e, ended := w.Book.EndBy(of.kind, of.serial, w.Today); ended {
		c.End = []page.Change{{X: c.Span[1], Words: e.String()}}
	}
	return c, left
}

func dayOrNow(d logbook.Day) string {
	if d == 0 {
		return "now"
	}
	return d.String()
}

// withMate lengthens the last bar of what was fitted with a part, or begins another where that changed.
func (w *Writer) withMate(bars []page.Bar, kind string, l facts.Life) []page.Bar {
	mate, to := l.Holder, w.at.Holder[l.Holder]
	if kind == "holder" {
		mate, to = l.Nozzle, w.at.Nozzle[l.Nozzle]
	}
	if n := len(bars); n > 0 && bars[n-1].Name == page.OrDash(mate) {
		bars[n-1].To = l.End
		return bars
	}
	return append(bars, page.Bar{From: l.Begin, To: l.End, Name: page.OrDash(mate), Page: to,
		Words: "with " + page.OrDash(mate) + " from " + l.From.String(), Odd: len(bars)%2 == 1})
}

// placeOf is where an overhaul is on the own hours of a part: between two service periods.
func (of *partLife) placeOf(o *logbook.Overhaul) (x float64, on bool) {
	for _, l := range of.lives {
		switch {
		case l.Closed == o:
			return l.End, true
		case l.Opened == o:
			x, on = l.Begin, true
		}
	}
	if on {
		return x, true
	}
	for _, l := range of.lives {
		if l.To != 0 && l.To <= o.Day() {
			x, on = l.End, true
		}
	}
	return x, on
}

// ownHours is a stretch of days along the own hours of a part, within one service period; ok is false for none of it.
func (w *Writer) ownHours(l facts.Life, begin, end logbook.Day) (from, to float64, ok bool) {
	last := cmp.Or(l.To, w.Today)
	if end == 0 || end > last {
		end = last
	}
	if begin = max(begin, l.From); begin == 0 || begin >= end {
		return 0, 0, false
	}
	first, known := w.Book.TotalOn(l.Engine, l.From)
	x, began := w.Book.TotalOn(l.Engine, begin)
	y, ended := w.Book.TotalOn(l.Engine, end)
	from, to = max(l.Begin, l.Begin+x-first), min(l.End, l.Begin+y-first)
	return from, to, known && began && ended && to > from
}

// over are the bars of what held from a day to a day, one in each service period that it reached into.
func (w *Writer) over(lives []facts.Life, begin, end logbook.Day, b page.Bar) []page.Bar {
	var all []page.Bar
	for _, l := range lives {
		if from, to, ok := w.ownHours(l, begin, end); ok {
			b.From, b.To = from, to
			all = append(all, b)
		}
	}
	return all
}

// fuelOver are the bunkers on which a part ran.
func (w *Writer) fuelOver(lives []facts.Life) []page.Bar {
	blamed := w.blamedBunkers()
	var all []page.Bar
	for i := range w.Book.Bunkers {
		b := &w.Book.Bunkers[i]
		all = append(all, w.over(lives, b.From.Day, b.To.Day, page.Bar{Name: b.Stem.Written, Words: bunkerWords(b),
			Page: w.at.Bunker[b], Heavy: blamed[recurring.BunkerName(b)]})...)
	}
	return all
}

// wrongOver are the times in which a gauge read wrong that a test of the part was made with, a row each.
func (w *Writer) wrongOver(of *partLife) []page.BarRow {
	var all []page.BarRow
	for _, id := range slices.Sorted(maps.Keys(w.Book.Instruments)) {
		in := w.Book.Instruments[id]
		for n := range in.FoundWrong {
			f := &in.FoundWrong[n]
			if !slices.ContainsFunc(w.Used[id], func(u facts.Use) bool {
				at, wrong := judging.WrongOn(in, u.Day)
				return wrong && at.Place == f.Place && slices.Contains(of.benches, u.Record)
			}) {
				continue
			}
			bars := w.over(of.lives, f.From.Day, f.To.Day, page.Bar{Name: "wrong",
				Words: id + " read wrong, " + f.From.Day.String() + " to " + dayOrNow(f.To.Day),
				Page:  w.at.Instrument[id].At("found-wrong"), Heavy: true})
			if len(bars) > 0 {
				all = append(all, page.BarRow{Name: id, Bars: bars})
			}
		}
	}
	return all
}

// foundBeyond says that a valve was found beyond a limit at the end of a service period.
func (w *Writer) foundBeyond(l facts.Life) bool {
	for _, q := range facts.HolderQuantities {
		if v := w.FoundAt(l, q); v != nil && v.Result == judging.Beyond {
			return true
		}
	}
	return false
}
