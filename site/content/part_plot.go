package content

import (
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// followed is the plot of one quantity through service periods.
func (w *Writer) followed(q facts.Quantity, lives []facts.Life, xUnit string) *page.Plot {
	p := &page.Plot{Title: q.Name, Unit: q.Unit, XUnit: xUnit, Log: q.Log}
	for _, l := range lives {
		left, found := w.LeftAt(l, q), w.FoundAt(l, q)
		if left != nil {
			d := page.Point{X: l.Begin, Y: left.Value.Float(), Shape: shapeOf(left.Class), Beyond: left.Result == judging.Beyond,
				Words: l.Holder + " as left: " + left.Value.String() + resultWords(left)}
			if l.Opened != nil {
				d.To = w.at.Overhaul[l.Opened].At(address.KeyID(q.Left))
			}
			p.Points = append(p.Points, d)
			p.Bounds = append(p.Bounds, boundsOf(left, l.Begin)...)
		}
		if found == nil {
			continue
		}
		p.Points = append(p.Points, page.Point{X: l.End, Y: found.Value.Float(), Found: true,
			Beyond: found.Result == judging.Beyond,
			To:     w.at.Overhaul[l.Closed].At(address.KeyID(q.Found)),
			Words:  l.Holder + " as found " + l.To.String() + ": " + found.Value.String() + resultWords(found)})
		p.Bounds = append(p.Bounds, boundsOf(found, l.End)...)
		if left != nil {
			p.Periods = append(p.Periods, [2]page.XY{{l.Begin, left.Value.Float()}, {l.End, found.Value.Float()}})
		}
	}
	return p
}

// inUnitOf brings a plot of pressures to the unit in which the limits of an engine state the setting.
func (w *Writer) inUnitOf(p *page.Plot, engine string) {
	l := w.Book.LimitsOf(engine)
	if l == nil || p.Unit != measure.Bar.Name {
		return
	}
	set := l.OnFirst(w.Today).Opening.Used.Low
	if !set.Valid() || set.Unit() == measure.Bar {
		return
	}
	p.Scale(1/measure.Of("1", set.Unit()).Float(), set.Unit().Name)
}

func shapeOf(c logbook.Class) page.Shape {
	switch c {
	case logbook.New:
		return page.Square
	case logbook.Reground:
		return page.Triangle
	}
	return page.Disc
}

func resultWords(v *judging.Verdict) string {
	if v.Result == judging.None || v.Result == judging.Within {
		return ""
	}
	return ", " + v.Result.String()
}

// boundsOf are the limits that held for a value.
func boundsOf(v *judging.Verdict, x float64) []page.Bound {
	var all []page.Bound
	end := func(q measure.Quantity, upper bool) {
		if q.Valid() {
			all = append(all, page.Bound{X: x, Y: q.Float(), Upper: upper})
		}
	}
	if v.Span.Valid() && v.Span.Kind() == v.Value.Kind() {
		end(v.Span.Low, false)
		end(v.Span.High, true)
	}
	return all
}

// plotted is a plot with its numbers behind it, or without where they are in a table of several charts. A plot
// without values says so in words.
func plotted(p *page.Plot, after string, numbers ...page.Block) page.Block {
	c := &page.Charted{Caption: p.Title}
	if p.Empty() {
		c.Blocks = []page.Block{quiet("No value of this cylinder or part is in the book.")}
		return c
	}
	c.Chart = p
	if after != "" {
		c.Blocks = append(c.Blocks, from(after))
	}
	if len(numbers) > 0 {
		c.Blocks = append(c.Blocks, page.Fold{Summary: page.Words("the numbers"), Blocks: numbers})
	}
	return c
}
