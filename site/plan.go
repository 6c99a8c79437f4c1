package site

import (
	"regexp"

	"needlebook/checks"
	"needlebook/logbook"
)

// engine draws one engine in plan: its cylinders in their order, bank by bank.
func (s *sheet) engine(e logbook.Engine) {
	s.m(`<section><h2>`).t(e.Called())
	if e.Name.Stated() {
		s.m(", ").t(e.Name.Written)
	}
	s.m("</h2>")
	s.m(`<p class="src">`)
	between := markup("")
	if e.Type.Stated() {
		s.t(e.Type.Written)
		between = " · "
	}
	if e.Limits.Stated() {
		s.m(between, "limits ").a(s.limitsPage(e.Limits.Written), e.Limits.Written)
		between = " · "
	}
	if e.From.Stated() {
		s.m(between, "counted from ").t(e.From.Written)
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
	for _, d := range s.deferralsOn(now.stay) {
		s.m(`<p class="rest">deferral `).a(s.pages.file[d.Path], d.ID.Written).m("</p>")
	}
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
