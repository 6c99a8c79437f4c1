package planning

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/logbook"
)

// How far the page for the relief looks: common practice, no source.
const (
	lastDays  = 30  // back, for every overhaul
	hitchDays = 120 // back, for what broke
	soonDays  = 90  // ahead, for a calibration that runs out
)

// Handover is what the next engineer must know, in the order of his questions: what sits where, what is ready, what is
// suspect, what broke, which tools are bad, what was promised, which pockets are awkward, which serials cannot be read,
// and what he must not do.
func (p *Plan) Handover() paper.Paper {
	out := paper.Paper{Name: "handover", Title: "Handing over " + p.Book.Vessel.Called() + ", " + p.on(),
		Lead: []string{p.rateText()}}
	if none := p.noSpare(); len(none) > 0 {
		out.Lead = append(out.Lead, "no valve is ready for "+strings.Join(none, ", "))
	}
	out.Tables = []paper.Table{p.fitted(), p.ready()}
	if work := p.inWork(); len(work.Rows) > 0 {
		out.Tables = append(out.Tables, work)
	}
	if away := p.away(); len(away.Rows) > 0 {
		out.Tables = append(out.Tables, away)
	}
	out.Tables = append(out.Tables, []paper.Table{p.suspects(), p.dueLines(), p.waiting(), p.lately(), p.broke(),
		p.tools(), p.pockets(), p.gaps(), p.unreadable(), p.lessons(), p.never()}...)
	out.Notes = []string{"what the book does not hold it cannot hand over: ask, and walk round with the one who leaves",
		"the maker's manual, class and the safety management system come before this page"}
	return out
}

// Promised is what was promised and is open, and what waits for a chief.
func (p *Plan) Promised() paper.Paper {
	return paper.Paper{Name: "promised",
		Title: "Deferrals and what else is open on " + p.Book.Vessel.Called() + ", " + p.on(),
		Lead:  []string{p.rateText()}, Tables: []paper.Table{p.dueLines(), p.waiting(), p.gaps()}}
}

func (p *Plan) fitted() paper.Table {
	t := paper.Table{Name: "fitted", Title: "what is fitted where", Columns: []string{"where", "holder", "nozzle",
		"fitted", "has run", "nozzle has run", "set to", "by", "gauge", "gravest finding"}}
	worst := p.worstAbout()
	for _, pos := range p.Book.Positions() {
		s, about := p.lives.At(pos, p.today), checks.OfCylinder(pos)
		if s == nil {
			t.Add(paper.At(pos), paper.Text("none"), paper.Text("–"), paper.Text("–"), paper.Text("–"), paper.Text("–"),
				paper.Text("–"), paper.Text("–"), paper.Text("–"), paper.Text(gravest(worst, about)))
			continue
		}
		run, known := p.lives.HoursOn(s, p.today)
		nozzle, nk := p.lives.NozzleHours(s.Nozzle, p.today)
		set, by, gauge := "–", "–", paper.Text("–")
		last, told := p.lives.LeftBy(s.Holder, s.From)
		if told && last.Overhaul == nil {
			set, by = last.Opening.String(), "before the book"
		}
		if o := last.Overhaul; o != nil {
			set, by, gauge = dash(o.AsLeft.Opening.Median().String()), dash(o.By.Written),
				paper.Instrument(dash(o.AsLeft.Gauge.Written))
			if theirs := p.Book.LeftBy(o); theirs != "" {
				by, gauge = theirs, paper.Text("–")
			}
		}
		t.Add(paper.At(pos), paper.Holder(s.Holder), paper.Nozzle(s.Nozzle), paper.Text(s.From.String()),
			paper.Text(hoursOf(run, known)), paper.Text(hoursOf(nozzle, nk)), paper.Text(set), paper.Text(by), gauge,
			paper.Text(gravest(worst, append(about, checks.OfValve(s.Holder, s.Nozzle)...))))
	}
	return t
}

