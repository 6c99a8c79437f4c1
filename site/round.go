package site

import (
	"slices"
	"strconv"

	"needlebook/checks/causes"
	"needlebook/checks/judging"
	"needlebook/logbook"
)

// roundPage sets the valves of one round side by side, and against what this ship's valves showed before.
func (s *sheet) roundPage(n int) error {
	r := s.rounds[n]
	s.begin("round "+r.Name, "round", step{pageRounds, "rounds"}, step{"", r.Name})
	s.m("<h1>Round ").t(r.Name).m("</h1>")
	s.m(`<p class="lead">`).t(upperFirst(counted(len(r.Overhauls), "one valve", "valves"))).m(" of ").t(r.Engine).m(", first removal on ").t(r.First.String()).m(".")
	if n > 0 || n+1 < len(s.rounds) {
		s.m(" ")
		if p := s.sameEngine(n, -1); p >= 0 {
			s.m("Before it: ").a(s.pages.roundAt[p], s.rounds[p].Name).m(". ")
		}
		if p := s.sameEngine(n, 1); p >= 0 {
			s.m("After it: ").a(s.pages.roundAt[p], s.rounds[p].Name).m(".")
		}
	}
	s.m("</p>")
	s.partFindings(s.findingsOfRound(r))
	s.againstNormal(r)
	s.sideBySide(r)
	return s.end(s.pages.roundAt[n], s.footShort)
}

// sameEngine is the next round of the same engine in one direction; -1 for none.
func (s *site) sameEngine(n, step int) int {
	for i := n + step; i >= 0 && i < len(s.rounds); i += step {
		if s.rounds[i].Engine == s.rounds[n].Engine {
			return i
		}
	}
	return -1
}

// againstNormal draws what each valve of the round lost or gained since it was set, on the band that this ship's earlier valves of a
// like age showed.
func (s *sheet) againstNormal(r logbook.Round) {
	s.m("<section><h2>Against this ship's normal</h2><p class=\"src\">Opening pressure as found less as left before, valve by valve. The band is the middle of this ship's earlier valves of the same setting and a like age, with twice their spread.</p>")
	drawn := false
	for _, a := range s.causes().Against {
		if a.Round.Name == r.Name && a.Round.Engine == r.Engine {
			s.shiftDrawing(r, a)
			drawn = true
		}
	}
	if !drawn {
		s.quietLine("Too few valves that compare, here or before: there is no normal to hold them against.")
	}
	s.m("</section>")
}

// shiftDrawing draws the shifts of one setting class.
func (s *sheet) shiftDrawing(r logbook.Round, a causes.RoundShift) {
	values := []float64{0, a.Normal.Median - 2.4*a.Normal.Spread, a.Normal.Median + 2.4*a.Normal.Spread}
	for _, sh := range a.Shifts {
		values = append(values, sh.Bar)
	}
	y := newAxis(values, plotBottom, plotTop, false)
	s.drawn++
	id := markup("d" + strconv.Itoa(s.drawn))
	s.m(`<figure><figcaption>`).t(a.Class.String()).m(` setting</figcaption><svg class="plot" viewBox="0 0 420 236"><g role="img" aria-labelledby="`, id, `t `, id, `d"><title id="`, id, `t">as found less as left, `).t(a.Class.String()).m(` setting</title><desc id="`, id, `d">`)
	s.i(len(a.Shifts)).m(" valves; the numbers stand in the table below</desc>")
	top, bottom := y.at(a.Normal.Median+2*a.Normal.Spread), y.at(a.Normal.Median-2*a.Normal.Spread)
	s.m(`<rect class="normal" x="46" width="364" y="`).f(top).m(`" height="`).f(bottom - top).m(`"/><path class="hair" d="M46 `).f(y.at(a.Normal.Median)).m(`H410"/><path class="base" d="M46 `).f(y.at(0)).m(`H410"/>`)
	for _, v := range y.ticks(5) {
		s.m(`<text class="y" x="42" y="`).f(y.at(v) + 4).m(`">`).t(tickText(v, y.ticks(5))).m("</text>")
	}
	s.m(`<text x="2" y="12">bar</text>`)
	room := 364 / float64(len(r.Overhauls))
	names := &labels{sheet: box{0, 0, plotWidth, plotHeight}}
	for i, o := range r.Overhauls {
		name, at := clippedTo(o.Removed.Cylinder.Written, 6), 46+room*(float64(i)+0.5)
		half := textWidth(name, 12.5) / 2
		if names.take(box{at - half, 209, at + half, 221}) == 0 {
			s.m(`<text class="x" x="`).f(at).m(`" y="219">`).t(name).m("</text>")
		}
	}
	s.m("</g>")
	for _, sh := range a.Shifts {
		i := slices.Index(r.Overhauls, sh.Overhaul)
		s.dot(dot{found: true, to: s.pages.overhaul[sh.Overhaul], words: "cylinder " + sh.Overhaul.Removed.Cylinder.Written + ", " + sh.Overhaul.Holder.Written + ": " + signedBar(sh.Bar)}, 46+room*(float64(i)+0.5), y.at(sh.Bar), nil)
	}
	s.m(`</svg><details><summary>the numbers</summary>`)
	s.table("list", "cylinder", "valve", "left at", "as found", "difference")
	for _, sh := range a.Shifts {
		s.m("<tr><td>").t(sh.Overhaul.Removed.Cylinder.Written).m("</td><td>").t(sh.Overhaul.Holder.Written).m(`</td><td class="n">`).t(sh.Left.Opening.String()).m(`</td><td class="n">`).a(s.pages.overhaul[sh.Overhaul], sh.Found.String()).m(`</td><td class="n">`).t(signedBar(sh.Bar)).m("</td></tr>")
	}
	s.m("</tbody></table></div></details><p>Mean ").t(signedBar(a.Mean)).m("; normal ").t(signedBar(a.Normal.Median)).m(", spread ").t(oneDecimal(a.Normal.Spread)).m(" bar, from ").i(a.Normal.N).m(" earlier valves.</p></figure>")
}

