package site

import (
	"strconv"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// source is a limits edition that verdicts of a page rest on, numbered from 1 in the order they are met.
type source struct {
	text    string
	edition logbook.Day
}

// verdictTable writes every verdict of a record in the order of the bench: value as written, limit, drawn scale, verdict with its
// working, where the limit comes from, and the commit that set the value.
func (s *sheet) verdictTable(o *logbook.Overhaul) {
	list := s.judged.Worked(o)
	if len(list) == 0 {
		return
	}
	s.m(`<section><h2>Verdicts</h2>`)
	s.table("verdicts", "quantity", "value", "limit", "scale", "verdict", "from", "set by")
	var sources []source
	for i := range list {
		sources = s.verdictRow(o, &list[i], sources)
	}
	s.m("</tbody></table></div>")
	if len(sources) > 0 {
		s.m(`<ol class="sources">`)
		for _, src := range sources {
			s.m("<li>").t(src.text)
			if src.edition != 0 {
				s.m(", in force from ").t(src.edition.String())
			}
			s.m("</li>")
		}
		s.m("</ol>")
	}
	s.m("</section>")
}

func (s *sheet) verdictRow(o *logbook.Overhaul, v *judging.Verdict, sources []source) []source {
	s.m(`<tr id="`, markup(keyID(v.Key)), `"><th scope="row">`).t(v.Name).m(`</th><td class="n">`)
	switch {
	case v.Written != "":
		s.a(here(v.Place), v.Written)
	case v.Value.Valid():
		s.a(here(v.Place), v.Value.String())
	default:
		s.m("–")
	}
	s.m(`</td><td class="n">`)
	if v.LimitText == "" {
		s.m("–")
	} else {
		s.a(s.pages.line(v.LimitPlace), v.LimitText)
	}
	s.m(`</td><td>`)
	s.ruler(v)
	s.m("</td><td>")
	s.working(o, v)
	s.m(`</td><td>`)
	if v.Source != "" {
		n := 0
		for n < len(sources) && sources[n] != (source{v.Source, v.Edition}) {
			n++
		}
		if n == len(sources) {
			sources = append(sources, source{v.Source, v.Edition})
		}
		s.a(s.pages.line(v.LimitPlace), strconv.Itoa(n+1))
	}
	s.m("</td><td>")
	if v.Written != "" || v.Value.Valid() {
		s.setter(o, s.writtenKey(v))
	} else {
		s.m("–")
	}
	s.m("</td></tr>")
	return sources
}

// setter appends the commit that gave a value its text, and who signed it.
func (s *sheet) setter(o *logbook.Overhaul, key string) {
	c := s.setBy(o.Path, key)
	switch {
	case c == nil && s.trail.UnderGit:
		s.m(`<span class="loud">not committed</span>`)
	case c != nil:
		s.commit(c)
		switch {
		case !c.State.Speaks():
			s.m(` <span class="loud">`).t(string(c.State)).m("</span>")
		case c.AdoptedBy != "":
			s.m(` <span class="by">adopted</span>`)
		case c.Hand != "":
			s.m(` <span class="by">`).t(c.Hand).m("</span>")
		}
	}
}

// here is a line of the record's own text on the same page.
func here(p logbook.Place) ref {
	if p.Line == 0 {
		return ""
	}
	return ref("#" + lineID(p.Line))
}

// writtenKey is the key under which the judged value stands in the record. A worked-out value rests on what it was worked out from.
func (s *site) writtenKey(v *judging.Verdict) string {
	switch v.Key {
	case "effective_stroke":
		return "measured"
	case "nozzle_hours":
		return "nozzle.found"
	case "as_found.opening_pressure/look":
		return "as_found.opening_pressure"
	}
	return v.Key
}

// working is the verdict, and behind it how it came about: closed, for who wants to look.
func (s *sheet) working(o *logbook.Overhaul, v *judging.Verdict) {
	wrong := false
	if i := s.Book.Instruments[v.Instrument]; i != nil {
		_, wrong = judging.WrongOn(i, dayOf(o, v.Key))
	}
	if len(v.Working) == 0 && v.Why == "" && v.Instrument == "" && !v.Margin.Valid() {
		s.result(v)
		return
	}
	s.m("<details><summary>").result(v).m("</summary><ul>")
	for _, line := range v.Working {
		s.m("<li>").t(line).m("</li>")
	}
	if v.Margin.Valid() {
		s.m("<li>margin ").t(v.Margin.String()).m("</li>")
	}
	if v.Safety {
		s.m("<li>a safety limit: doubt counts against the part</li>")
	}
	if v.Why != "" {
		s.m("<li>").t(v.Why).m("</li>")
	}
	if v.Instrument != "" {
		s.m("<li>read with ").a(s.pages.instrument[v.Instrument], v.Instrument)
		if wrong {
			s.m(", ").a(s.pages.instrument[v.Instrument].at("found-wrong"), "found wrong in that time")
		}
		s.m("</li>")
	}
	for _, f := range s.found.record[o] {
		if f.Place == v.Place && v.Place.Line > 0 {
			s.m("<li>").grade(f.Grade).m(" ").a(s.checkAt[f.Check], f.Check).m("</li>")
		}
	}
	s.m("</ul></details>")
}
