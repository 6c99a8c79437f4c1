package evidence

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"needlebook/checks/paper"
	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Ask says what a review of the interval is asked to look at.
type Ask struct {
	Since                    logbook.Day // first day of the openings looked at; 0 for the last two years
	Planned, Failed, BadHour float64     // stated costs of a planned opening, of one after going bad, and of an hour run bad; 0 where not stated
	Parts                    bool        // the drift of each part too
}

// window is how far back a review looks where no day is named: common practice, no source.
const window = 2 * 365

// fullAge is the share of the interval from which an opening says something about the whole of it: from memory.
const fullAge = 0.8

// tally counts openings.
type tally struct{ n, bad, unknown int }

func (t *tally) take(o Opening) {
	switch o.State {
	case Unknown:
		t.unknown++
	case Bad:
		t.bad++
		t.n++
	default:
		t.n++
	}
}

// Review is the evidence for the interval between openings, and what it carries.
type Review struct {
	e                 *Evidence
	ask               Ask
	Present           float64 // hours, the shortest in force on any position
	Allowed           float64 // the longest that maker or class allow by the book; 0 where it states nothing
	AllowedBy         string
	Target            float64 // share of bad that the owner accepts; 0 where not stated
	Full, FullSpecial tally   // at full age: without special causes, and with
	Bound             float64 // upper bound of the share of bad at full age, without special causes; 1 where none was opened
	Ratio             float64 // interval carried over present interval at the assumed shape; 0 where not known
	Proposed          float64 // hours
	Proposal          string
	Needed            int // openings at full age, none bad, that would prove the target; 0 where no target is stated
	inWindow          []Opening
	from              logbook.Day
	Word              string // keep, shorten or try longer
}

// Review weighs the openings in the window asked for. It never proposes more than the stated bounds in the book allow.
func (e *Evidence) Review(ask Ask) Review {
	r := Review{e: e, ask: ask, from: ask.Since, Bound: 1, Target: e.Book.Vessel.Accepts.BadAsFound.Float() / 100}
	if r.from == 0 {
		r.from = e.today - window
	}
	for _, p := range e.Book.Positions() {
		if i, ok := e.Book.IntervalOn(p, e.today); ok && (r.Present == 0 || i.Hours.Float() < r.Present) {
			r.Present = i.Hours.Float()
		}
	}
	r.bounds()
	for _, o := range e.Openings {
		if o.Day < r.from {
			continue
		}
		r.inWindow = append(r.inWindow, o)
		if o.Why == ForHours && o.Hours >= fullAge*r.Present {
			r.FullSpecial.take(o)
			if o.Special == "" {
				r.Full.take(o)
			}
		}
	}
	r.propose()
	return r
}

// bounds finds the longest interval that the limits in force state.
func (r *Review) bounds() {
	for _, x := range r.e.Book.Vessel.Engines {
		l := r.e.Book.LimitsOf(x.ID.Written)
		if l == nil {
			continue
		}
		in, _ := l.On(r.e.today)
		a, by := in.IntervalMax, "longest interval stated"
		if !a.Quantity.Valid() {
			a, by = in.Interval, "maker's interval; no longer one is stated"
		}
		if a.Quantity.Valid() && (r.Allowed == 0 || a.Float() < r.Allowed) {
			ed, _ := l.EditionOf(a.Place)
			r.Allowed, r.AllowedBy = a.Float(), by+", "+ed.Source.Written
		}
	}
}

func (r *Review) propose() {
	e := r.e
	r.Proposed, r.Word = r.Present, "keep"
	if r.Target > 0 && r.Target < 1 {
		r.Needed, _ = survival.OpeningsNeeded(r.Target, e.level(), 0)
	}
	if r.Full.n > 0 {
		r.Bound, _ = survival.UpperBound(r.Full.bad, r.Full.n, e.level())
	}
	switch {
	case r.Present == 0:
		r.Proposal = "none: the book states no interval"
	case r.Target == 0:
		r.Proposal = fmt.Sprintf("keep %.0f h: the book does not say what chance of a bad valve the owner accepts (accepts in book.md)", r.Present)
	case r.Full.n == 0:
		r.Proposal = fmt.Sprintf("keep %.0f h: no valve was opened at full age in this time, nothing is proved", r.Present)
	default:
		r.weigh()
	}
	if r.Allowed > 0 && r.Proposed > r.Allowed {
		r.Proposed, r.Word = r.Allowed, "shorten"
		r.Proposal = fmt.Sprintf("%.0f h: the book allows no more (%s)", r.Allowed, r.AllowedBy)
	}
}

