package site

import (
	"fmt"
	"regexp"
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
)

// vesselPage is the first page: what stands out, the engines in plan, the rack, and whether the history is proved.
func (s *sheet) vesselPage() error {
	s.begin(s.vessel, "vessel")
	s.m("<h1>").t(s.vessel).m("</h1>")
	v := &s.Book.Vessel
	s.m(`<p class="lead">State of the book on `).t(s.today.String()).m(". ")
	for i, e := range v.Engines {
		if i > 0 {
			s.m(" ")
		}
		s.t(e.ID.Written)
		if total, ok := s.Book.TotalOn(e.ID.Written, s.today); ok {
			s.m(" ").t(hours(total)).m(" in all;")
		} else {
			s.m(" hours not known;")
		}
	}
	s.m(" ").t(counted(len(s.Book.Overhauls), "one overhaul", "overhauls")).m(".</p>")
	s.proofBlock()
	s.exceptions()
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
		s.quietLine(fmt.Sprintf("Nothing. %s looked at %d overhauls.", upperFirst(checksRun()), len(s.Book.Overhauls)))
		s.m("</section>")
		return
	}
	s.tally()
	stops := s.found.grade[checks.Stop]
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
		s.m("<li>").grade(g[0].Grade).m(" ").a(pageChecks.at(slugOf(name)), plainName(name))
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
		to, name := s.pages.line(f.Place), f.Place.Path
		switch {
		case f.About.Round != "" && s.pages.round[f.About.Round] != "":
			to, name = s.pages.round[f.About.Round], "round "+f.About.Round
		case s.pages.stem[f.About.Record] != "":
			to, name = s.pages.stem[f.About.Record], f.About.Record
		}
		if seen[name] {
			continue
		}
		if seen[name] = true; len(seen) > wheresShown {
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

// engine draws one engine in plan: its cylinders in their order, bank by bank.
func (s *sheet) engine(e logbook.Engine) {
	s.m(`<section><h2>`).t(e.ID.Written)
	if e.Name.Stated() {
		s.m(", ").t(e.Name.Written)
	}
	s.m("</h2>")
	s.m(`<p class="src">`)
	if e.Type.Stated() {
		s.t(e.Type.Written).m(" · ")
	}
	if e.Limits.Stated() {
		s.m("limits ").a(s.limitsPage(e.Limits.Written), e.Limits.Written).m(" · ")
	}
	if e.From.Stated() {
		s.m("counted from ").t(e.From.Written)
	}
	s.m("</p>")
	banks := banksOf(e)
	most := 0
	for _, b := range banks {
		most = max(most, len(b.cylinders))
	}
	class := markup("plan")
	switch {
	case most > 9:
		class = "plan long"
	case most > 6:
		class = "plan middling"
	}
	s.m(`<div class="`, class, `">`)
	for _, b := range banks {
		if b.name != "" {
			s.m(`<p class="bank">bank `).t(b.name).m("</p>")
		}
		s.m("<ol>")
		for _, c := range b.cylinders {
			s.cell(logbook.Position{Engine: e.ID.Written, Cylinder: c})
		}
		s.m("</ol>")
	}
	s.m("</div></section>")
}

// bank is one row of cylinders.
type bank struct {
	name      string
	cylinders []string
}

var (
	bankFirst = regexp.MustCompile(`^([A-Za-z]+)[ -]?([0-9]+)$`)
	bankLast  = regexp.MustCompile(`^([0-9]+)[ -]?([A-Za-z]+)$`)
)

// banksOf tells the banks of a vee engine from the names of its cylinders: A1, B1 or 1L, 1R. An engine in line has one, without a
// name.
func banksOf(e logbook.Engine) []bank {
	line := bank{}
	var banks []bank
	at := map[string]int{}
	vee := true
	for _, c := range e.Cylinders.Each {
		line.cylinders = append(line.cylinders, c.Written)
		name := ""
		if m := bankFirst.FindStringSubmatch(c.Written); m != nil {
			name = m[1]
		} else if m := bankLast.FindStringSubmatch(c.Written); m != nil {
			name = m[2]
		}
		vee = vee && name != ""
		i, ok := at[name]
		if !ok {
			i = len(banks)
			at[name] = i
			banks = append(banks, bank{name: name})
		}
		banks[i].cylinders = append(banks[i].cylinders, c.Written)
	}
	if !vee || len(banks) < 2 {
		return []bank{line}
	}
	return banks
}

// cell is one cylinder of the plan.
func (s *sheet) cell(p logbook.Position) {
	now := s.presentIn(p)
	g := checks.Grade(0)
	if now.stay != nil {
		g = gravest(s.concerns(now.stay))
	}
	s.m(`<li class="`, gradeClasses[g], `"><a class="bore" href="`, markup(s.pages.to(p)), `" aria-label="cylinder `).t(p.Cylinder).m(`">`).t(p.Cylinder).m("</a>")
	if now.stay == nil {
		s.m(`<p class="valve">no valve booked</p></li>`)
		return
	}
	s.m(`<p class="valve">`).a(s.pages.holder[now.stay.Holder], orDash(now.stay.Holder)).m("<br>").a(s.pages.nozzle[now.stay.Nozzle], orDash(now.stay.Nozzle)).m(`</p><p class="run">`)
	if now.runKnown {
		s.m("<b>").t(grouped(int(now.run + 0.5))).m("</b> h")
	} else {
		s.m("hours not known")
	}
	s.m("</p>")
	s.leftLine(now)
	s.m(`<p class="worst">`)
	if g == 0 {
		s.m(`<span class="quiet">–<span class="say-it"> nothing stands out</span></span>`)
	} else {
		s.grade(g)
	}
	s.m("</p></li>")
}

// leftLine draws the hours of the interval as a scale and says what is left.
func (s *sheet) leftLine(now present) {
	left, known := now.left()
	if !known {
		s.m(`<p class="rest">left: not known</p>`)
		return
	}
	share := min(1.15, max(0, now.run/max(now.interval.Hours.Float(), 1)))
	s.m(`<svg class="span" viewBox="0 0 120 10" preserveAspectRatio="none" aria-hidden="true"><path class="hair" d="M0 5h100"/><path class="tick" d="M100 0v10"/><path class="ok" d="M0 5h`).f(share * 100).m(`"/></svg><p class="rest">`)
	if left < 0 {
		s.m("<b>").t(hours(-left)).m(" over</b>")
	} else {
		s.t(hours(left)).m(" left")
	}
	s.m("</p>")
}

// strayPositions are positions that records name and book.md does not.
func (s *sheet) strayPositions() {
	var stray []logbook.Position
	for _, p := range s.pages.positions[len(dedupe(s.Book.Positions())):] {
		stray = append(stray, p)
	}
	if len(stray) == 0 {
		return
	}
	s.m(`<section><h2>Positions that only records name</h2><p>book.md does not know them: `)
	for _, p := range stray {
		s.a(s.pages.to(p), p.String()).m(" ")
	}
	s.m("</p></section>")
}

// rack lists the valves that lie ready, with the age of their test.
func (s *sheet) rack() {
	ready := s.lives.Rack(s.today)
	s.m(`<section><h2>Ready on the rack</h2>`)
	if len(ready) == 0 {
		s.m(`<p>No valve is booked as ready.</p></section>`)
		return
	}
	s.m(`<p class="tally"><b>`).i(len(ready)).m(`</b> ready</p>`)
	s.table("list", "valve", "nozzle", "place", "tested", "age of the test", "left at", "stands out")
	for _, r := range ready {
		s.m(`<tr><th scope="row">`).a(s.pages.holder[r.Holder], r.Holder).m("</th><td>").a(s.pages.nozzle[r.Nozzle], orDash(r.Nozzle)).m("</td><td>").t(orDash(r.Place)).m("</td><td>")
		if r.Overhaul != nil {
			s.a(s.pages.overhaul[r.Overhaul], r.Since.String())
		} else {
			s.t(r.Since.String()).m(" (opening state)")
		}
		s.m(`</td><td class="n">`).i(s.today.Days(r.Since)).m(` d</td><td class="n">`)
		if r.Overhaul != nil {
			s.t(figureText(r.Overhaul.AsLeft.Opening.Median().Leaf)).m("</td><td>")
			s.gravestOf(r.Overhaul)
		} else {
			s.t(s.rackLeft(r.Holder)).m("</td><td>–")
		}
		s.m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

func (s *site) rackLeft(holder string) string {
	for _, r := range s.Book.Vessel.Opening.Rack {
		if r.Holder.Written == holder && r.Left.Stated() {
			return r.Left.String()
		}
	}
	return "–"
}

// recordsShown is how many records the first page lists.
const recordsShown = 12

// lastRecords are the newest overhauls.
func (s *sheet) lastRecords() {
	n := len(s.Book.Overhauls)
	s.m(`<section><h2>Newest overhauls</h2>`)
	if n == 0 {
		s.m("<p>The book holds none yet.</p></section>")
		return
	}
	newest := slices.Clone(s.Book.Overhauls[max(0, n-recordsShown):])
	slices.Reverse(newest)
	s.recordTable(newest)
	s.m("<p>").a(pageOverhauls, "All overhauls").m(" · ").a(pageRounds, "by round").m("</p></section>")
}

// recordTable lists overhauls in the order given.
func (s *sheet) recordTable(list []*logbook.Overhaul) {
	s.table("list", "date", "from", "valve", "to", "stands out", "done by", "who answers for it")
	for _, o := range list {
		s.recordRow(o)
	}
	s.m("</tbody></table></div>")
}

func (s *sheet) recordRow(o *logbook.Overhaul) {
	s.m(`<tr><th scope="row">`).a(s.pages.overhaul[o], o.Day().String()).m("</th><td>")
	if o.Removed.Stated() {
		s.a(s.pages.to(removedFrom(o)), removedFrom(o).String())
	} else {
		s.m("–")
	}
	s.m("</td><td>").a(s.pages.holder[o.Holder.Written], orDash(o.Holder.Written)).m("</td><td>")
	switch {
	case o.Fitted.Stated():
		s.a(s.pages.to(fittedTo(o)), fittedTo(o).String())
	case o.Racked.Stated():
		s.m("rack")
	default:
		s.m("–")
	}
	s.m("</td><td>")
	s.gravestOf(o)
	s.m("</td><td>").t(orDash(o.By.Written)).m("</td><td>")
	st := s.standingOf(o.Path)
	if st.loud {
		s.m(`<span class="loud">`, st.mark).t(st.words).m("</span>")
	} else {
		s.m(st.mark).t(st.words)
	}
	s.m("</td></tr>")
}

// limitsPage is the page of a limits file, by its name.
func (s *site) limitsPage(name string) ref {
	if l := s.Book.Limits[name]; l != nil {
		return s.pages.file[l.Path]
	}
	return ""
}
