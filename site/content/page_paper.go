package content

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"needlebook/checks/evidence"
	"needlebook/checks/paper"
	"needlebook/site/address"
	"needlebook/site/page"
)

// paperJobs are those of the papers; the evidence is worked out once for those that rest on it.
func (w *Writer) paperJobs() []Job {
	job := func(to page.Ref, way string, write func() paper.Paper) Job {
		return Job{to, func() []*page.Page { return w.paperPages(to, way, write()) }}
	}
	return []Job{
		job(address.Due, "what is due", func() paper.Paper { return w.Due() }),
		job(address.Stores, "spares and stores", func() paper.Paper { return w.Stores() }),
		job(address.Deferrals, "deferrals", w.Plan.Promised),
		job(address.Handover, "handover", w.Plan.Handover),
		job(address.NOx, "nozzle changes", func() paper.Paper { return w.Plan.NOx(0, 0) }),
		job(address.Survey, "for the survey", func() paper.Paper {
			return bySheets(w.Plan.Survey("", w.Today-365, w.Today))
		}),
		job(address.Interval, "interval review", func() paper.Paper {
			return w.Evidence().
				Paper(evidence.Ask{Plots: true})
		}),
		job(address.Recurring, "recurring findings", func() paper.Paper { return w.Evidence().RecurringPaper() }),
	}
}

// rowsOnPage is about how many rows of few columns are on one page of a paper, and so fewer of many; a larger one goes
// on over further pages.
const rowsOnPage = 130

// A short cell stays on one line: in a table with few columns there is room for it, and in any table for a value.
const (
	fewColumns = 8
	shortCell  = 22
	fewLetters = 8
)

// partedPaper parts the tables of a paper over pages, at least one.
func partedPaper(p paper.Paper) [][]paper.Table {
	pages, cells := [][]paper.Table{nil}, 0
	for _, t := range p.Tables {
		wide := max(fewColumns, len(t.Columns))
		for all := t.Rows; ; {
			room := max(rowsOnPage*fewColumns-cells, 0) / wide
			if n := len(all); n > room && room < min(n, 10) && cells > 0 { // a few rows are not worth a break
				pages, cells, room = append(pages, nil), 0, rowsOnPage*fewColumns/wide
			}
			some := t
			some.Rows = all[:min(room, len(all))]
			pages[len(pages)-1] = append(pages[len(pages)-1], some)
			cells += len(some.Rows) * wide
			if all = all[len(some.Rows):]; len(all) == 0 {
				break
			}
		}
	}
	return pages
}

// paperPages are the pages of a paper, and behind them those of its charts.
func (w *Writer) paperPages(first page.Ref, way string, p paper.Paper) []*page.Page {
	parts := partedPaper(p)
	names := make([]page.Ref, len(parts))
	for i := range parts {
		names[i] = address.Further(first, i)
	}
	charts := chartPages(first, len(p.Plots))
	var all []*page.Page
	for i := range parts {
		all = append(all, w.paperPage(names, i, way, p, parts, charts))
	}
	for i, to := range charts {
		c := &page.Page{Name: to, Title: way + ", drawn", Kind: "list", Way: []page.Step{{To: first, Text: way},
			{Text: "drawn"}}, Head: p.Title}
		c.Add(pager(charts, i, func(i int) string { return p.Plots[i*plotsOnPage].Title + " on" }))
		side := &page.Box{Style: page.Charts}
		for j, x := range part(p.Plots, i, plotsOnPage) {
			side.Add(page.Under(x.Title, w.paperPlot(x)).Named(plotID(i*plotsOnPage + j)))
		}
		c.Add(side)
		all = append(all, c)
	}
	return all
}

// paperPage is one page of a paper, with a link wherever a cell names something that has one.
func (w *Writer) paperPage(names []page.Ref, i int, way string, p paper.Paper, parts [][]paper.Table,
	charts []page.Ref) *page.Page {
	one := &page.Page{Name: names[i], Title: way, Kind: "list", Way: here(way), Head: p.Title}
	for _, l := range p.Lead {
		one.Add(lead(page.Words(l)))
	}
	one.Add(pager(names, i, func(i int) string {
		title := "–"
		if len(parts[i]) > 0 {
			title = page.UpperFirst(cmp.Or(parts[i][0].Title, way))
		}
		return strconv.Itoa(i+1) + ": " + title
	}))
	for _, t := range parts[i] {
		one.Add(w.paperTable(t))
	}
	if len(charts) > 0 && i == 0 {
		list := page.List{}
		for n, x := range p.Plots {
			list.Items = append(list.Items, page.Item{Text: page.Link(charts[n/plotsOnPage].At(plotID(n)), x.Title)})
		}
		one.Add(page.Under("Drawn", list))
	}
	if len(p.Notes) > 0 {
		list := page.List{}
		for _, n := range p.Notes {
			list.Items = append(list.Items, page.Item{Text: page.Words(n)})
		}
		one.Add(list)
	}
	return one
}

func (w *Writer) paperTable(t paper.Table) page.Block {
	s := page.Under(page.UpperFirst(t.Title))
	if len(t.Rows) == 0 {
		s.Add(said(t.Empty))
		return s
	}
	table, notes := page.NewTable(page.Listed, t.Columns...), notesOf(t)
	for _, r := range t.Rows {
		cells := make([]page.Cell, len(r))
		for i, c := range r {
			cells[i] = w.paperCell(c, len(r))
			if n := slices.Index(notes, c.Text); n >= 0 {
				cells[i] = page.Value("note " + strconv.Itoa(n+1))
			}
		}
		table.Row(cells...)
	}
	s.Add(table)
	if len(notes) > 0 {
		list := page.List{Style: page.Sources, Ordered: true}
		for _, n := range notes {
			list.Items = append(list.Items, page.Item{Text: page.Words(n)})
		}
		s.Add(list)
	}
	return s
}