func (r *Review) weigh() {
	e := r.e
	low, _ := survival.LowerBound(r.Full.bad, r.Full.n, e.level())
	r.Ratio, _ = survival.PermittedRatio(r.Full.bad, r.Full.n, r.Target, e.level(), e.settings.WearShape.Value)
	seen := fmt.Sprintf("%d bad of %d at full age allow up to %s bad, %s are accepted", r.Full.bad, r.Full.n, percent(r.Bound), percent(r.Target))
	step := 1 + e.settings.TrialStep.Float()/100
	switch {
	case low > r.Target:
		r.Word, r.Proposed = "shorten", roundDown(r.Present*math.Min(1, r.Ratio))
		r.Proposal = fmt.Sprintf("shorten to %.0f h: at least %s were bad, %s are accepted", r.Proposed, percent(low), percent(r.Target))
	case r.Bound > r.Target:
		more := 0
		if n, err := survival.OpeningsNeeded(r.Target, e.level(), r.Full.bad); err == nil {
			more = max(0, n-r.Full.n)
		}
		r.Proposal = fmt.Sprintf("keep %.0f h, do not extend: %s; %d more at full age, none of them bad, would prove it", r.Present, seen, more)
	default:
		want := roundDown(r.Present * math.Min(r.Ratio, step))
		switch {
		case want <= r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s, which proves the present interval and no more", r.Present, seen)
		case r.Allowed > 0 && r.Allowed <= r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s; a trial of %.0f h could be asked for, but the book allows no more than %.0f h (%s)", r.Present, seen, want, r.Allowed, r.AllowedBy)
		default:
			if r.Allowed > 0 {
				want = math.Min(want, r.Allowed)
			}
			r.Word, r.Proposed = "try longer", want
			r.Proposal = fmt.Sprintf("try %.0f h on one or two cylinders of each engine, not on all: %s", want, seen)
		}
	}
}

// roundDown brings hours to tens: nobody plans by single hours.
func roundDown(h float64) float64 { return 10 * math.Floor(h/10+1e-9) }

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// Paper is the review with everything that belongs beside a proposal.
func (r Review) Paper() paper.Paper {
	e := r.e
	out := paper.Paper{Name: "interval", Title: "How long may the next one wait? " + e.Book.Vessel.Name.Written + ", " + e.today.String()}
	out.Lead = append(out.Lead, "proposal: "+r.Proposal,
		fmt.Sprintf("window: openings from %s to %s, %d of them", r.from, e.today, len(r.inWindow)),
		"interval in force: "+r.inForce(), "allowed: "+r.allowedText(), "accepted: "+r.acceptedText())
	out.Tables = []paper.Table{r.counts(), r.proves(), r.survival(), r.excluded(), e.driftTable(r.ask.Parts), r.byEngine(), r.shares(), r.fuelCost(), r.bandTable()}
	out.Notes = append(out.Notes, r.trialPlan()...)
	out.Notes = append(out.Notes, "bad as found: seat, leak-down, spray, opening pressure or effective stroke beyond the limit of its day, or a crack",
		"valves pulled for a symptom and for other work are kept apart: they do not say what an age does",
		"this is a count of what was opened, no promise: the maker, class and the owner decide")
	return out
}

func (r Review) inForce() string {
	var odd []string
	for _, p := range r.e.Book.Positions() {
		if i, ok := r.e.Book.IntervalOn(p, r.e.today); ok && i.Hours.Float() != r.Present {
			by := ""
			if i.Decision != nil {
				by = " by " + i.Decision.ID.Written
			}
			odd = append(odd, p.String()+" "+i.Hours.String()+by)
		}
	}
	s := fmt.Sprintf("%.0f h", r.Present)
	if len(odd) > 0 {
		s += "; " + strings.Join(odd, ", ")
	}
	return s
}

