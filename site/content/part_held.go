package content

import (
	"cmp"
	"slices"

	"needlebook/logbook"
	"needlebook/site/page"
)

// blamedBunkers are the names of those with which failures go, by the recurring findings.
func (w *Writer) blamedBunkers() map[string]bool {
	blamed := map[string]bool{}
	for _, a := range w.Associated() {
		blamed[a.Which] = blamed[a.Which] || a.Kind == "bunker"
	}
	return blamed
}

// bunkerWords are a bunker in a line, with what a valve feels of it.
func bunkerWords(b *logbook.Bunker) string {
	words := b.Stem.Written
	if b.AlSi.Valid {
		words += ", aluminium and silicon " + b.AlSi.Written + " mg/kg"
	}
	return words
}

// lanes part bars over rows, so that none lies on another.
func lanes(bars []page.Bar) [][]page.Bar {
	bars = slices.Clone(bars)
	slices.SortStableFunc(bars, func(a, b page.Bar) int { return cmp.Compare(a.From, b.From) })
	var rows [][]page.Bar
	for _, b := range bars {
		at := slices.IndexFunc(rows, func(row []page.Bar) bool { return row[len(row)-1].To <= b.From+1 })
		if at < 0 {
			at, rows = len(rows), append(rows, nil)
		}
		b.Odd = len(rows[at])%2 == 1
		rows[at] = append(rows[at], b)
	}
	return rows
}

// sheetTable is all that a sheet shows, in the order of the hours, the newest first.
func (w *Writer) sheetTable(c page.EngineSheet) page.Block {
	type line struct {
		at    float64
		cells []page.Cell
	}
	var all []line
	add := func(b page.Bar, row, and string) {
		all = append(all, line{b.From, []page.Cell{page.Value(page.Hours(b.From)), page.Value(page.Hours(b.To)),
			page.Plainly(row), page.Said(page.Link(b.Page, b.Name)), page.Plainly(and)}})
	}
	held := ""
	for _, r := range c.Held {
		held = cmp.Or(r.Name, held)
		for _, b := range r.Bars {
			add(b, held, b.Words)
		}
	}
	for _, r := range c.Rows {
		for _, b := range r.Bars {
			add(b, "cylinder "+r.Name, endedBy(b))
		}
	}
	for _, x := range c.Counters {
		add(page.Bar{From: x.X, To: x.X, Name: x.Words}, "counter", "")
	}
	slices.SortStableFunc(all, func(a, b line) int { return cmp.Compare(b.at, a.at) })
	t := page.NewTable(page.Listed, "from", "to", "where", "what", "and")
	for _, l := range all {
		t.Row(l.cells...)
	}
	return page.Fold{Summary: page.Words("all of it as a table, by running hours"), Blocks: []page.Block{t}}
}

// endedBy says what the marks at the end of a service period say.
func endedBy(b page.Bar) string {
	said := func(so bool, words string) string {
		if so {
			return words
		}
		return ""
	}
	return logbook.Listed(said(b.Pulled, "pulled for a symptom"), said(b.Beyond, "found beyond a limit"),
		said(b.Heavy, "nozzle renewed, and nothing else on record explains it"))
}
