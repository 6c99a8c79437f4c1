package content

import (
	"cmp"
	"fmt"
	"slices"

	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

func (w *Writer) strokesPage() *page.Page {
	p := chartPage(address.ChartsLift, address.ChartsLift, "lifts")
	p.Add(w.strokes())
	return p
}

// strokeAt is one reading of an effective lift over the hours of its nozzle.
type strokeAt struct {
	o      *logbook.Overhaul
	hours  float64
	value  float64
	words  string
	beyond bool
}

// strokesByNozzle are the readings of each nozzle, oldest first.
func (w *Writer) strokesByNozzle() map[string][]strokeAt {
	by := map[string][]strokeAt{}
	for _, o := range w.Book.Overhauls {
		v := w.Valued(o, facts.EffectiveStroke.Found)
		h, known := w.Lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
		if v != nil && known && o.Removed.Stated() {
			n := o.Nozzle.Found.Written
			by[n] = append(by[n], strokeAt{o, h, v.Value.Float(), v.Value.String(), v.Result.Out()})
		}
	}
	return by
}

// lifts are effective lifts over the hours of each nozzle, a line a nozzle, broken where it was ground or lapped.
func (w *Writer) strokes() page.Block {
	const title = "Effective lift over the hours of the nozzle"
	p := &page.Plot{Title: title + ", a line a nozzle", Unit: "mm", XUnit: "h of the nozzle", Lines: w.strokeLimits()}
	by := w.strokesByNozzle()
	var all []strokeAt
	for _, n := range w.Lives.Nozzles() {
		for i, a := range by[n] {
			all = append(all, a)
			if i == 0 {
				continue
			}
			if before := by[n][i-1]; !before.o.Decided.Nozzle.Is("grind", "lap") {
				p.Periods = append(p.Periods, [2]page.XY{{before.hours, before.value}, {a.hours, a.value}})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b strokeAt) int { return int(a.o.Day()) - int(b.o.Day()) })
	after := ""
	if left := len(all) - dotsDrawn; left > 0 {
		after = fmt.Sprintf("The newest %d as points and in the table; %d older ones are in the lines alone, and on the "+
			"page of each nozzle.",
			dotsDrawn, left)
		all = all[left:]
	}
	since := logbook.Day(0) // nozzles with an older last reading are not listed
	if len(all) > 0 && len(all) == dotsDrawn {
		since = all[0].o.Day()
	}
	for _, a := range all {
		nozzle, holder := cmp.Or(a.o.Nozzle.Found.Written, "a nozzle"), cmp.Or(a.o.Holder.Written,
			"a holder without a serial")
		p.Points = append(p.Points, page.Point{X: a.hours, Y: a.value, Found: true, Beyond: a.beyond,
			To:    w.at.Overhaul[a.o].At(address.KeyID(facts.EffectiveStroke.Found)),
			Words: nozzle + " in " + holder + ", " + a.o.Day().String() + ": " + a.words})
	}
	return page.Under(title, plotted(p, after, w.strokeTable(by, since))).Named("lifts")
}

// strokeLimits are the largest effective lifts that are permitted today.
func (w *Writer) strokeLimits() []page.StepLine {
	var all []page.StepLine
	seen := map[string]bool{}
	for _, e := range w.Book.Vessel.Engines {
		l := w.Book.LimitsOf(e.ID.Written)
		if l == nil || seen[e.Limits.Written] {
			continue
		}
		seen[e.Limits.Written] = true
		if in, ok := l.On(w.Today); ok && in.Effective.Max.Quantity.Valid() {
			all = append(all, page.StepLine{Words: "largest, " + e.Limits.Written,
				Steps: []page.XY{{0, in.Effective.Max.Float()}}})
		}
	}
	return all
}

func (w *Writer) strokeTable(by map[string][]strokeAt, since logbook.Day) page.Block {
	t := page.NewTable(page.Listed, "nozzle", "readings", "first", "at", "last", "at")
	for _, n := range w.Lives.Nozzles() {
		list := by[n]
		if len(list) == 0 || list[len(list)-1].o.Day() < since {
			continue
		}
		first, last := list[0], list[len(list)-1]
		t.Row(page.RowHead(page.Link(w.at.Nozzle[n], n)), page.Number(len(list)), page.Value(first.words),
			page.Value(page.Hours(first.hours)),
			page.Value(last.words), page.Value(page.Hours(last.hours)))
	}
	return t
}