func (r Review) allowedText() string {
	if r.Allowed == 0 {
		return "the book states no bound of maker or class; ask them before anything longer"
	}
	return fmt.Sprintf("%.0f h (%s)", r.Allowed, r.AllowedBy)
}

func (r Review) acceptedText() string {
	if r.Target == 0 {
		return "the book does not state what chance of a bad valve the owner accepts"
	}
	return percent(r.Target) + " bad at full interval"
}

// counts is the table of openings by reason and age, with and without the special causes.
func (r Review) counts() paper.Table {
	t := paper.Table{Name: "openings", Title: "openings in the window", Columns: []string{"opened", "age", "n", "bad", "not known", "bad, upper bound", "between h"}, Empty: "none"}
	row := func(what, age string, in func(Opening) bool) {
		var c tally
		low, high := math.Inf(1), 0.0
		for _, o := range r.inWindow {
			if in(o) {
				c.take(o)
				low, high = math.Min(low, o.Hours), math.Max(high, o.Hours)
			}
		}
		bound, ages := "–", "–"
		if b, err := survival.UpperBound(c.bad, c.n, r.e.level()); err == nil {
			bound = percent(b)
		}
		if high > 0 {
			ages = fmt.Sprintf("%.0f .. %.0f", low, high)
		}
		t.Add(paper.Text(what), paper.Text(age), num(c.n), num(c.bad), num(c.unknown), paper.Text(bound), paper.Text(ages))
	}
	full := fmt.Sprintf("from %.0f h", fullAge*r.Present)
	row("for hours", "all", func(o Opening) bool { return o.Why == ForHours })
	row("for hours, without special causes", "all", func(o Opening) bool { return o.Why == ForHours && o.Special == "" })
	row("for hours", full, func(o Opening) bool { return o.Why == ForHours && o.Hours >= fullAge*r.Present })
	row("for hours, without special causes", full, func(o Opening) bool { return o.Why == ForHours && o.Hours >= fullAge*r.Present && o.Special == "" })
	row("for symptom", "all", func(o Opening) bool { return o.Why == ForSymptom })
	row("for symptom, without special causes", "all", func(o Opening) bool { return o.Why == ForSymptom && o.Special == "" })
	row("other work", "all", func(o Opening) bool { return o.Why == ForOther })
	return t
}

func num(n int) paper.Cell { return paper.Text(fmt.Sprint(n)) }

// proves is what N openings prove, and at the assumed shapes the interval they carry.
func (r Review) proves() paper.Table {
	lv := r.e.level()
	t := paper.Table{Name: "proof", Title: "what N openings at full age prove: most that may be bad (" + r.e.settings.EvidenceLevel.Written + "), and the interval carried over the present one with none bad",
		Columns: []string{"N opened", "0 bad", "1 bad", "2 bad", "shape 1.5", "shape 2", "shape 3", "shape 4"}}
	for _, n := range []int{6, 12, 24, 36, 60, 90} {
		row := []paper.Cell{num(n)}
		for bad := range 3 {
			b, _ := survival.UpperBound(bad, n, lv)
			row = append(row, paper.Text(percent(b)))
		}
		for _, shape := range []float64{1.5, 2, 3, 4} {
			ratio, err := survival.PermittedRatio(0, n, r.Target, lv, shape)
			text := "–"
			if err == nil {
				text = fmt.Sprintf("%.2f", ratio)
			}
			row = append(row, paper.Text(text))
		}
		t.Add(row...)
	}
	return t
}

