package planning

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/card"
	"needlebook/logbook/keys"
)

// The values of the report, in the order of card.FoundNames, whose last is the lift, and card.LeftNames.
var (
	reportFound = []string{keys.AsFoundOpeningPressure, keys.AsFoundLeakDownTime, keys.AsFoundSeatState,
		keys.AsFoundSpray, keys.AsFoundCooling}
	reportLeft = []string{keys.AsLeftOpeningPressure, keys.AsLeftLeakDownTime, keys.AsLeftSeatState, keys.AsLeftSpray,
		keys.AsLeftCooling}
)

// Round is the report of one round, by the verdicts and findings that everything else shows.
func (p *Plan) Round(r logbook.Round) *card.Report {
	out := &card.Report{Vessel: p.Book.Vessel.Called(), Round: r.Name, Engine: r.Engine,
		Job: r.Job(), State: "As of " + p.on()}
	if e := p.Book.Engine(r.Engine); e != nil && e.Type.Stated() {
		out.Engine += ", type " + e.Type.Written
	}
	out.When = logbook.Counted(len(r.Overhauls), "valve") + ", removed " + removedOver(r) + p.headsOf(r)
	sources, parts, instruments, standing := map[string]bool{}, &counted{}, map[string]bool{}, &grouped{}
	for _, o := range r.Overhauls {
		out.Valves = append(out.Valves, p.valve(o, sources))
		parts.of(o)
		for _, id := range instrumentsOf(o) {
			instruments[id] = true
		}
		standing.add(p.Trail.Standing(o.Path).String(), dash(o.Removed.Cylinder.Written))
	}
	out.Limits = strings.Join(slices.Sorted(maps.Keys(sources)), "; ")
	if out.Limits == "" {
		out.Limits = "no limits in force"
	}
	out.Parts, out.Signatures = parts.words(), standing.words("cyl. ")
	for _, id := range slices.Sorted(maps.Keys(instruments)) {
		out.Calibrations = append(out.Calibrations, p.calibration(id))
	}
	out.Deviations = append(p.beyondAsFound(r), p.deviations(r)...)
	if p.Trail.UnderGit {
		out.State += fmt.Sprintf(", commit %.12s: %s", p.Trail.Head, p.Trail.Headline)
	}
	return out
}

// headsOf are the cylinder heads that came onto the engine from the first removal of a round to its last fitting.
func (p *Plan) headsOf(r logbook.Round) (text string) {
	first, last := r.Overhauls[0].Removed.Date.Day, r.Overhauls[0].Removed.Date.Day
	for _, o := range r.Overhauls {
		first, last = min(first, o.Removed.Date.Day), max(last, o.Removed.Date.Day, o.Fitted.Date.Day)
	}
	for i := range p.Book.Vessel.Heads {
		x := &p.Book.Vessel.Heads[i]
		if x.Position().Engine != p.Book.HostOf(r.Engine) || x.Date.Day < first || x.Date.Day > last {
			continue
		}
		text += "; head " + dash(x.Head.Written) + " came onto cyl. " + x.Cylinder.Written + " " + x.Date.Written
		if x.Off.Stated() {
			text += " in place of " + x.Off.Written
		}
	}
	return text
}

// removedOver are the first and the last day of the removals, and the counters.
func removedOver(r logbook.Round) string {
	days, counters := map[string]bool{}, map[string]bool{}
	for _, o := range r.Overhauls {
		days[o.Removed.Date.Day.String()] = true
		if o.Removed.Counter.Stated() {
			counters[o.Removed.Counter.String()] = true
		}
	}
	span := func(all []string) string {
		if len(all) > 1 {
			return all[0] + " to " + all[len(all)-1]
		}
		return strings.Join(all, "")
	}
	text := span(slices.Sorted(maps.Keys(days)))
	if at := span(slices.Sorted(maps.Keys(counters))); at != "" {
		text += " at " + at
	}
	return text
}

