package site

import (
	"slices"
	"strconv"

	"needlebook/checks"
	"needlebook/checks/evidence"
	"needlebook/logbook"
)

// sister is what the overhauls and readings of one cylinder show together.
type sister struct {
	at                           logbook.Position
	opened, bad, judged, symptom int
	renewed                      int
	lost, exhaust                []float64
	serviceHours                 float64
	toAnswer                     int
}

// gatherSisters counts what each cylinder showed, so that one can be seen among the others.
func (s *site) gatherSisters() map[logbook.Position]*sister {
	all := map[logbook.Position]*sister{}
	for _, p := range s.pages.positions {
		one := &sister{at: p}
		for _, f := range s.found.position[p] {
			if f.Grade >= checks.Answer {
				one.toAnswer++
			}
		}
		for _, r := range s.runs[p] {
			if r.Dev.Valid {
				one.exhaust = append(one.exhaust, r.Dev.Value)
			}
		}
		all[p] = one
	}
	e := s.evidence()
	for _, o := range e.Openings {
		one := all[o.Stay.Position]
		if one == nil {
			continue
		}
		one.opened++
		one.serviceHours += o.Hours
		if o.State != evidence.Unknown {
			one.judged++
			if o.State == evidence.Bad {
				one.bad++
			}
		}
		if o.Why == evidence.ForSymptom {
			one.symptom++
		}
		if o.Overhaul.Decided.Nozzle.Is("renew", "condemn") {
			one.renewed++
		}
	}
	for _, sh := range e.Causes.Shifts {
		if one := all[removedFrom(sh.Overhaul)]; one != nil && sh.Left.Class == logbook.Used && sh.LeftWrong == nil && sh.FoundWrong == nil {
			one.lost = append(one.lost, -sh.Bar)
		}
	}
	return all
}

// besideSisters sets the cylinder beside the others of its engine, and beside those of the same number on the other engines.
func (s *sheet) besideSisters(p logbook.Position) {
	rows := make([]*sister, 0, 12)
	for _, q := range s.pages.positions {
		if q.Engine == p.Engine || q.Cylinder == p.Cylinder {
			rows = append(rows, s.sisters()[q])
		}
	}
	if len(rows) < 2 {
		return
	}
	s.m(`<section id="sisters"><h2>Beside its sisters</h2><p class="src">The other cylinders of `).t(p.Engine).m(`, and those of the same number elsewhere, over the whole book. A few valves prove little: see `).a(pageCauses, "what goes together").m(`.</p>`)
	s.table("list", "cylinder", "opened", "mean service", "bad as found", "pulled for a symptom", "nozzles renewed", "setting lost, median", "exhaust deviation, middle half", "to answer")
	for _, one := range rows {
		s.m(`<tr><th scope="row">`)
		if one.at == p {
			s.m(`<b class="here">`).t(p.String()).m(" (this one)</b>")
		} else {
			s.a(s.pages.to(one.at), one.at.String())
		}
		s.m(`</th><td class="n">`).i(one.opened).m(`</td><td class="n">`)
		if one.opened > 0 {
			s.t(hours(one.serviceHours / float64(one.opened)))
		} else {
			s.m("–")
		}
		s.m(`</td><td class="n">`).i(one.bad).m(" of ").i(one.judged).m(`</td><td class="n">`).i(one.symptom).m(`</td><td class="n">`).i(one.renewed).m(`</td><td class="n">`)
		if n := len(one.lost); n > 0 {
			s.t(fixed(quantile(one.lost, 0.5), 0)).m(` bar <span class="more">of `).i(n).m("</span>")
		} else {
			s.m("–")
		}
		s.m(`</td><td class="n">`)
		if n := len(one.exhaust); n > 0 {
			s.t(signedK(quantile(one.exhaust, 0.25)) + " to " + signedK(quantile(one.exhaust, 0.75)) + " K").m(` <span class="more">of `).i(n).m("</span>")
		} else {
			s.m("–")
		}
		s.m(`</td><td class="n">`).i(one.toAnswer).m("</td></tr>")
	}
	s.m("</tbody></table></div></section>")
}

func signedK(v float64) string {
	if text := fixed(v, 0); v > 0.5 {
		return "+" + text
	} else {
		return text
	}
}

// fixed is a number with so many decimals, without a minus at nil.
func fixed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if text == "-0" {
		return "0"
	}
	return text
}

// quantile is the value below which a share of some values lies, between two of them by the straight line; the values are at least one.
// Source: Hyndman & Fan 1996, The American Statistician 50, 361, definition 7.
func quantile(values []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	at := share * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