// survival fits what the ages allow, with and without the special causes, and with symptom pulls.
func (r Review) survival() paper.Table {
	t := paper.Table{Name: "survival", Title: "lives: age by which the accepted share is bad, in hours", Columns: []string{"from", "n", "bad", "assumed shape", "at least", "fitted shape", "shape between", "age", "age between", "why no fit", "replace at"}}
	st := r.e.settings
	spread := survival.Spread{Share: st.AgesShare.Float() / 100, Young: st.AgesYoung.Value, Old: st.AgesOld.Value, Ended: st.AgesBad.Int()}
	for _, g := range r.groups() {
		row := []string{g.name, fmt.Sprint(len(g.lives)), fmt.Sprint(g.bad), fmt.Sprintf("%g", st.WearShape.Value), "–", "–", "–", "–", "–", "", "–"}
		fixed, err := survival.FitFixedShape(g.lives, st.WearShape.Value)
		if err == nil && r.Target > 0 {
			if age, err := fixed.PermittedAge(r.Target, r.e.level()); err == nil {
				row[4] = fmt.Sprintf("%.0f", age)
			}
		}
		fit, err := spread.Fit(g.lives)
		if err == nil {
			row[5] = fmt.Sprintf("%.2f", fit.Shape)
			if p, err := fit.ShapeProfile(r.e.level()); err == nil {
				row[6] = fmt.Sprintf("%.2f .. %.2f", p.Low, p.High)
			}
			if r.Target > 0 {
				row[7] = fmt.Sprintf("%.0f", fit.Age(r.Target))
				if p, err := fit.AgeProfile(r.Target, r.e.level()); err == nil {
					row[8] = fmt.Sprintf("%.0f .. %.0f", p.Low, p.High)
				}
			}
			row[10] = r.replaceAt(fit.Weibull)
		} else {
			row[9] = err.Error()
			var no *survival.Refusal
			if fixed.Ended > 0 && errors.As(err, &no) {
				row[10] = r.replaceAt(survival.Weibull{Shape: fixed.Shape, Scale: fixed.Scale})
			}
		}
		cells := make([]paper.Cell, len(row))
		for i, s := range row {
			cells[i] = paper.Text(s)
		}
		t.Add(cells...)
	}
	return t
}

// replaceAt is the age at which opening costs least for the stated costs, or that valves are run on condition.
func (r Review) replaceAt(w survival.Weibull) string {
	var all []string
	if r.ask.Planned > 0 && r.ask.Failed > 0 {
		switch x, err := survival.AgeReplacement(w, r.ask.Planned, r.ask.Failed); {
		case err != nil:
			all = append(all, err.Error())
		case math.IsInf(x.Age, 1):
			all = append(all, "run on condition: "+x.Why)
		default:
			all = append(all, fmt.Sprintf("%.0f h", x.Age))
		}
	}
	if r.ask.Planned > 0 && r.ask.BadHour > 0 {
		if at, ok := inspectEvery(w, r.ask.Planned, r.ask.BadHour); ok {
			all = append(all, fmt.Sprintf("look every %.0f h", at))
		} else {
			all = append(all, "run on condition: no time between looks costs least")
		}
	}
	if len(all) == 0 {
		return "no costs stated"
	}
	return strings.Join(all, "; ")
}

type group struct {
	name  string
	lives []survival.Life
	bad   int
}

func (r Review) groups() []group {
	of := func(name string, in func(Opening) bool) group {
		g := group{name: name}
		for _, o := range r.inWindow {
			if o.State == Unknown || o.Why == ForOther || !in(o) {
				continue
			}
			g.lives = append(g.lives, o.life())
			if o.State == Bad {
				g.bad++
			}
		}
		return g
	}
	return []group{
		of("for hours, without special causes", func(o Opening) bool { return o.Why == ForHours && o.Special == "" }),
		of("for hours", func(o Opening) bool { return o.Why == ForHours }),
		of("with those pulled for a symptom", func(o Opening) bool { return true }),
	}
}