// noSpare are the engines for which no valve is ready. One whose engine is not known may be for any.
func (p *Plan) noSpare() (engines []string) {
	ready := map[*logbook.Limits]bool{}
	for _, r := range p.Report.Spares {
		if r.State.Yes() {
			ready[p.Book.LimitsOfHolder(r.Holder)] = true
		}
	}
	for _, e := range p.Book.Vessel.Engines {
		if l := p.Book.LimitsOf(e.ID.Written); !ready[l] && !ready[nil] {
			engines = append(engines, e.Called())
		}
	}
	return engines
}

// inWork are the valves that lie on the bench.
func (p *Plan) inWork() paper.Table {
	t := paper.Table{Name: "work", Title: "valves out of an engine, neither built up nor landed",
		Columns: []string{"holder", "nozzle", "out of", "since", "decided"}}
	for _, o := range p.InWork() {
		decided := logbook.Listed(said("nozzle ", o.Decided.Nozzle.Written), said("holder ", o.Decided.Holder.Written))
		t.Add(paper.Record(o.Stem), paper.Nozzle(o.Nozzle.Found.Written), paper.Text(dash(o.Removed.Engine.Written+"-"+
			o.Removed.Cylinder.Written)), paper.Text(o.Day().String()), paper.Text(dash(decided)))
	}
	return t
}

// said is a text with what stands before it; nothing where it says nothing.
func said(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}

// worst is the gravest open finding of a record; a dash for none.
func (p *Plan) worst(stem string) string { return gradeAndCheck(p.gravest[stem]) }

// gravestOpen are the gravest open findings, the first of several alike, by what a key makes of them; notes are none.
func gravestOpen[K comparable](r *checks.Report, key func(*checks.Finding) K) map[K]*checks.Finding {
	all := map[K]*checks.Finding{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Grade < checks.Advice || !r.IsOpen(f) {
			continue
		}
		if w := all[key(f)]; w == nil || f.Grade > w.Grade {
			all[key(f)] = f
		}
	}
	return all
}

// gradeAndCheck is a finding in a few words; a dash for none.
func gradeAndCheck(f *checks.Finding) string {
	if f == nil {
		return "–"
	}
	return f.Grade.String() + ": " + strings.ReplaceAll(f.Check, "-", " ")
}

// worstAbout are the gravest open findings by what they are about.
func (p *Plan) worstAbout() map[checks.Subject]*checks.Finding {
	return gravestOpen(p.Report, func(f *checks.Finding) checks.Subject { return f.Subject })
}

// gravest is the gravest of some findings in a few words; a dash for none.
func gravest(worst map[checks.Subject]*checks.Finding, about []checks.Subject) string {
	var w *checks.Finding
	for _, s := range about {
		if f := worst[s]; f != nil && (w == nil || f.Grade > w.Grade) {
			w = f
		}
	}
	return gradeAndCheck(w)
}

func (p *Plan) ready() paper.Table {
	t := paper.Table{Name: "rack", Title: "what is ready, and how old its test is",
		Columns: []string{"holder", "nozzle", "place", "tested", "days ago", "set to", "ready"},
		Empty:   "no valve is booked as ready"}
	for _, r := range p.Report.Spares {
		set, ready := "–", r.State.String()
		if o := r.Overhaul; o != nil {
			set = dash(o.AsLeft.Opening.Median().String())
			if by := p.Book.LeftBy(o); by != "" {
				set += ", " + by
			}
		} else if r.State.Yes() {
			ready = "by the opening state"
			if last, known := p.lives.LeftBy(r.Holder, p.today); known {
				set = dash(last.Opening.String())
			}
		}
		t.Add(paper.Holder(r.Holder), paper.Nozzle(r.Nozzle), paper.Text(dash(r.Place)), paper.Text(r.Since.String()),
			paper.Text(fmt.Sprint(r.Age)), paper.Text(set), paper.Text(ready))
	}
	return t
}