// paperCell is a cell of a paper, in a row of so many.
func (w *Writer) paperCell(c paper.Cell, columns int) page.Cell {
	text := page.Link(w.at.About(c.About), c.Text)
	for i, one := range c.Each {
		if i == 0 {
			text = nil
		} else {
			text = text.Say(", ")
		}
		text = text.Put(page.Whole, page.Link(w.at.About(one.About), one.Text))
	}
	cell := page.Said(text)
	if n := utf8.RuneCountInString(c.Text); n <= fewLetters || n <= shortCell && columns <= fewColumns || isDay(c.Text) {
		cell.Kind = page.OfQuantity // no day or serial broken at its dashes
	} else if len(text) == 1 && text[0].To == "" {
		cell.Text = unbroken(c.Text)
	}
	if cell.Kind == page.OfText && utf8.RuneCountInString(c.Text) > longCell/2 {
		cell.Kind = page.OfReason
	}
	if c.Loud {
		cell.Text = page.Text{}.Put(page.Loud, cell.Text)
	}
	return cell
}

// unbroken is a text whose days and serials are not broken at their dashes.
func unbroken(words string) page.Text {
	if from, to, ok := strings.Cut(words, " to "); ok && isDay(from) && isDay(to) {
		return page.In(page.Whole, from+" to").Say(" ").In(page.Whole, to)
	}
	var t page.Text
	for i, word := range strings.Fields(words) {
		if i > 0 {
			t = t.Say(" ")
		}
		if len(word) <= shortCell && strings.Contains(word, "-") && strings.ContainsAny(word, "0123456789") {
			t = t.In(page.Whole, word)
			continue
		}
		t = t.Say(word)
	}
	return t
}

// A text this long that a wide table says again and again stands once below it.
const (
	longCell = 60
	oftenSay = 3
)

// notesOf are the texts of a table that stand below it, in the order in which they are met.
func notesOf(t paper.Table) []string {
	said := map[string]int{}
	var notes []string
	for _, r := range t.Rows {
		for _, c := range r {
			if len(r) <= fewColumns || utf8.RuneCountInString(c.Text) < longCell || c.About != (paper.About{}) {
				continue
			}
			if said[c.Text]++; said[c.Text] == oftenSay {
				notes = append(notes, c.Text)
			}
		}
	}
	return notes
}

// bySheets parts the overhauls of a survey by engine and half year, a sheet each, as a surveyor goes about it. The
// cylinders of which there is none stand on the last sheet of their engine.
func bySheets(p paper.Paper) paper.Paper {
	all := p.Tables[0]
	type sheet struct{ engine, half string }
	var order []sheet
	of := map[sheet][][]paper.Cell{}
	for _, r := range all.Rows {
		x := sheet{r[0].About.Position.Engine, "none in this time"}
		if day, err := time.Parse(time.DateOnly, r[2].Text); err == nil {
			x.half = fmt.Sprintf("%d, %s half", day.Year(), [...]string{"first", "second"}[(day.Month()-1)/6])
		}
		if of[x] == nil {
			order = append(order, x)
		}
		of[x] = append(of[x], r)
	}
	slices.SortStableFunc(order, func(a, b sheet) int {
		return cmp.Or(cmp.Compare(a.engine, b.engine), cmp.Compare(a.half, b.half))
	})
	sheets := make([]paper.Table, 0, len(order)+len(p.Tables))
	for _, x := range order {
		t := all
		t.Title, t.Rows = x.engine+", "+x.half, of[x]
		sheets = append(sheets, t)
	}
	if len(order) == 0 {
		sheets = append(sheets, all)
	}
	p.Tables = append(sheets, p.Tables[1:]...)
	return p
}

// plotsOnPage is how many charts of a paper are on one page.
const plotsOnPage = 3

// chartPages are the pages of so many charts of a paper.
func chartPages(paper page.Ref, charts int) []page.Ref {
	var all []page.Ref
	first := page.Ref(strings.TrimSuffix(string(paper), ".html") + "-drawn.html")
	for i := range (charts + plotsOnPage - 1) / plotsOnPage {
		all = append(all, address.Further(first, i))
	}
	return all
}

func plotID(i int) string { return "drawn-" + strconv.Itoa(i+1) }

// paperPlot is a plot of a paper with its readings as links. Its numbers are in the table of drift.
func (w *Writer) paperPlot(x paper.Plot) page.Block {
	p := &page.Plot{Title: x.Title, Unit: x.Y, XUnit: x.X, Log: x.Log, Trend: x.Line, Band: [2][]page.XY{x.Low, x.High}}
	for _, d := range x.Points {
		if len(x.Points) > page.MostOthers { // too many to be links
			p.Small = append(p.Small, page.XY{d.X, d.Y})
			continue
		}
		p.Points = append(p.Points, page.Point{X: d.X, Y: d.Y, Found: true, To: w.at.About(d.About), Words: d.Words})
	}
	if x.HasLimit {
		p.Lines = []page.StepLine{{Words: x.LimitText, Steps: []page.XY{{0, x.Limit}}}}
	}
	return p
}
