package site

import (
	"fmt"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// checksRun says how many checks there are: silence means something only where somebody looked.
func checksRun() string {
	return logbook.Counted(len(checks.All()), "check")
}

// quietLine says that there is nothing to say, in grey.
func (s *sheet) quietLine(text string) { s.m(`<p class="quiet">`).t(text).m("</p>") }

// findingList writes findings one under another. here says that the list stands on the page of the record itself, so that it need
// not be named.
func (s *sheet) findingList(list []*checks.Finding, here bool) {
	s.m(`<ol class="found">`)
	for _, f := range list {
		s.finding(f, here)
	}
	s.m("</ol>")
}

// heavyShown is how many findings, gravest first, a list that is only part of a page writes out.
const heavyShown = 16

// lightShown is how many findings below an answer stand open where a list is only part of a page.
const lightShown = 3

// foldedList writes findings with the lighter ones folded away where there are many: the page has more to say than they.
func (s *sheet) foldedList(list []*checks.Finding) {
	sorted := byGrade(list)
	n := 0
	for n < len(sorted) && sorted[n].Grade >= checks.Answer {
		n++
	}
	if len(sorted)-n <= lightShown {
		n = len(sorted)
	}
	if open := sorted[:min(n, heavyShown)]; len(open) > 0 {
		s.findingList(open, false)
	}
	if left := n - heavyShown; left > 0 {
		s.m("<p>").t(grouped(left)+" more, ").t(gradesIn(sorted[heavyShown:n])).m(", stand on their records and under ").a(pageFindings, "what stands out").m(".</p>")
	}
	if rest := sorted[n:]; len(rest) > 0 {
		s.m("<details><summary>").t(gradesIn(rest)).m("</summary>")
		s.findingList(rest[:min(len(rest), heavyShown)], false)
		if left := len(rest) - heavyShown; left > 0 {
			s.m("<p>").t(grouped(left)).m(" more stand on their records and under ").a(pageFindings, "what stands out").m(".</p>")
		}
		s.m("</details>")
	}
}

// gradesIn counts findings in words: "8 advice and 10 note".
func gradesIn(list []*checks.Finding) string {
	var parts []string
	for g := checks.Stop; g >= checks.Note; g-- {
		n := 0
		for _, f := range list {
			if f.Grade == g {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, g))
		}
	}
	return strings.Join(parts, " and ")
}

// relatedShown is how many related places stand open behind a finding.
const relatedShown = 2

func (s *sheet) finding(f *checks.Finding, here bool) {
	s.m(`<li class="`, gradeClasses[f.Grade], `"><p class="say">`)
	s.grade(f.Grade).m(" ").t(f.Message).m("</p>")
	if f.Next != "" {
		s.m(`<p class="next">`).t(f.Next).m("</p>")
	}
	s.m(`<p class="src">`)
	if !here {
		s.about(f.About)
	}
	s.a(s.pages.line(f.Place), f.Place.String()).m(" · ").a(s.checkAt[f.Check], f.Check)
	if l := f.Limit; l != nil {
		text := l.Text
		if text == "" {
			text = l.Place.String()
		}
		s.m(" · limit ").a(s.pages.line(l.Place), text)
		if l.Source != "" {
			s.m(", ").t(l.Source)
		}
		if l.Edition != 0 {
			s.m(", in force from ").t(l.Edition.String())
		}
	}
	if len(f.Related) <= relatedShown {
		for _, r := range f.Related {
			s.m(" · ").t(r.Words).m(" ").a(s.pages.line(r.Place), r.Place.String())
		}
		s.m("</p></li>")
		return
	}
	s.m(`</p><details class="src"><summary>it rests on `).i(len(f.Related)).m(" places</summary><ul>")
	for _, r := range f.Related {
		s.m("<li>").t(r.Words).m(" ").a(s.pages.line(r.Place), r.Place.String()).m("</li>")
	}
	s.m("</ul></details></li>")
}

// about appends links to what a finding concerns.
func (s *sheet) about(a checks.About) {
	one := func(to ref, text string) {
		if text != "" {
			s.a(to, text).m(" · ")
		}
	}
	if a.Position != (logbook.Position{}) {
		one(s.pages.to(a.Position), a.Position.String())
	}
	one(s.pages.holder[a.Holder], a.Holder)
	one(s.pages.nozzle[a.Nozzle], a.Nozzle)
	one(s.pages.instrument[a.Instrument], a.Instrument)
	if a.Round != "" {
		one(s.pages.round[a.Round], "round "+a.Round)
	}
}