// present says that a part still is on the engines or ready.
func (p *Plan) present() map[string]bool {
	on := map[string]bool{}
	for _, a := range p.Ages() {
		on[a.Nozzle], on[a.Holder] = true, true
	}
	return on
}

// lastPaper says that a finding, or one that is told under it, is about the last record of a valve that is still on the
// engines or ready: where the paper is wrong, the valve may be another one.
func (p *Plan) lastPaper(f *checks.Finding, on map[string]bool) bool {
	if f.Subject.Kind != checks.OfRecord {
		return false
	}
	last := func(record string) bool {
		o := p.Book.Overhaul(record)
		if o == nil || !on[o.Holder.Written] {
			return false
		}
		b := p.lives.Benches(o.Holder.Written)
		return len(b) > 0 && b[len(b)-1].Stem == record
	}
	return last(f.About.Record) || slices.ContainsFunc(f.Related, func(r checks.Related) bool {
		_, told := r.Follows()
		return told && last(strings.TrimSuffix(path.Base(r.Place.Path), ".md"))
	})
}

// suspects are the open findings of the graver kind about a cylinder, or a part that is fitted or ready, or about the
// last record of one, and what the last engineer named.
func (p *Plan) suspects() paper.Table {
	t := paper.Table{Name: "suspect", Title: "what is suspect", Columns: []string{"where", "what", "why", "written in"},
		Empty: "nothing by the findings that are open"}
	on := p.present()
	for _, f := range p.Report.Open() {
		in := p.Report.GroupOf(&f)
		if f.Grade < checks.Action || in != checks.OnEngines && in != checks.ReadySpares && !p.lastPaper(&f, on) {
			continue
		}
		where, what := p.suspect(&f)
		t.Add(where, what, paper.Text(f.Grade.String()+": "+f.Message), paper.Placed(f.Place.Path, f.Place))
	}
	if h := p.lastHandover(); h != nil {
		for _, s := range h.Suspect.Each {
			t.Add(paper.Text("–"), paper.Text("named "+h.Date.Written), paper.Text(s.Written), paper.Placed(h.Path, s.Place))
		}
	}
	return t
}

// suspect is where the subject of a finding is, and what it is.
func (p *Plan) suspect(f *checks.Finding) (where, what paper.Cell) {
	now := p.Report.Whereabouts(f.Subject)
	where = paper.Text(dash(now.Words))
	if now.In != (logbook.Position{}) {
		where = paper.At(now.In)
	}
	switch f.Subject.Kind {
	case checks.OfHolder:
		return where, paper.Holder(f.Subject.Name)
	case checks.OfNozzle:
		return where, paper.Nozzle(f.Subject.Name)
	case checks.OfRecord:
		return paper.Text("its record"), paper.Holder(f.About.Holder)
	}
	if f.Subject.Kind == checks.OfPocket && (now.Words != "" || now.Engines) {
		return where, paper.Text(f.Subject.String()) // its head was exchanged
	}
	return paper.At(f.About.Position), paper.Text(f.Subject.Kind.String())
}

func (p *Plan) lastHandover() *logbook.Handover {
	var last *logbook.Handover
	for _, h := range p.Book.Handovers {
		if h.Date.Day <= p.today && (last == nil || h.Date.Day >= last.Date.Day) {
			last = h
		}
	}
	return last
}