// excluded names each opening left out, and the bad ones kept, so that nobody has to trust a number.
func (r Review) excluded() paper.Table {
	t := paper.Table{Name: "excluded", Title: "bad, left out or not known: each by name", Columns: []string{"record", "where", "hours", "opened", "state", "what", "left out because"}, Empty: "none"}
	for _, o := range r.inWindow {
		if o.State == Fine && o.Special == "" && o.Why == ForHours {
			continue
		}
		why := o.Special
		if why == "" && o.Why != ForHours {
			why = "opened " + string(o.Why)
		}
		if why == "" && o.State == Bad {
			why = "counted"
		}
		if why == "" {
			why = "nothing was tested as found"
		}
		t.Add(paper.Record(o.Overhaul.Stem), paper.At(o.Stay.Position), paper.Text(fmt.Sprintf("%.0f", o.Hours)), paper.Text(string(o.Why)), paper.Text(string(o.State)), paper.Text(o.What), paper.Text(why))
	}
	return t
}

func (r Review) trialPlan() []string {
	var notes []string
	if r.Needed > 0 {
		notes = append(notes, fmt.Sprintf("%d openings at full age, none bad, prove %s at %s", r.Needed, percent(r.Target), r.e.settings.EvidenceLevel.Written))
	}
	if r.Present > 0 && r.Target > 0 {
		want := roundDown(r.Present * (1 + r.e.settings.TrialStep.Float()/100))
		line := fmt.Sprintf("a trial that would prove more: one or two cylinders of each engine at %.0f h, the others as now; at that age %d openings, none bad, would prove it; stop at the first valve bad for the same cause, at an exhaust deviation to look at, or at two bad in any round", want, r.Needed)
		if r.Allowed > 0 && want > r.Allowed {
			line += fmt.Sprintf("; the book allows %.0f h, so maker or class must agree first", r.Allowed)
		}
		notes = append(notes, line)
	}
	return notes
}

