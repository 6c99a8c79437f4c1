package content

import (
	"cmp"
	"strconv"
	"strings"
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
		job(address.Survey, "for the survey", func() paper.Paper { return w.Plan.Survey("", w.Today-365, w.Today) }),
		job(address.Interval, "interval review", func() paper.Paper {
			return w.Evidence().
				Paper(evidence.Ask{Plots: true})
		}),
		job(address.Recurring, "recurring findings", func() paper.Paper { return w.Evidence().RecurringPaper() }),
	}
}

// rowsOnPage is about how many rows of a paper's tables are on one page; a larger one goes on over further pages.
const rowsOnPage = 130

// A short cell of a table with few columns stays on one line: there is room for it.
const (
	fewColumns = 8
	shortCell  = 22
)

// partedPaper parts the tables of a paper over pages, at least one.
func partedPaper(p paper.Paper) [][]paper.Table {
	pages, rows := [][]paper.Table{nil}, 0
	for _, t := range p.Tables {
		for all := t.Rows; ; {
			room := max(rowsOnPage-rows, 0)
			if n := len(all); n > room && room < min(n, 10) && rows > 0 { // a few rows are not worth a break
				pages, rows, room = append(pages, nil), 0, rowsOnPage
			}
			some := t
			some.Rows = all[:min(room, len(all))]
			pages[len(pages)-1] = append(pages[len(pages)-1], some)
			rows += len(some.Rows)
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
		for j, x := range part(p.Plots, i, plotsOnPage) {
			c.Add(page.Under(x.Title, w.paperPlot(x)).Named(plotID(i*plotsOnPage + j)))
		}
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
	table := page.NewTable(page.Listed, t.Columns...)
	for _, r := range t.Rows {
		cells := make([]page.Cell, len(r))
		for i, c := range r {
			cells[i] = page.Said(page.Link(w.at.About(c.About), c.Text))
			if len(r) <= fewColumns && utf8.RuneCountInString(c.Text) <= shortCell {
				cells[i].Kind = page.OfQuantity // no day or serial broken at its dashes
			}
		}
		table.Row(cells...)
	}
	s.Add(table)
	return s
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