// promises are what was promised and is open: deferrals, trials, reviews, orders, and what the last engineer left open.
func (p *Plan) dueLines() paper.Table {
	t := paper.Table{Name: "promised", Title: "deferrals, trials, reviews and orders",
		Columns: []string{"what", "which", "where", "now", "until", "left"}, Empty: "nothing that is open"}
	for _, x := range slices.Concat(p.deferrals(), p.decisions()) {
		t.Add(paper.Text(x.kind), x.what, x.where, paper.Text(x.state), paper.Text(x.at.String()), paper.Text(x.left))
	}
	for _, it := range p.items {
		if it.OnOrder > 0 {
			t.Add(paper.Text("order"), paper.Placed(it.Name, it.Last.Place), paper.Text("–"),
				paper.Text(fmt.Sprintf("%g on order", it.OnOrder)), paper.Text(dash(it.Due.Written)), paper.Text("–"))
		}
	}
	if h := p.lastHandover(); h != nil {
		for _, s := range h.Open.Each {
			t.Add(paper.Text("left open"), paper.Placed(h.Date.Written, s.Place), paper.Text("–"), paper.Text(s.Written),
				paper.Text("–"), paper.Text("–"))
		}
	}
	closed := 0
	for _, d := range p.Book.Deferrals {
		if d.Closed.Stated() && d.Closed.Date.Day <= p.today {
			t.Add(paper.Text("deferral, closed"), paper.Placed(d.ID.Written, d.Opening),
				paper.Text(dash(strings.TrimSpace(d.Holder.Written+" "+d.Nozzle.Written))),
				paper.Text(dash(d.Closed.Why.Written)+p.allowedBy(d)), paper.Text(dash(d.End())),
				paper.Text("closed "+d.Closed.Date.Written))
			if closed++; closed > 5 {
				break
			}
		}
	}
	return t
}

func (p *Plan) waiting() paper.Table {
	t := paper.Table{Name: "countersign", Title: "what waits for a chief's countersignature",
		Columns: []string{"record", "what is missing"}, Empty: "nothing"}
	if !p.Trail.UnderGit {
		t.Empty = "not known: " + p.Trail.Headline
	}
	stems, why := p.awaits()
	for _, s := range slices.Backward(stems) {
		t.Add(paper.Record(s), paper.Text(why[s]))
	}
	return t
}

func (p *Plan) lately() paper.Table {
	t := paper.Table{Name: "lately", Title: fmt.Sprintf("the last %d days", lastDays),
		Columns: []string{"record", "from", "reason", "nozzle", "to", "by", "gravest finding"}, Empty: "no overhaul"}
	for _, o := range slices.Backward(p.Book.Overhauls) {
		if d := p.today.Days(o.Day()); d < 0 || d > lastDays {
			continue
		}
		from, to := paper.Text("–"), paper.Text("–")
		if o.Removed.Stated() {
			from = paper.At(logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written})
		}
		if o.Fitted.Stated() {
			to = paper.At(logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written})
		} else if o.Stored.Stated() {
			to = paper.Text("spares rack " + o.Stored.Spot.Written)
		}
		t.Add(paper.Record(o.Stem), from, paper.Text(dash(o.Removed.Reason.Written)),
			paper.Text(dash(o.Decided.Nozzle.Written)), to, paper.Text(dash(o.By.Written)), paper.Text(p.worst(o.Stem)))
	}
	return t
}

// broke are valves pulled for a symptom and parts taken out of use in the last hitch.
func (p *Plan) broke() paper.Table {
	t := paper.Table{Name: "broke", Title: fmt.Sprintf("what broke in the last %d days, and earlier this year", hitchDays),
		Columns: []string{"record", "where", "reason", "nozzle", "holder", "why"}, Empty: "nothing"}
	for _, o := range slices.Backward(p.Book.Overhauls) {
		d := p.today.Days(o.Day())
		if d < 0 || d > hitchDays && o.Day().Time().Year() != p.today.Time().Year() || !o.Removed.Reason.Is("symptom") &&
			!o.Decided.Nozzle.Is("renew", "condemn") && !o.Decided.Holder.Is("renew", "condemn") {
			continue
		}
		t.Add(paper.Record(o.Stem), paper.At(logbook.Position{Engine: o.Removed.Engine.Written,
			Cylinder: o.Removed.Cylinder.Written}), paper.Text(dash(o.Removed.Reason.Written)),
			paper.Text(dash(o.Decided.Nozzle.Written)), paper.Text(dash(o.Decided.Holder.Written)),
			paper.Text(dash(o.Decided.Why.Written)))
	}
	return t
}

