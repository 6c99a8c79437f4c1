package site

import (
	"cmp"
	"strconv"
	"strings"
	"unicode/utf8"

	"needlebook/checks/evidence"
	"needlebook/checks/paper"
)

// The pages that answer the questions of planning, relief and survey; each is the paper that the command prints.
const (
	pageDue      ref = "due.html"
	pageInterval ref = "interval.html"
	pageCauses   ref = "causes.html"
	pageStores   ref = "stores.html"
	pagePromised ref = "promised.html"
	pageHandover ref = "handover.html"
	pageNOx      ref = "nox.html"
	pageSurvey   ref = "survey.html"
)

var paperPages = []ref{pageDue, pageInterval, pageCauses, pageStores, pagePromised, pageHandover, pageNOx, pageSurvey}

// paperJobs make the pages of the papers; the evidence is worked out once for those that rest on it.
func (s *site) paperJobs() []job {
	plan := s.plan
	return []job{
		{pageDue, func(s *sheet) error { return s.paperPage(pageDue, "what is due", s.due()) }},
		{pageStores, func(s *sheet) error { return s.paperPage(pageStores, "what we have", s.stores()) }},
		{pagePromised, func(s *sheet) error { return s.paperPage(pagePromised, "what was promised", plan.Promised()) }},
		{pageHandover, func(s *sheet) error { return s.paperPage(pageHandover, "handing over", plan.Handover()) }},
		{pageNOx, func(s *sheet) error { return s.paperPage(pageNOx, "nozzle changes", plan.NOx(0, 0)) }},
		{pageSurvey, func(s *sheet) error {
			return s.paperPage(pageSurvey, "for the survey", plan.Survey("", s.today-365, s.today))
		}},
		{pageInterval, func(s *sheet) error {
			return s.paperPage(pageInterval, "how long may it wait", s.evidence().Paper(evidence.Ask{Plots: true}))
		}},
		{pageCauses, func(s *sheet) error { return s.paperPage(pageCauses, "what goes together", s.evidence().CausesPaper()) }},
	}
}

// rowsOnPage is about how many rows of a paper's tables stand on one page; a larger one goes on over further pages.
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

// furtherPage is the name of a further page of a paper or of its drawings.
func furtherPage(first ref, i int) ref {
	if i == 0 {
		return first
	}
	return ref(strings.TrimSuffix(string(first), ".html") + "-" + strconv.Itoa(i+1) + ".html")
}

// paperPage writes a paper as a page, with a link wherever a cell names something that has one.
func (s *sheet) paperPage(name ref, way string, p paper.Paper) error {
	parts := partedPaper(p)
	pages := make([]ref, len(parts))
	for i := range parts {
		pages[i] = furtherPage(name, i)
	}
	for i := range parts {
		if err := s.paperPart(pages, i, way, p, parts); err != nil {
			return err
		}
	}
	drawings := drawingPages(name, len(p.Plots))
	for i, page := range drawings {
		s.begin(way+", drawn", "list", step{name, way}, step{"", "drawn"})
		s.m("<h1>").t(p.Title).m("</h1>")
		s.pager(drawings, i, func(i int) string { return p.Plots[i*plotsOnPage].Title + " on" })
		for j, x := range part(p.Plots, i, plotsOnPage) {
			s.paperPlot(x, plotID(i*plotsOnPage+j))
		}
		if err := s.end(page, s.footShort); err != nil {
			return err
		}
	}
	return nil
}

