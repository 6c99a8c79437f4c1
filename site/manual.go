package site

import (
	"strings"

	"needlebook/checks"
)

// checksPage is the manual of the checks, made from their own documentation.
func (s *sheet) checksPage() error {
	s.begin("the checks", "manual", step{"", "the checks"})
	s.m(`<h1>The checks</h1><p class="lead">What is looked at, why it matters at sea, and what to do next. No check knows a limit of its own: limits come from the book's limits file, with source and date.</p>`)
	all := checks.All()
	s.m(`<p class="src">`)
	for _, k := range all {
		s.a(pageChecks.at(slugOf(k.Name)), plainName(k.Name)).m(" · ")
	}
	s.m("</p>")
	for level := checks.Field; level <= checks.Vessel; level++ {
		s.m("<section><h2>").t(levelWords[level]).m("</h2>")
		for _, k := range all {
			if k.Level == level {
				s.check(k)
			}
		}
		s.m("</section>")
	}
	return s.end(pageChecks, s.footShort)
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
