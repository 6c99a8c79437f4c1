package site

import (
	"slices"
	"strings"

	"needlebook/checks"
)

// manualLevels are the levels of checks that stand on each page of the manual, so that none grows too long to read.
var manualLevels = [][]checks.Level{{checks.Field}, {checks.Record}, {checks.History, checks.Batch, checks.Vessel}}

var manualPages = []ref{pageChecks, "checks-record.html", "checks-book.html"}

// checkRef is the place of a check in the manual; the manual's first page for a name that it does not know.
func checkRef(name string) ref {
	for _, k := range checks.All() {
		if k.Name != name {
			continue
		}
		for i, levels := range manualLevels {
			if slices.Contains(levels, k.Level) {
				return manualPages[i].at(slugOf(name))
			}
		}
	}
	return pageChecks
}

// checksPage is one page of the manual of the checks, made from their own documentation.
func (s *sheet) checksPage(page int) error {
	s.begin("the checks", "manual", step{"", "the checks"})
	s.m(`<h1>The checks</h1><p class="lead">What is looked at, why it matters at sea, and what to do next. No check knows a limit of its own: limits come from the book's limits file, with source and date.</p>`)
	all := checks.All()
	for i, levels := range manualLevels {
		for _, level := range levels {
			s.m(`<p class="src"><b>`).t(levelWords[level]).m("</b> ")
			if i != page {
				s.a(manualPages[i], "another page").m("</p>")
				continue
			}
			for _, k := range all {
				if k.Level == level {
					s.a(ref("#"+slugOf(k.Name)), plainName(k.Name)).m(" · ")
				}
			}
			s.m("</p>")
		}
	}
	for _, level := range manualLevels[page] {
		s.m("<section><h2>").t(levelWords[level]).m("</h2>")
		for _, k := range all {
			if k.Level == level {
				s.check(k)
			}
		}
		s.m("</section>")
	}
	return s.end(manualPages[page], s.footShort)
}

var levelWords = map[checks.Level]string{
	checks.Field:   "Field: how a value is written",
	checks.Record:  "Record: one overhaul, in the order of the bench",
	checks.History: "History: one part or position through time",
	checks.Batch:   "Batch: one round, or what was set with one gauge",
	checks.Vessel:  "Vessel: the book as a whole",
}

func (s *sheet) check(k *checks.Check) {
	s.m(`<article id="`, markup(slugOf(k.Name)), `"><h3>`).t(plainName(k.Name)).m(" ").grade(k.Grade).m("</h3>")
	for para := range strings.SplitSeq(k.Doc, "\n\n") {
		s.m("<p>").t(para).m("</p>")
	}
	if k.Example != "" {
		s.m("<p>It says, for instance: <q>").t(k.Example).m("</q></p>")
	}
	s.m(`<p class="src">Source: `).t(k.Source).m(". ")
	n := 0
	for g := checks.Stop; g >= checks.Note; g-- {
		id := g.String() + "-" + slugOf(k.Name)
		if to := s.findingAt[id]; to != "" {
			s.m(" ").a(to, "what it says now, grade "+g.String())
			n++
		}
	}
	if n == 0 {
		s.m("It says nothing on this book.")
	}
	s.m("</p></article>")
}
