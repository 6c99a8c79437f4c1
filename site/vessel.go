package site

import (
	"fmt"
	"slices"

	"needlebook/checks"
)

// vesselPage is the first page: what stands out, the engines in plan, the rack, and whether the history is proved.
func (s *sheet) vesselPage() error {
	s.begin(s.vessel, "vessel")
	s.m("<h1>").t(s.vessel).m("</h1>")
	v := &s.Book.Vessel
	s.m(`<p class="lead">`).t(upperFirst(s.stateDay())).m(". ")
	for i, e := range v.Engines {
		if i > 0 {
			s.m(" ")
		}
		s.t(e.Called())
		if total, ok := s.Book.TotalOn(e.ID.Written, s.today); ok {
			s.m(" ").t(hours(total)).m(" in all;")
		} else {
			s.m(" hours not known;")
		}
	}
	if len(v.Engines) == 0 {
		s.m("No engine is named;")
	}
	s.m(" ").t(counted(len(s.Book.Overhauls), "one overhaul", "overhauls")).m(".</p>")
	s.proofBlock()
	s.m(`<div class="look">`)
	s.exceptions()
	s.m("<div>")
	s.goesTogether()
	s.dueNext()
	s.changedLately()
	s.m("</div></div>")
	for _, e := range v.Engines {
		s.engine(e)
	}
	if len(v.Engines) == 0 {
		s.m(`<section><p class="loud">book.md names no engine: there is nothing to draw.</p></section>`)
	}
	s.strayPositions()
	s.rack()
	s.lastRecords()
	return s.end(pageVessel, s.footShort)
}

// stateDay says from which day the pages look at the book.
func (s *site) stateDay() string {
	if s.today == 0 {
		return "no counter reading in the book yet, so it has no day"
	}
	return "state of the book on " + s.today.String()
}

// proofBlock says whether the history is proved: quietly when it is, loudly when it is not.
func (s *sheet) proofBlock() {
	st := standing{strokeOne, s.proofLine(), false}
	if !s.trail.Proved {
		st.mark, st.loud = strokeBroken, true
	}
	class := markup("standing")
	if st.loud {
		class = "standing loud"
	}
	s.m(`<p class="`, class, `">`, st.mark).t(st.words)
	if c := s.trail.At(s.trail.First); c != nil {
		s.m(" (").commit(c).m(")")
	}
	s.m(". ").a(pageTrace, "The trace").m("</p>")
	if n := len(s.trail.WorkTree); n > 0 {
		s.m(`<p class="standing loud">`, strokeBroken).t(counted(n, "One file of the folder is", "files of the folder are")).m(" not as committed: ").a(pageTrace.at("work-tree"), "which").m("</p>")
	}
}

// linesInFull is how many findings of grade stop the first page shows in full.
const linesInFull = 8

// exceptions come first: what stops in full, what needs an answer by the check, the rest as a number.
func (s *sheet) exceptions() {
	s.m(`<section><h2>What stands out</h2>`)
	if len(s.Report.Findings) == 0 {
		if len(s.Book.Overhauls) == 0 {
			s.m("<p>Nothing to look at yet: the book holds no overhaul. ").t(upperFirst(checksRun())).m(" have nothing to say of its other files.</p>")
		} else {
			s.quietLine(fmt.Sprintf("Nothing. %s looked at %s.", upperFirst(checksRun()), counted(len(s.Book.Overhauls), "one overhaul", "overhauls")))
		}
		s.m("</section>")
		return
	}
	s.tally()
	stops := slices.Clone(s.found.grade[checks.Stop])
	slices.SortStableFunc(stops, func(a, b *checks.Finding) int { return int(s.since[b]) - int(s.since[a]) }) // the newest first
	if len(stops) > 0 {
		s.findingList(stops[:min(len(stops), linesInFull)], false)
		if len(stops) > linesInFull {
			s.m("<p>").a(pageFindings.at("stop"), fmt.Sprintf("and %d more of grade stop", len(stops)-linesInFull)).m("</p>")
		}
	}
	s.byCheck(s.found.grade[checks.Answer])
	s.m("</section>")
}

// byCheck lists findings check by check, in the order of the manual, with the records they stand on.
func (s *sheet) byCheck(list []*checks.Finding) {
	if len(list) == 0 {
		return
	}
	groups := map[string][]*checks.Finding{}
	var order []string
	for _, f := range list {
		if groups[f.Check] == nil {
			order = append(order, f.Check)
		}
		groups[f.Check] = append(groups[f.Check], f)
	}
	s.m(`<ul class="groups">`)
	for _, name := range order {
		g := groups[name]
		s.m("<li>").grade(g[0].Grade).m(" ").a(s.checkAt[name], plainName(name))
		if len(g) == 1 {
			s.m(": ").t(g[0].Message).m(" ")
		} else {
			s.m(": ").i(len(g)).m(" times ")
		}
		s.wheres(g)
		s.m("</li>")
	}
	s.m("</ul>")
}

// wheresShown is how many places of one check the first page links.
const wheresShown = 6

// wheres links what findings stand on by the shortest name, the newest first.
func (s *sheet) wheres(list []*checks.Finding) {
	seen := map[string]bool{}
	for _, f := range slices.Backward(list) {
		to, name, what := s.pages.line(f.Place), f.Place.Path, f.Place.Path
		o := s.recordOf(f)
		switch {
		case f.About.Round != "" && s.pages.round[f.About.Round] != "":
			to, name = s.pages.round[f.About.Round], "round "+f.About.Round
			what = name
		case o != nil:
			to, name, what = s.pages.overhaul[o], o.Stem, o.Path
		}
		if seen[what] {
			continue
		}
		if seen[what] = true; len(seen) > wheresShown {
			s.a(s.findingAt[groupID(f)], "all")
			return
		}
		s.m(`<span class="where">`).a(to, name).m("</span> ")
	}
}

// plainName is a check's name as words.
func plainName(name string) string {
	words := []byte(name)
	for i, c := range words {
		if c == '-' {
			words[i] = ' '
		}
	}
	return string(words)
}

// strayPositions are positions that records name and book.md does not.
func (s *sheet) strayPositions() {
	stray := s.pages.positions[len(dedupe(s.Book.Positions())):]
	if len(stray) == 0 {
		return
	}
	s.m(`<section><h2>Positions that only records name</h2><p>book.md does not know them: `)
	for _, p := range stray {
		s.a(s.pages.to(p), p.String()).m(" ")
	}
	s.m("</p></section>")
}