// valve is one line of the report.
func (p *Plan) valve(o *logbook.Overhaul, sources map[string]bool) card.Valve {
	v := card.Valve{Cylinder: dash(o.Removed.Cylinder.Written),
		Out: []string{dash(o.Holder.Written), dash(o.Nozzle.Found.Written)},
		Ran: "not known", Decided: decidedOn(o), To: whereNow(o), In: p.fittedInstead(o)}
	if s := p.lives.ClosedBy(o); s != nil {
		v.Ran = hoursOf(s.Hours, s.HoursKnown)
	}
	if h, known := p.lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day); known {
		v.Ran += ", nozzle " + hoursOf(h, known)
	}
	for _, key := range reportFound {
		v.Found = append(v.Found, p.value(p.Report.Judgement.Find(o, key), sources))
	}
	v.Found = append(v.Found, p.value(p.Report.Judgement.LiftOf(o), sources))
	for _, key := range reportLeft {
		v.Left = append(v.Left, p.value(p.Report.Judgement.Find(o, key), sources))
	}
	return v
}

// value is a value as the verdict shows it.
func (p *Plan) value(v *judging.Verdict, sources map[string]bool) card.Value {
	if v.Result == judging.NotMeasured {
		return card.Value{Text: card.NotMeasured, Limit: v.LimitText, Verdict: card.NotMeasured, Why: v.Why}
	}
	out := card.Value{Text: cmp.Or(v.Shown(), v.Result.String(), card.None), Limit: v.LimitText,
		Brief: cmp.Or(v.Written, v.AsRead().String())}
	if v.LimitText != "" && v.Source != "" {
		sources[v.Source+", in force from "+v.Revision.String()] = true
	}
	if v.Result != judging.Within && v.Result != judging.None && (v.Result != judging.WithinDoubt || !v.Accepted) {
		out.Verdict = v.Result.String()
	}
	return out
}

// decidedOn is what became of nozzle and holder.
func decidedOn(o *logbook.Overhaul) string {
	var parts []string
	for _, d := range []struct {
		part string
		word logbook.Word
	}{{"nozzle", o.Decided.Nozzle}, {"holder", o.Decided.Holder}} {
		if d.word.Stated() {
			parts = append(parts, d.part+" "+d.word.Written)
		}
	}
	if in := o.Nozzle.Left; in.Stated() && in.Written != o.Nozzle.Found.Written {
		parts = append(parts, "now "+in.Written)
	}
	return dash(strings.Join(parts, ", "))
}

// whereNow is where the overhauled valve went.
func whereNow(o *logbook.Overhaul) string {
	switch {
	case o.Fitted.Stated():
		return fmt.Sprintf("fitted %s-%s %s", o.Fitted.Engine, o.Fitted.Cylinder, o.Fitted.Date)
	case o.Decided.Holder.Is("condemn"):
		return "holder condemned"
	case o.Landed.Stated():
		return "landed " + o.Landed.Date.Written + " to " + dash(o.Landed.To.Written) + ", delivery note " +
			dash(o.Landed.Note.Written)
	case o.Stored.Stated():
		return "spares rack " + o.Stored.Date.Written
	}
	return "not fitted"
}

// fittedInstead is the valve that came into the cylinder next.
func (p *Plan) fittedInstead(o *logbook.Overhaul) []string {
	if s := p.lives.After(o); s != nil {
		in := []string{dash(s.Holder), dash(s.Nozzle), s.From.String()}
		switch by := s.Opened; {
		case by != nil && by.Received.Stated():
			in[2] += " received from " + dash(by.Received.From.Written) + ", " + by.Received.By()
		case by != nil && !by.AsLeft.Stated() && by.Removed.Stated():
			in[2] += " as it came out of " + by.Removed.Engine.Written + "-" + by.Removed.Cylinder.Written
		}
		return in
	}
	return []string{"none on record"}
}

// calibration is an instrument with the days of its calibration.
func (p *Plan) calibration(id string) string {
	i := p.Book.Instruments[id]
	if i == nil {
		return id + ": not in this book"
	}
	return fmt.Sprintf("%s (%s) calibrated %s, until %s", id, cmp.Or(i.Kind.Written, "kind not stated"),
		dash(i.Calibrated.Written), dash(i.Until.Written))
}