// paperPart writes one page of a paper.
func (s *sheet) paperPart(pages []ref, page int, way string, p paper.Paper, parts [][]paper.Table) error {
	name := pages[page]
	s.begin(way, "list", step{"", way})
	s.m("<h1>").t(p.Title).m("</h1>")
	for _, l := range p.Lead {
		s.m(`<p class="lead">`).t(l).m("</p>")
	}
	title := func(i int) string {
		if len(parts[i]) == 0 {
			return "–"
		}
		return upperFirst(cmp.Or(parts[i][0].Title, way))
	}
	s.pager(pages, page, func(i int) string { return strconv.Itoa(i+1) + ": " + title(i) })
	for _, t := range parts[page] {
		s.m("<section>")
		if t.Title != "" {
			s.m("<h2>").t(upperFirst(t.Title)).m("</h2>")
		}
		if len(t.Rows) == 0 {
			s.m("<p>").t(t.Empty).m("</p></section>")
			continue
		}
		columns := make([]markup, len(t.Columns))
		for i, c := range t.Columns {
			columns[i] = markup(c) // the program's own words
		}
		s.table("list", columns...)
		for _, r := range t.Rows {
			s.m("<tr>")
			for _, c := range r {
				td := markup("<td>")
				if len(r) <= fewColumns && utf8.RuneCountInString(c.Text) <= shortCell {
					td = `<td class="n">` // no day or serial broken at its dashes
				}
				s.m(td).a(s.refOf(c.About), c.Text).m("</td>")
			}
			s.m("</tr>")
		}
		s.m("</tbody></table></div></section>")
	}
	if drawings := drawingPages(pages[0], len(p.Plots)); len(drawings) > 0 && page == 0 {
		s.m("<section><h2>Drawn</h2><ul>")
		for i, x := range p.Plots {
			s.m("<li>").a(drawings[i/plotsOnPage].at(plotID(i)), x.Title).m("</li>")
		}
		s.m("</ul></section>")
	}
	if len(p.Notes) > 0 {
		s.m("<ul>")
		for _, n := range p.Notes {
			s.m("<li>").t(n).m("</li>")
		}
		s.m("</ul>")
	}
	return s.end(name, s.footShort)
}

// plotsOnPage is how many drawings of a paper stand on one page.
const plotsOnPage = 3

// drawingPages are the pages of so many drawings of a paper.
func drawingPages(paper ref, drawings int) []ref {
	var all []ref
	first := ref(strings.TrimSuffix(string(paper), ".html") + "-drawn.html")
	for i := range (drawings + plotsOnPage - 1) / plotsOnPage {
		all = append(all, furtherPage(first, i))
	}
	return all
}

func plotID(i int) string { return "drawn-" + strconv.Itoa(i+1) }

// paperPlot draws a plot of a paper with its readings as links. Its numbers stand in the table of drift.
func (s *sheet) paperPlot(x paper.Plot, id string) {
	p := plot{title: x.Title, unit: x.Y, xUnit: x.X, log: x.Log, trend: x.Line, band: [2][][2]float64{x.Low, x.High}}
	for _, d := range x.Points {
		if len(x.Points) > mostOthers { // too many to be links
			p.small = append(p.small, [2]float64{d.X, d.Y})
			continue
		}
		p.dots = append(p.dots, dot{x: d.X, y: d.Y, found: true, to: s.refOf(d.About), words: d.Words})
	}
	if x.HasLimit {
		p.lines = []stepLine{{words: x.LimitText, steps: [][2]float64{{0, x.Limit}}}}
	}
	s.m(`<section id="`, markup(id), `"><h2>`).t(x.Title).m("</h2>")
	s.plot(p)
	s.m("</section>")
}

// refOf is the page of what a cell names; empty where it names nothing that has one.
func (s *sheet) refOf(a paper.About) ref {
	switch {
	case a.Record != "":
		return s.pages.stem[a.Record]
	case a.Holder != "":
		return s.pages.holder[a.Holder]
	case a.Nozzle != "":
		return s.pages.nozzle[a.Nozzle]
	case a.Instrument != "":
		return s.pages.instrument[a.Instrument]
	case a.Position.Engine != "":
		return s.pages.to(a.Position)
	case a.Place.Path != "":
		return s.pages.line(a.Place)
	}
	return ""
}
