package planning

import (
	"fmt"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// Both extracts say so at their head and foot.
const supports = "this extract supports the approved books and never replaces them: the engine's technical file, the " +
	"record book of engine parameters, the engine log and class records"

// NOx lists every change of nozzle in time order, engine by engine, with its identification against the permitted list
// of the day, for copying into the record book of engine parameters. from and to bound the days; 0 leaves an end open.
func (p *Plan) NOx(from, to logbook.Day) paper.Paper {
	out := paper.Paper{Name: "nox", Title: "Nozzle changes of " + p.Book.Vessel.Called() + span(from, to, p.today),
		Lead: []string{supports}}
	for _, e := range p.Book.Vessel.Engines {
		t := paper.Table{Name: strings.ToLower(e.ID.Written), Title: strings.TrimSpace(e.ID.Written+" "+e.Name.Written) +
			", type " + dash(e.Type.Written),
			Columns: []string{"day", "engine h", "where", "nozzle out", "nozzle in", "marking in", "permitted that day",
				"in the list", "record", "by"}, Empty: "no nozzle was changed"}
		for _, s := range p.lives.ServicePeriods {
			if s.Engine != e.ID.Written || s.From < from || to != 0 && s.From > to || s.From > p.today {
				continue
			}
			before := p.before(s)
			if before == s.Nozzle || before == "" && s.Opened == nil {
				continue
			}
			mark, how := p.markingOf(s)
			rec, by := paper.Text("opening state"), "–"
			if s.Opened != nil {
				rec, by = paper.Record(s.Opened.Stem), dash(s.Opened.By.Written)
				if s.Opened.FittedBy.Stated() {
					by = s.Opened.FittedBy.Written
				}
			}
			listed, in := p.permitted(s.Engine, s.From)
			verdict := "no list then"
			if listed != "" {
				verdict = "not known: no marking on record"
				if mark != "" {
					verdict = "NO"
					for _, m := range in {
						if m == mark {
							verdict = "yes"
						}
					}
				}
			}
			total := "not known"
			if s.HoursKnown {
				total = fmt.Sprintf("%.0f", s.FromTotal)
			}
			t.Add(paper.Text(s.From.String()), paper.Text(total), paper.At(s.Position), paper.Nozzle(dash(before)),
				paper.Nozzle(s.Nozzle), paper.Text(dash(mark+how)), paper.Text(dash(listed)),
				paper.Cell{Text: verdict, Loud: verdict == "NO"}, rec, paper.Text(by))
		}
		out.Tables = append(out.Tables, t)
	}
	out.Notes = []string{supports, "copied by: ______________ compared with the technical file by: ______________"}
	return out
}

func span(from, to, today logbook.Day) string {
	if to == 0 {
		to = today
	}
	if from == 0 {
		return " up to " + dayOf(to)
	}
	return " from " + from.String() + " to " + dayOf(to)
}

// before is the nozzle that sat in the position before a stay.
func (p *Plan) before(s *logbook.ServicePeriod) string {
	last := ""
	for _, x := range p.lives.InPosition(s.Position) {
		if x == s {
			return last
		}
		last = x.Nozzle
	}
	return last
}

// markingOf is the marking of the nozzle that a stay began with: as it was written then, else as the nozzle bore it
// when it came out. how says the latter.
func (p *Plan) markingOf(s *logbook.ServicePeriod) (mark, how string) {
	if mark = p.markingIn(s); mark != "" {
		return mark, ""
	}
	if o := s.Closed; o != nil && o.Day() <= p.today && o.Nozzle.Found.Written == s.Nozzle {
		mark = o.Nozzle.MarkingFound.Written
		if mark == "" && o.Nozzle.Left.Written == s.Nozzle {
			mark = o.Nozzle.Marking.Written
		}
	}
	if mark == "" {
		return "", ""
	}
	return mark, ", as read when it came out"
}

func (p *Plan) markingIn(s *logbook.ServicePeriod) string {
	if s.Opened != nil && s.Opened.Nozzle.Left.Written == s.Nozzle && s.Opened.Nozzle.Marking.Stated() {
		return s.Opened.Nozzle.Marking.Written
	}
	if part := p.Book.Part("nozzle", s.Nozzle); part != nil && part.Marking.Stated() {
		return part.Marking.Written
	}
	for _, f := range p.Book.Vessel.Opening.Fitted {
		if f.Nozzle.Written == s.Nozzle {
			return f.Marking.Written
		}
	}
	for _, f := range p.Book.Vessel.Opening.Rack {
		if f.Nozzle.Written == s.Nozzle {
			return f.Marking.Written
		}
	}
	return ""
}

func (p *Plan) permitted(engine string, day logbook.Day) (text string, all []string) {
	if l := p.Book.LimitsOf(engine); l != nil {
		in, _ := l.On(day)
		for _, m := range in.Markings.Each {
			all = append(all, m.Written)
		}
	}
	return strings.Join(all, ", "), all
}

// Survey lists, cylinder by cylinder, the overhauls of a period with the persons behind them, the limits in force and
// what is not complete. An engine narrows it; empty means all.
func (p *Plan) Survey(engine string, from, to logbook.Day) paper.Paper {
	if to == 0 {
		to = p.today
	}
	out := paper.Paper{Name: "survey", Title: "Overhauls of " + p.Book.Vessel.Called() + span(from, to, p.today) +
		", for the survey", Lead: []string{supports, p.Trail.Headline}}
	t := paper.Table{Name: "overhauls", Title: "by cylinder", Columns: []string{"where", "record", "removed", "engine h",
		"ran h", "done by", "rank", "seen by", "nozzle", "opening as found", "as left", "limits", "leaks looked for",
		"shields", "not complete"}, Empty: "none in this time"}
	for _, pos := range p.Book.Positions() {
		if engine != "" && pos.Engine != engine {
			continue
		}
		n := 0
		for _, s := range p.lives.InPosition(pos) {
			if o := s.Closed; o != nil && s.To >= from && s.To <= to {
				p.surveyRow(&t, pos, s, o)
				n++
			}
		}
		if n == 0 {
			row := []paper.Cell{paper.At(pos), paper.Text("none in this time")}
			for len(row) < len(t.Columns) {
				row = append(row, paper.Text("–"))
			}
			t.Add(row...)
		}
	}
	out.Tables = []paper.Table{t, p.corrections(engine, from, to), p.dueLines(), p.tools()}
	out.Notes = []string{"limits: the revision named is the one in force on the day of the work", supports}
	return out
}

// corrections lists what was corrected in the records of a period: nothing is rubbed out, so the old figure stands in
// the record's own words and, where there is a history, in an earlier commit.
func (p *Plan) corrections(engine string, from, to logbook.Day) paper.Table {
	t := paper.Table{Name: "corrections", Title: "corrected entries, with their former values",
		Columns: []string{"record", "what", "was", "is", "why", "by", "day", "the old text"},
		Empty:   "none by the records of this time"}
	for _, o := range p.Book.Overhauls {
		if o.Day() < from || o.Day() > to || engine != "" && o.Removed.Engine.Written != engine &&
			o.Fitted.Engine.Written != engine {
			continue
		}
		for _, c := range o.Corrections {
			is, old := "–", "not known: "+p.Trail.Lacking
			if p.Trail.UnderGit {
				old = "not in the history: corrected before it was committed"
				if tr := p.Trail.Records[o.Path]; tr != nil {
					set, ok := tr.Values[c.What.Written]
					if !ok {
						set, ok = tr.Values[c.What.Written+".value"] // a measurement with its instrument
					}
					if ok {
						is = dash(set.Written)
						for _, b := range set.Before {
							if b.Written != "" {
								old = fmt.Sprintf("%s, in commit %.10s", b.Written, p.Trail.At(b.Commit).ID)
							}
						}
					}
				}
			}
			t.Add(paper.Record(o.Stem), paper.Text(dash(c.What.Written)), paper.Text(dash(c.Was.Written)), paper.Text(is),
				paper.Text(dash(c.Why.Written)), paper.Text(dash(c.By.Written)), paper.Text(dash(c.Date.Written)), paper.Text(old))
		}
	}
	return t
}

func (p *Plan) surveyRow(t *paper.Table, pos logbook.Position, s *logbook.ServicePeriod, o *logbook.Overhaul) {
	var gaps []string
	if o.Reconstructed.Stated() {
		gaps = append(gaps, "reconstructed "+o.Reconstructed.Date.Written)
	}
	if !o.AsFound.Stated() {
		gaps = append(gaps, "no test as found")
	}
	if !o.AsLeft.Stated() && !o.Landed.Stated() && !o.Decided.Holder.Is("condemn") {
		gaps = append(gaps, "no test as left")
	}
	if w := p.worst(o.Stem); strings.HasPrefix(w, "stop") || strings.HasPrefix(w, "action") {
		gaps = append(gaps, w)
	}
	seen := "not known: " + p.Trail.Lacking
	if p.Trail.UnderGit {
		seen = "nobody"
		if tr := p.Trail.Records[o.Path]; tr != nil {
			var all []string
			for _, c := range tr.Countersignatures {
				all = append(all, c.Person+" ("+string(c.State)+")")
			}
			if len(all) > 0 {
				seen = strings.Join(all, "; ")
			}
		}
	}
	limits, rank := "none", "–"
	if l := p.Book.LimitsFor(o); l != nil {
		if in, ok := l.On(o.Day()); ok {
			limits = "from " + in.From.Written + ", " + in.Source.Written
		}
	}
	for _, c := range p.Book.Crew {
		if c.ID.Written == o.By.Written && c.From.Day <= o.Day() && (c.To.Day == 0 || c.To.Day >= o.Day()) {
			rank = c.Rank.Written
		}
	}
	leaks, shields := "–", "–"
	for _, next := range p.lives.InPosition(pos) { // what was done when the next valve went in
		if next.From >= s.To && next.Opened != nil {
			leaks, shields = dash(next.Opened.Fitted.LeakCheck.Written), dash(next.Opened.Fitted.Shields.Written)
			break
		}
	}
	total := "not known"
	if s.HoursKnown {
		total = fmt.Sprintf("%.0f", s.ToTotal)
	}
	t.Add(paper.At(pos), paper.Record(o.Stem), paper.Text(s.To.String()), paper.Text(total),
		paper.Text(hoursOf(s.Hours, s.HoursKnown)), paper.Text(dash(o.By.Written)), paper.Text(rank), paper.Text(seen),
		paper.Text(dash(strings.TrimPrefix(s.Nozzle+", "+o.Decided.Nozzle.Written, ", "))),
		paper.Text(dash(o.AsFound.Opening.Median().String())), paper.Text(dash(o.AsLeft.Opening.Median().String())),
		paper.Text(limits), paper.Text(leaks), paper.Text(shields), paper.Text(dash(strings.Join(gaps, "; "))))
}