func (p *Plan) tools() paper.Table {
	t := paper.Table{Name: "tools", Title: "tools and gauges", Columns: []string{"id", "what", "calibrated until",
		"state"}, Empty: "the book names none"}
	used := p.used()
	for _, id := range slices.Sorted(maps.Keys(p.Book.Instruments)) {
		i := p.Book.Instruments[id]
		var state []string
		switch {
		case i.Until.Day == 0:
			state = append(state, "no calibration stated")
		case i.Until.Day < p.today:
			state = append(state, "ran out")
		case i.Until.Day < p.today+soonDays:
			state = append(state, fmt.Sprintf("runs out in %d d", i.Until.Day.Days(p.today)))
		default:
			state = append(state, "in date")
		}
		if !used[id] {
			state = append(state, "not used for a year")
		}
		for _, w := range i.FoundWrong {
			state = append(state, "read wrong "+w.From.Written+" to "+w.To.Written)
		}
		t.Add(paper.Instrument(id), paper.Text(dash(i.Kind.Written)), paper.Text(dash(i.Until.Written)),
			paper.Text(strings.Join(state, "; ")))
	}
	return t
}

// pockets are what was last written of each pocket, and every one in which more rings lay than belong there; of a
// cylinder whose head was exchanged the exchange, and what was written since.
func (p *Plan) pockets() paper.Table {
	t := paper.Table{Name: "pockets", Title: "pockets and rings", Columns: []string{"where", "last written of it", "rings",
		"record"}, Empty: "nothing was written of any pocket"}
	heads := map[logbook.Position]logbook.HeadStay{}
	for _, s := range p.Book.HeadStays(p.today) {
		heads[s.Position] = s
	}
	for _, pos := range p.Book.Positions() {
		var note *logbook.Overhaul
		head, exchanged := heads[pos]
		if exchanged {
			came := strings.TrimSpace("head "+head.Head) + " came on on " + head.From.String()
			t.Add(paper.At(pos), paper.Text(came), paper.Text("–"), paper.Placed("heads", head.Place))
		}
		for _, s := range slices.Backward(p.lives.InPosition(pos)) {
			o := s.Closed
			if o == nil || o.Day() > p.today || exchanged && !head.Held(o.Removed.Date.Day, false) {
				continue
			}
			if o.Removed.RingsOut.Valid && o.Removed.RingsOut.Value > p.settings.Rings.Value {
				t.Add(paper.At(pos), paper.Text(dash(o.Removed.Pocket.Written)), paper.Text(o.Removed.RingsOut.Written+" came out"),
					paper.Record(o.Stem))
				if note == nil {
					note = o
				}
			}
			if note == nil && o.Removed.Pocket.Stated() {
				note = o
				t.Add(paper.At(pos), paper.Text(o.Removed.Pocket.Written), paper.Text(dash(o.Removed.RingsOut.Written)),
					paper.Record(o.Stem))
			}
		}
	}
	for _, it := range p.items {
		if strings.Contains(strings.ToLower(it.Name), "ring") && !strings.Contains(strings.ToLower(it.Name), "spring") {
			t.Add(paper.Text("stores"), paper.Placed(it.Name, it.Last.Place), num(it.OnBoard), paper.Text("–"))
		}
	}
	return t
}

// gaps are records of the last hitch that still need a value, or say why they have none, and those written from memory.
func (p *Plan) gaps() paper.Table {
	t := paper.Table{Name: "gaps", Title: "records that are not complete, by their own words",
		Columns: []string{"record", "by", "what is missing"}, Empty: "none"}
	year := p.today - 365
	for _, o := range slices.Backward(p.Book.Overhauls) {
		if o.Day() < year || o.Day() > p.today {
			continue
		}
		var what []string
		if o.Reconstructed.Stated() {
			what = append(what, "written later, "+dash(o.Reconstructed.Date.Written)+", from "+
				dash(o.Reconstructed.From.Written))
		}
		for _, v := range p.Report.Judgement.Of(o) { // the hours of a nozzle are reckoned, not measured
			if v.Key != "nozzle_hours" && v.Why != "" && strings.Contains(v.Result.String(), "not measured") &&
				v.LimitText != "" {
				what = append(what, v.Name+" not measured ("+v.Why+")")
			}
		}
		if !o.AsLeft.Stated() && !o.Landed.Stated() && !o.Decided.Holder.Is("condemn") {
			what = append(what, "no test as left")
		}
		if len(what) > 0 {
			t.Add(paper.Record(o.Stem), paper.Text(dash(o.By.Written)), paper.Text(strings.Join(what, "; ")))
		}
	}
	return t
}