func oneDecimal(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

func signedBar(v float64) string {
	text := oneDecimal(v)
	if v > 0 {
		text = "+" + text
	}
	return text + " bar"
}

// besideOneAnother is how many valves stand side by side on an A4 sheet; those of a larger round go on in a further table.
const besideOneAnother = 8

// sideBySide sets the valves beside one another, a column each.
func (s *sheet) sideBySide(r logbook.Round) {
	s.m("<section><h2>Side by side</h2>")
	for some := range slices.Chunk(r.Overhauls, besideOneAnother) {
		s.beside(some)
	}
	s.missing(r)
	s.m("</section>")
}

func (s *sheet) beside(valves []*logbook.Overhaul) {
	s.m(`<div class="wide" tabindex="0"><table class="side"><thead><tr><th scope="col">cylinder</th>`)
	for _, o := range valves {
		s.m(`<th scope="col">`).a(s.pages.overhaul[o], orDash(o.Removed.Cylinder.Written)).m("</th>")
	}
	s.m("</tr></thead><tbody>")
	row := func(name string, cell func(o *logbook.Overhaul)) {
		s.m(`<tr><th scope="row">`).t(name).m("</th>")
		for _, o := range valves {
			s.m("<td>")
			cell(o)
			s.m("</td>")
		}
		s.m("</tr>")
	}
	row("holder", func(o *logbook.Overhaul) { s.a(s.pages.holder[o.Holder.Written], orDash(o.Holder.Written)) })
	row("nozzle", func(o *logbook.Overhaul) {
		s.a(s.pages.nozzle[o.Nozzle.Found.Written], orDash(o.Nozzle.Found.Written))
		if o.Nozzle.Left.Stated() && o.Nozzle.Left.Written != o.Nozzle.Found.Written {
			s.m(" → ").a(s.pages.nozzle[o.Nozzle.Left.Written], o.Nozzle.Left.Written)
		}
	})
	row("ran", func(o *logbook.Overhaul) {
		if st := s.lives.ClosedBy(o); st != nil && st.HoursKnown {
			s.t(hours(st.Hours))
		} else {
			s.m("not known")
		}
	})
	for _, q := range []struct{ name, key string }{
		{"opening as found", "as_found.opening_pressure"}, {"seat as found", "as_found.seat.state"}, {"leak-down as found", "as_found.leak_down.time"},
		{"spray as found", "as_found.spray"}, {"stroke", "measured.stroke"}, {"holder wear", "measured.holder_wear"}, {"effective stroke", "effective_stroke"},
	} {
		row(q.name, func(o *logbook.Overhaul) { s.verdictCell(o, q.key) })
	}
	row("exhaust before", func(o *logbook.Overhaul) { s.t(orDash(o.AsFound.Signs.Exhaust.Written)) })
	row("decided", func(o *logbook.Overhaul) { s.t(decision(o)) })
	for _, q := range []struct{ name, key string }{
		{"opening as left", "as_left.opening_pressure"}, {"seat as left", "as_left.seat.state"}, {"leak-down as left", "as_left.leak_down.time"}, {"spray as left", "as_left.spray"},
	} {
		row(q.name, func(o *logbook.Overhaul) { s.verdictCell(o, q.key) })
	}
	row("fitted to", func(o *logbook.Overhaul) {
		if o.Fitted.Stated() {
			s.a(s.pages.to(fittedTo(o)), fittedTo(o).String())
		} else {
			s.m("–")
		}
	})
	row("done by", func(o *logbook.Overhaul) { s.t(orDash(o.By.Written)) })
	row("stands out", func(o *logbook.Overhaul) { s.gravestOf(o) })
	s.m("</tbody></table></div>")
}

// verdictCell is a value with the mark of its verdict; the words where there is no value.
func (s *sheet) verdictCell(o *logbook.Overhaul, key string) {
	v := s.verdict(o, key)
	if v == nil {
		s.m("–")
		return
	}
	text := v.Written
	if text == "" && v.Value.Valid() {
		text = v.Value.String()
	}
	if text == "" {
		s.m("–")
		return
	}
	if m := resultMarks[v.Result]; v.Result.Out() || v.Result == judging.WithinDoubt {
		s.m(`<span class="result`, resultClasses[v.Result], `">`, m)
		s.a(s.pages.overhaul[o].at(keyID(key)), text).m(`<span class="say-it"> `).t(v.Result.String()).m("</span></span>")
		return
	}
	s.a(s.pages.overhaul[o].at(keyID(key)), text)
}

// missing names the cylinders of the engine that the round left out: a gap must be seen.
func (s *sheet) missing(r logbook.Round) {
	e := s.Book.Engine(r.Engine)
	if e == nil || len(r.Overhauls) < 2 {
		return
	}
	done := map[string]bool{}
	for _, o := range r.Overhauls {
		done[o.Removed.Cylinder.Written] = true
	}
	var left []string
	for _, c := range e.Cylinders.Each {
		if !done[c.Written] {
			left = append(left, c.Written)
		}
	}
	if len(left) == 0 {
		return
	}
	s.m("<p>Not in this round: cylinder ")
	for i, c := range left {
		if i > 0 {
			s.m(", ")
		}
		s.a(s.pages.to(logbook.Position{Engine: r.Engine, Cylinder: c}), c)
	}
	s.m(".</p>")
}

// roundsPage lists the rounds, newest first, each a row with its shifts on the ship's normal.
func (s *sheet) roundsPage() error {
	s.begin("rounds", "list", step{"", "rounds"})
	s.m(`<h1>Rounds</h1><p class="lead">The valves of one engine pulled together. What is wrong with a gauge, a fuel or a habit shows in a round before it shows in a record.</p>`)
	if len(s.rounds) == 0 {
		s.quietLine("The book holds no removal yet.")
		return s.end(pageRounds, s.footShort)
	}
	s.table("list", "round", "valves", "as found less as left", "this ship's normal", "nozzles renewed", "stands out")
	for i := range slices.Backward(s.rounds) {
		s.roundRow(i)
	}
	s.m("</tbody></table></div>")
	return s.end(pageRounds, s.footShort)
}

func (s *sheet) roundRow(i int) {
	r := s.rounds[i]
	s.m(`<tr><th scope="row">`).a(s.pages.roundAt[i], r.Name).m(`</th><td class="n">`).i(len(r.Overhauls)).m("</td><td>")
	var normal []causes.RoundShift
	for _, a := range s.causes().Against {
		if a.Round.Name == r.Name && a.Round.Engine == r.Engine {
			normal = append(normal, a)
			s.t(signedBar(a.Mean) + " (" + strconv.Itoa(len(a.Shifts)) + " " + a.Class.String() + ") ")
		}
	}
	if len(normal) == 0 {
		s.m(`<span class="quiet">too few that compare</span>`)
	}
	s.m("</td><td>")
	for _, a := range normal {
		s.t(signedBar(a.Normal.Median) + " ± " + oneDecimal(2*a.Normal.Spread) + " ")
	}
	s.m(`</td><td class="n">`)
	renewed := 0
	for _, o := range r.Overhauls {
		if o.Decided.Nozzle.Is("renew", "condemn") {
			renewed++
		}
	}
	s.i(renewed).m("</td><td>")
	if g := gravest(s.findingsOfRound(r)); g != 0 {
		s.grade(g)
	} else {
		s.m(`<span class="quiet">–<span class="say-it"> nothing</span></span>`)
	}
	s.m("</td></tr>")
}