// beyondAsFound is one line of what was beyond its limit as found, and cracked, valve by valve; none where nothing was.
func (p *Plan) beyondAsFound(r logbook.Round) []string {
	var all []string
	for _, o := range r.Overhauls {
		var what []string
		for i, key := range reportFound {
			if p.Report.Judgement.Find(o, key).Result.Out() {
				what = append(what, card.FoundNames[i])
			}
		}
		if lift := p.Report.Judgement.LiftOf(o); lift.Result.Out() {
			what = append(what, strings.TrimSpace("lift "+lift.Written))
		}
		for _, seen := range o.Inspected.Places() {
			if seen.Word.Is("cracked") {
				what = append(what, "cracked: "+seen.Name)
			}
		}
		if len(what) > 0 {
			all = append(all, "cyl. "+dash(o.Removed.Cylinder.Written)+" "+strings.Join(what, ", "))
		}
	}
	if len(all) == 0 {
		return nil
	}
	return []string{"beyond its limit as found: " + strings.Join(all, "; ")}
}

// deviations are the findings about the round and its records, notes left out: the open ones first, the gravest first.
func (p *Plan) deviations(r logbook.Round) (lines []string) {
	of := map[string]string{}
	for _, o := range r.Overhauls {
		of[o.Stem] = o.Removed.Cylinder.Written
	}
	var all []*checks.Finding
	for i := range p.Report.Findings {
		f := &p.Report.Findings[i]
		if _, here := of[f.About.Record]; f.Grade >= checks.Advice && (here || f.About.Round == r.Name) {
			all = append(all, f)
		}
	}
	rank := func(f *checks.Finding) int {
		if p.Report.IsOpen(f) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(all, func(a, b *checks.Finding) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.Grade, a.Grade))
	})
	for _, f := range all {
		where := ""
		if c := of[f.About.Record]; c != "" {
			where = "cyl. " + c + ": "
		}
		lines = append(lines, fmt.Sprintf("%s%s: %s (%s)", where, f.Grade, f.Message, p.Report.Standing(f)))
	}
	return lines
}

// counted are the parts that records name, each with how many.
type counted struct {
	order []string
	n     map[string]float64
}

func (c *counted) add(name string, n float64) {
	if c.n == nil {
		c.n = map[string]float64{}
	}
	if _, there := c.n[name]; !there {
		c.order = append(c.order, name)
	}
	c.n[name] += n
}

// of counts the parts of one record; a part without a number is one.
func (c *counted) of(o *logbook.Overhaul) {
	in, listed := o.Nozzle.Left, false
	for _, part := range o.Assembled.Parts {
		listed = listed || part.Serial.Written == in.Written
		name := cmp.Or(part.Part.Written, "part")
		if part.Serial.Stated() {
			name += " " + part.Serial.Written
		}
		if part.PartNo.Stated() {
			name += " (" + part.PartNo.Written + ")"
		}
		c.add(name, number(part.Count))
	}
	if in.Stated() && o.Nozzle.Found.Stated() && in.Written != o.Nozzle.Found.Written && !listed {
		c.add("nozzle "+in.Written, 1)
	}
	if s := o.Assembled.Seals; s.PartNo.Stated() {
		c.add("seals ("+s.PartNo.Written+")", number(s.Count))
	}
}

func number(n logbook.Number) float64 {
	if n.Valid && n.Value > 0 {
		return n.Value
	}
	return 1
}

func (c *counted) words() (all []string) {
	for _, name := range c.order {
		all = append(all, fmt.Sprintf("%g × %s", c.n[name], name))
	}
	return all
}

// grouped are texts that several share, each with whose it is.
type grouped struct {
	order []string
	of    map[string][]string
}

func (g *grouped) add(text, whose string) {
	if g.of == nil {
		g.of = map[string][]string{}
	}
	if g.of[text] == nil {
		g.order = append(g.order, text)
	}
	g.of[text] = append(g.of[text], whose)
}

func (g *grouped) words(before string) (all []string) {
	for _, text := range g.order {
		all = append(all, before+strings.Join(g.of[text], ", ")+": "+text)
	}
	return all
}
