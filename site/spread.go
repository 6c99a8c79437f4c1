package site

import (
	"slices"
	"strconv"
	"strings"

	"needlebook/checks"
)

// How many entries of a long list one page holds.
const (
	commitsOnPage   = 100
	findingsOnPage  = 45
	overhaulsOnPage = 90
	nozzlesOnPage   = 90
)

// part is the stretch of a list that page i holds.
func part[T any](all []T, i, onPage int) []T {
	from := min(i*onPage, len(all))
	return all[from:min(from+onPage, len(all))]
}

// pager links the pages of a long list. name says what a page holds, in few words.
func (s *sheet) pager(pages []ref, now int, name func(i int) string) {
	if len(pages) < 2 {
		return
	}
	label := markup("pages of this list")
	if s.paged++; s.paged > 1 {
		label = "pages of this list, once more"
	}
	s.m(`<nav class="pager" aria-label="`, label, `">`)
	for i, to := range pages {
		if i == now {
			s.m(`<b aria-current="page">`).t(name(i)).m("</b> ")
			continue
		}
		s.a(to, name(i)).m(" ")
	}
	s.m("</nav>")
}

// listed are all findings in the order of their pages: the gravest first, within a grade check by check in the order of the
// manual, within a check in the order of the report.
func (s *site) listed() []*checks.Finding {
	place := map[string]int{}
	for i, k := range checks.All() {
		place[k.Name] = i + 1
	}
	var all []*checks.Finding
	for i := range s.Report.Findings {
		all = append(all, &s.Report.Findings[i])
	}
	slices.SortStableFunc(all, func(a, b *checks.Finding) int {
		if a.Grade != b.Grade {
			return int(b.Grade) - int(a.Grade)
		}
		if place[a.Check] != place[b.Check] {
			return place[a.Check] - place[b.Check]
		}
		return strings.Compare(a.Check, b.Check)
	})
	return all
}

// findingPlaces are where the findings of each grade, and of each check within a grade, begin.
func (s *site) findingPlaces() map[string]ref {
	at := map[string]ref{}
	for i, f := range s.ordered {
		page := s.pages.findings[i/findingsOnPage]
		for _, id := range []string{f.Grade.String(), groupID(f)} {
			if at[id] == "" {
				at[id] = page.at(id)
			}
		}
	}
	return at
}

// groupID is the id of the findings of one check of one grade.
func groupID(f *checks.Finding) string { return f.Grade.String() + "-" + slugOf(f.Check) }

// findingsPage writes one page of all findings, the gravest first.
func (s *sheet) findingsPage(page int) error {
	s.begin("what stands out", "list", step{"", "what stands out"})
	s.m("<h1>What stands out</h1>")
	s.m(`<p class="lead">Every finding of `).t(checksRun()).m(" on the book as of ").t(s.today.String()).m(", the gravest first. ").a(pageReading.at("grades"), "What the grades mean").m(".</p>")
	if len(s.ordered) == 0 {
		s.quietLine("Nothing stands out.")
	}
	s.tally()
	name := func(i int) string { return strconv.Itoa(i + 1) }
	s.pager(s.pages.findings, page, name)
	open := false
	last := ""
	seen := map[string]bool{}
	for _, f := range s.ordered[:min(page*findingsOnPage, len(s.ordered))] {
		seen[f.Grade.String()], seen[groupID(f)] = true, true
	}
	for _, f := range part(s.ordered, page, findingsOnPage) {
		if id := groupID(f); id != last {
			if open {
				s.m("</ol></section>")
			}
			s.m("<section")
			if g := f.Grade.String(); !seen[g] {
				seen[g] = true
				s.m(` id="`, markup(g), `"`)
			}
			s.m("><h2")
			if !seen[id] {
				seen[id] = true
				s.m(` id="`, markup(id), `"`)
			}
			s.m(">").grade(f.Grade).m(" ").a(s.checkAt[f.Check], plainName(f.Check)).m(`</h2><ol class="found">`)
			open, last = true, id
		}
		s.finding(f, false)
	}
	if open {
		s.m("</ol></section>")
	}
	s.pager(s.pages.findings, page, name)
	return s.end(s.pages.findings[page], s.footShort)
}

// tally is how many findings there are of each grade.
func (s *sheet) tally() {
	s.m(`<p class="tally">`)
	for g := checks.Stop; g >= checks.Note; g-- {
		n := len(s.found.grade[g])
		if to := s.findingAt[g.String()]; to != "" {
			s.m(`<a href="`, markup(to), `"><b>`).i(n).m("</b> ").grade(g).m("</a> ")
			continue
		}
		s.m("<span><b>").i(n).m("</b> ").grade(g).m("</span> ")
	}
	s.m("</p>")
}

// overhaulsPage writes one page of all overhauls, the newest first.
func (s *sheet) overhaulsPage(page int) error {
	s.begin("overhauls", "list", step{"", "overhauls"})
	s.m("<h1>Overhauls</h1>")
	all := slices.Clone(s.Book.Overhauls)
	slices.Reverse(all)
	s.m(`<p class="lead">`).i(len(all)).m(" in the book, the newest first.</p>")
	name := func(i int) string {
		stretch := part(all, i, overhaulsOnPage)
		if len(stretch) == 0 {
			return "–"
		}
		return stretch[len(stretch)-1].Day().String() + " to " + stretch[0].Day().String()
	}
	s.pager(s.pages.overhauls, page, name)
	s.recordTable(part(all, page, overhaulsOnPage))
	s.pager(s.pages.overhauls, page, name)
	return s.end(s.pages.overhauls[page], s.footShort)
}