func (p *Plan) unreadable() paper.Table {
	t := paper.Table{Name: "serials", Title: "serials that are not fully read",
		Columns: []string{"serial", "how well", "record"}, Empty: "none on record"}
	for _, o := range slices.Backward(p.Book.Overhauls) {
		if o.Day() > p.today {
			continue
		}
		for _, s := range []logbook.Serial{o.Holder, o.Nozzle.Found, o.Nozzle.Left} {
			if strings.Contains(s.Written, "?") {
				t.Add(paper.Text(s.Written), paper.Text("a character cannot be read"), paper.Record(o.Stem))
			}
		}
		if o.Nozzle.Confidence.Is("partly", "assigned aboard") {
			t.Add(paper.Nozzle(o.Nozzle.Left.Written), paper.Text(o.Nozzle.Confidence.Written), paper.Record(o.Stem))
		}
	}
	return t
}

func (p *Plan) lessons() paper.Table {
	t := paper.Table{Name: "lessons", Title: "lessons, as they were written",
		Columns: []string{"handed over", "by", "lesson"}, Empty: "none was written"}
	for _, h := range slices.Backward(p.Book.Handovers) {
		if h.Date.Day > p.today {
			continue
		}
		for _, s := range h.Lessons.Each {
			t.Add(paper.Placed(h.Date.Written, h.Opening), paper.Text(dash(h.From.Written)), paper.Text(s.Written))
		}
	}
	return t
}

// never is what the next engineer must not do, each with where it is written.
func (p *Plan) never() paper.Table {
	t := paper.Table{Name: "never", Title: "what you must not do", Columns: []string{"not", "why", "written in"},
		Empty: "see the cautions"}
	for _, e := range p.Book.Condemned() {
		if e.Day > p.today {
			continue
		}
		why := e.String()
		if e.Why != "" {
			why += ": " + e.Why
		}
		t.Add(paper.Text("fit "+strings.TrimSpace(e.Kind+" "+e.Serial)), paper.Text(why), paper.Placed(e.Place.Path, e.Place))
	}
	m := p.markings()
	for _, r := range m.Rows {
		t.Add(paper.Text("fit a nozzle on "+r[0].Text+" that is not marked "+r[1].Text), paper.Text(r[2].Text), r[2])
	}
	for _, r := range p.Report.Spares {
		switch r.State.Word() {
		case "test again":
			t.Add(paper.Text("fit "+r.Holder+" without a new test"), paper.Text("tested "+logbook.Counted(r.Age, "day")+" ago"),
				paper.Holder(r.Holder))
		case "not ready":
			t.Add(paper.Text("fit "+r.Holder+" as it lies"), paper.Text(r.State.String()), paper.Holder(r.Holder))
		}
	}
	for _, d := range p.Book.Decisions {
		if d.Kind.Is("practice") && d.Date.Day <= p.today && !d.Closed.Stated() {
			text := strings.TrimSpace(d.Remarks)
			text, _, _ = strings.Cut(text, "\n\n")
			t.Add(paper.Text("go against "+d.ID.Written), paper.Text(text), paper.Placed(d.Path, d.Opening))
		}
	}
	t.Add(paper.Text("feel for a leak with a hand, or stand in front of a spray"),
		paper.Text("the test jet enters flesh: a wound like a pinprick is an emergency"), paper.Text("cautions"))
	return t
}