// Decision is a decision record, ready to be completed and signed. Its kind is "other" until somebody decides: a proposal sets no interval.
func (r Review) Decision(id string) string {
	quote := func(s string) string {
		return `"` + strings.ReplaceAll(strings.ReplaceAll(s, `\`, `\\`), `"`, `'`) + `"`
	}
	var left []string
	for _, o := range r.inWindow {
		if o.Special != "" || o.Why == ForOther {
			left = append(left, o.Overhaul.Stem)
		}
	}
	var engines []string
	for _, e := range r.e.Book.Vessel.Engines {
		engines = append(engines, e.ID.Written)
	}
	excluded := "nothing"
	if len(left) > 0 {
		excluded = strings.Join(left, ", ") + ": special causes and other work, each named in the review"
	}
	return fmt.Sprintf(`---
id: %s
date: %s
kind: other            # interval or trial, once it is decided: until then it sets nothing
engines: [%s]
interval: %s
evidence: %s
excluded: %s
stop_rule: "exhaust deviation to look at, or two valves bad in any round"
review: %s
# by: who decides (an id of crew.csv)
# agreed: who agrees
---

Proposal of the review: %s.

Window: openings from %s to %s. Allowed: %s. Accepted: %s.

To be completed by who decides: fuel outlook, cylinders and age of a trial, what maker and class say.
`, id, r.e.today, strings.Join(engines, ", "), measure.FromFloat(r.Proposed, 0, measure.Hours), quote(fmt.Sprintf("%d bad of %d at full age without special causes, %d of %d with them", r.Full.bad, r.Full.n, r.FullSpecial.bad, r.FullSpecial.n)),
		quote(excluded), r.e.today+182, r.Proposal, r.from, r.e.today, r.allowedText(), r.acceptedText())
}

// inspectEvery is the time between looks that costs least, where a valve may go bad unseen: a look costs once, an hour run bad costs each
// time. ok is false where no such time exists: the more seldom the cheaper.
//
// Source: Barlow and Proschan, Mathematical Theory of Reliability, 1965, chapter 4, with renewal at every look; from memory.
func inspectEvery(w survival.Weibull, look, badHour float64) (at float64, ok bool) {
	best, cost := 0.0, math.Inf(1)
	far := w.Age(0.999)
	const steps = 2000
	sum, last := 0.0, 0.0
	for i := 1; i <= steps; i++ {
		t := far * float64(i) / steps
		f := w.Ended(t)
		sum += (last + f) / 2 * far / steps
		last = f
		if c := (look + badHour*sum) / t; c < cost {
			best, cost = t, c
		}
	}
	return best, best < far*0.999
}

// deadShare is the share of time run bad unseen with looks so far apart.
func deadShare(w survival.Weibull, every float64) float64 {
	const steps = 2000
	sum := 0.0
	for i := range steps {
		a, b := every*float64(i)/steps, every*float64(i+1)/steps
		sum += (w.Ended(a) + 4*w.Ended((a+b)/2) + w.Ended(b)) / 6 * (b - a)
	}
	return sum / every
}

// bandTable is the share fine by age, never a bare percentage.
func (r Review) bandTable() paper.Table {
	t := paper.Table{Name: "ages", Title: "fine as found by age, all of the book opened for hours without special causes", Columns: []string{"age h", "n", "fine", "share fine", "between", "curve"}}
	if t.Empty = "the book states no interval to take ages by"; r.Present == 0 {
		return t
	}
	edges := []float64{0, 0.5, 0.75, 1, 1.1, 1.25, math.Inf(1)}
	var lives []survival.Life
	for _, o := range r.e.Openings {
		if o.Why == ForHours && o.Special == "" && o.State != Unknown {
			l := o.life()
			if l.After > 0 { // to tens of hours: so fine an age decides nothing, and the curve has fewer steps
				l.After = 10 * math.Ceil(l.After/10)
			}
			if !math.IsInf(l.By, 1) {
				l.By = 10 * math.Ceil(l.By/10)
			}
			lives = append(lives, l)
		}
	}
	curve, cerr := survival.Turnbull(lives)
	for i := range len(edges) - 1 {
		a, b := edges[i]*r.Present, edges[i+1]*r.Present
		n, fine := 0, 0
		for _, o := range r.e.Openings {
			if o.Why == ForHours && o.Special == "" && o.State != Unknown && o.Hours >= a && o.Hours < b {
				n++
				if o.State == Fine {
					fine++
				}
			}
		}
		name := fmt.Sprintf("%.0f .. %.0f", a, b)
		if math.IsInf(b, 1) {
			name = fmt.Sprintf("from %.0f", a)
		}
		share, between, at := "–", "–", "–"
		if x, err := survival.BadShare(n-fine, n, r.e.level()); err == nil {
			share, between = percent(float64(fine)/float64(n)), percent(1-x.High)+" .. "+percent(1-x.Low)
		}
		if cerr == nil && !math.IsInf(b, 1) && b > 0 {
			s := curve.Survives(b)
			at = percent(s.Low) + " .. " + percent(s.High)
		}
		t.Add(paper.Text(name), num(n), num(fine), paper.Text(share), paper.Text(between), paper.Text(at))
	}
	return t
}

// byEngine compares the engines at equal ages.
func (r Review) byEngine() paper.Table {
	t := paper.Table{Name: "engines", Title: "the engines at full age, opened for hours, without special causes, all of the book", Columns: []string{"engine", "n", "bad", "bad, between", "loss of opening pressure, middle, used setting"}}
	for _, x := range r.e.Book.Vessel.Engines {
		var c tally
		for _, o := range r.e.Openings {
			if o.Stay.Engine == x.ID.Written && o.Why == ForHours && o.Special == "" && o.Hours >= fullAge*r.Present {
				c.take(o)
			}
		}
		between, loss := "–", "–"
		if b, err := survival.BadShare(c.bad, c.n, r.e.level()); err == nil {
			between = percent(b.Low) + " .. " + percent(b.High)
		}
		var bars []float64
		for _, s := range r.e.Causes.Shifts {
			if s.Overhaul.Removed.Engine.Written == x.ID.Written && s.Left.Class == logbook.Used && s.LeftWrong == nil && s.FoundWrong == nil && !s.Settled && s.Hours >= fullAge*r.Present {
				bars = append(bars, -s.Bar)
			}
		}
		if len(bars) > 0 {
			slices.Sort(bars)
			loss = fmt.Sprintf("%.0f bar of %d", bars[len(bars)/2], len(bars))
		}
		t.Add(paper.Text(x.ID.Written), num(c.n), num(c.bad), paper.Text(between), paper.Text(loss))
	}
	return t
}
