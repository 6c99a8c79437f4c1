package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// bounds finds the longest interval that the limits in force state: what maker or class allow at most, else the maker's
// own interval. Where both stand and contradict one another, the shorter one holds.
func (r *Review) bounds() {
	most, usual := r.t.in.IntervalMax, r.t.in.Interval
	switch {
	case most.Quantity.Valid() && usual.Quantity.Valid() && most.Float() < usual.Float():
		r.Allowed, r.AllowedBy = most.Float(),
			fmt.Sprintf("longest interval stated, although the interval stated is %s; the book contradicts itself, %s", usual,
				r.t.source(most.Place))
	case most.Quantity.Valid():
		r.Allowed, r.AllowedBy = most.Float(), "longest interval stated, "+r.t.source(most.Place)
	case usual.Quantity.Valid():
		r.Allowed, r.AllowedBy = usual.Float(), "maker's interval; no longer one is stated, "+r.t.source(usual.Place)
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
	case e.level() < 0.5 || e.level() >= 1:
		r.Needed = 0 // as where somebody means 95 % and types 0.95 %: everything would be proved
		r.Proposal = fmt.Sprintf("keep %.0f h: the setting evidence_level is %s; it must be from 50 %% to below 100 %%, "+
			"such as 95 %%, before anything is proved", r.Present, e.settings.EvidenceLevel.Written)
	case !e.Book.Vessel.Accepts.FailedAsFound.Quantity.Valid():
		r.Proposal = fmt.Sprintf("keep %.0f h: the book does not say what chance of a bad valve the owner accepts (accepts "+
			"in book.md)", r.Present)
	case r.Target <= 0 || r.Target >= 1:
		r.Proposal = fmt.Sprintf("keep %.0f h: the owner accepts %s", r.Present, r.acceptedText())
	case r.Full.n == 0:
		r.Proposal = fmt.Sprintf("keep %.0f h: no valve was opened at full age in this time, nothing is proved", r.Present)
	default:
		r.judge()
	}
	r.Proposal += r.oneCulprit()
	if r.early > 0 {
		r.Proposal += fmt.Sprintf("; %d more came out for a symptom before that age and were bad, without a special cause",
			r.early)
	}
	if r.Allowed > 0 && r.Proposed > r.Allowed {
		r.Proposed, r.Word = r.Allowed, "shorten"
		r.Proposal = fmt.Sprintf("%.0f h, although %.0f h is in force: the book allows no more (%s)", r.Allowed, r.Present,
			r.AllowedBy)
	}
}

func (r *Review) judge() {
	e := r.e
	low, _ := survival.LowerBound(r.Full.bad, r.Full.n, e.level())
	r.Ratio, _ = survival.PermittedRatio(r.Full.bad, r.Full.n, r.Target, e.level(), e.settings.WearShape.Value)
	accepted := e.Book.Vessel.Accepts.FailedAsFound.Written
	seen := fmt.Sprintf("%d bad of %d at full age allow up to %s bad, %s are accepted", r.Full.bad, r.Full.n,
		against(r.Bound, r.Target), accepted)
	// A valve that was bad before it came to full age is missing among those opened then: with it the share is that of
	// all.
	whole, _ := survival.UpperBound(r.Full.bad+r.early, r.Full.n+r.early, e.level())
	switch {
	case low > r.Target:
		r.shorten(low)
	case r.Bound > r.Target:
		more := 0
		if n, err := survival.OpeningsNeeded(r.Target, e.level(), r.Full.bad); err == nil {
			more = max(0, n-r.Full.n)
		}
		r.Proposal = fmt.Sprintf("keep %.0f h, do not extend: %s; %d more at full age, none of them bad, would prove it",
			r.Present, seen, more)
	case whole > r.Target:
		r.Proposal = fmt.Sprintf("keep %.0f h, do not extend: %s, but with those that did not reach it up to %s", r.Present,
			seen, against(whole, r.Target))
	default:
		want := r.longer(r.Ratio)
		switch {
		case want <= r.Present && r.Allowed > r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s, which proves the present interval and no more", r.Present, seen)
		case r.Allowed == 0:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s; a longer one could be asked for, but the book states no bound of "+
				"maker or class", r.Present, seen)
		case r.Allowed <= r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s; a longer one could be asked for, but the book allows no more than "+
				"%.0f h (%s)", r.Present, seen, r.Allowed, r.AllowedBy)
		default:
			r.Word, r.Proposed = "try longer", want
			r.Proposal = fmt.Sprintf("try %.0f h on one or two cylinders of each engine, not on all: %s", want, seen)
		}
	}
}

// oneCulprit says where most of the bad valves at full age share a holder, a position or a batch that stands out: an
// interval for all is no answer to that. It is not set aside here, since nobody has found it at fault yet.
func (r *Review) oneCulprit() string {
	for _, a := range r.e.named {
		if a.With != withFailed || a.Kind == aRound || a.Kind == aBunker {
			continue
		}
		var had tally
		for _, o := range r.inWindow {
			if r.atFullAge(o) && o.Special == "" && a.valves[o.Overhaul] {
				had.take(o)
			}
		}
		if 2*had.bad > r.Full.bad {
			return fmt.Sprintf("; %d of the %d bad at full age had %s %s, which occurs with bad valves (look at it first: "+
				"needlebook recurring), of the others %d of %d were bad", had.bad, r.Full.bad, a.Kind, a.Which, r.Full.bad-had.bad,
				r.Full.n-had.n)
		}
	}
	return ""
}

// shorten goes back to the age that the overhauls at full age carry at the assumed shape; where all of those were bad
// they carry none, and the younger ones are asked.
func (r *Review) shorten(low float64) {
	shape := r.e.settings.WearShape.Value
	r.Word, r.Proposed = "shorten", roundDown(r.Present*math.Min(1, r.Ratio))
	if r.Full.bad == r.Full.n {
		r.Proposed = 0
		if fixed, err := survival.FitFixedShape(r.groups()[0].lives, shape); err == nil {
			age, _ := fixed.PermittedAge(r.Target, r.e.level())
			r.Proposed = roundDown(math.Min(r.Present, age))
		}
	}
	bad := fmt.Sprintf("at least %s were bad, %s are accepted", against(low, r.Target),
		r.e.Book.Vessel.Accepts.FailedAsFound.Written)
	r.Proposal = fmt.Sprintf("shorten to %.0f h, by the assumed shape %g: %s", r.Proposed, shape, bad)
	if r.Proposed <= 0 {
		r.Proposal = fmt.Sprintf("shorten; to what age these overhauls do not tell, since all %d at full age were bad: "+
			"open the next ones much sooner, and ask the maker", r.Full.n)
	}
}

// longer is the age that a trial may try: the step of the book's setting, not more than the ratio that is carried, and
// never more than the book allows. It is the present interval where nothing longer is open.
func (r *Review) longer(carried float64) float64 {
	if r.Allowed <= r.Present {
		return r.Present
	}
	return math.Max(r.Present,
		roundDown(math.Min(r.Allowed, r.Present*math.Min(carried, 1+r.e.settings.TrialStep.Float()/100))))
}

// roundDown brings hours to tens: nobody plans by single hours.
func roundDown(h float64) float64 { return 10 * math.Floor(h/10+1e-9) }

// trialPlan says what would prove more, and how many overhauls that takes.
func (r Review) trialPlan() []string {
	if r.Present == 0 || r.Target == 0 || r.Needed == 0 {
		return nil
	}
	lines := []string{fmt.Sprintf("to prove %s: %s at full age, none bad (%s)", percent(r.Target),
		logbook.Counted(r.Needed, "overhaul"),
		r.e.settings.EvidenceLevel.Written)}
	if r.Word == "shorten" {
		return lines
	}
	want := r.longer(math.Inf(1))
	if want <= r.Present {
		why := "the book states no bound of maker or class"
		if r.Allowed > 0 {
			why = fmt.Sprintf("the book allows %.0f h", r.Allowed)
		}
		return append(lines, "a trial of a longer one is not open: "+why+
			"; maker or class must agree first, and the limits file say so (interval_max)")
	}
	of := r.trialOf()
	if len(of) == 0 {
		return append(lines, "no cylinder is free for a trial: each is empty, beyond its interval, under a decision of its "+
			"own, or has recurring findings")
	}
	rounds := (r.Needed + len(of) - 1) / len(of)
	return append(lines, fmt.Sprintf("a trial that would prove more: %s at %.0f h, which come up next, the others as "+
		"now; %s, none bad, in %s; stop at the first valve bad for the same cause, at an exhaust "+
		"deviation to look at, or at two bad in any round", strings.Join(of, ", "), want,
		logbook.Counted(r.Needed, "such overhaul"), logbook.Counted(rounds, "round")))
}

// trialOf names the two cylinders of each engine that a trial would tell of soonest: those that have run most within
// the interval, whose valve and position do not stand out, and that no decision of their own holds.
func (r Review) trialOf() []string {
	var all []string
	for _, engine := range r.t.engines {
		type run struct {
			at    logbook.Position
			hours float64
		}
		var free []run
		for _, p := range r.positions() {
			i, _ := r.e.Book.IntervalOn(p, r.e.today)
			if s := r.e.lives.At(p, r.e.today); s != nil && p.Engine == engine && i.Hours.Float() == r.Present &&
				!r.e.standsOut(s) {
				if h, ok := r.e.lives.HoursOn(s, r.e.today); ok && h <= r.Present {
					free = append(free, run{p, h})
				}
			}
		}
		slices.SortStableFunc(free, func(a, b run) int { return cmp.Compare(b.hours, a.hours) })
		for _, x := range free[:min(2, len(free))] {
			all = append(all, x.at.String())
		}
	}
	return all
}

// decides are the engines that a proposal is for: those on the interval reviewed, and of others only what it shortens.
// An engine kept on a shorter one for a reason of its own is not brought back to that of its other cylinders.
func (r Review) decides() []string {
	var all []string
	for _, p := range r.positions() {
		i, ok := r.e.Book.IntervalOn(p, r.e.today)
		if h := i.Hours.Float(); (!ok || h == r.Present || r.Word == "shorten" && h > r.Proposed) &&
			!slices.Contains(all, p.Engine) {
			all = append(all, p.Engine)
		}
	}
	return all
}

// standsOut says that the holder or the position of a stay occurs with bad valves.
func (e *Evidence) standsOut(s *logbook.ServicePeriod) bool {
	return slices.ContainsFunc(e.named, func(a Association) bool {
		return a.With == withFailed && (a.Kind == aHolder && a.Which == s.Holder || a.Kind == aPosition &&
			a.Which == s.Position.String())
	})
}

// Decision is a decision record, ready to be completed and signed. Its kind is "other" until somebody decides: a
// proposal sets no interval.
func (r Review) Decision(id string) string {
	quote := func(s string) string {
		return `"` + strings.ReplaceAll(strings.ReplaceAll(s, `\`, `\\`), `"`, `'`) + `"`
	}
	var left []string
	for _, o := range r.inWindow {
		if o.Special != "" || o.Why != ForHours {
			left = append(left, o.Overhaul.Stem)
		}
	}
	var engines []string
	for _, e := range r.decides() {
		engines = append(engines, quote(e))
	}
	excluded := "nothing"
	if len(left) > 0 {
		excluded = strings.Join(left, ", ") + ": special causes, symptoms and other work, each named in the review"
	}
	plan := ""
	for _, line := range r.trialPlan() {
		plan += "\n- " + line
	}
	interval := "interval: " + measure.FromFloat(r.Proposed, 0, measure.Hours).String()
	switch {
	case r.Present == 0:
		interval = "# interval: the book states none"
	case r.Proposed <= 0:
		interval = "# interval: these overhauls carry none"
	case r.Word == "try longer": // without cylinders it would hold for all
		if of := r.trialOf(); len(of) > 0 {
			interval = `cylinders: ["` + strings.Join(of, `", "`) + "\"]   # those on trial\n" + interval
		} else {
			interval = "# cylinders: those on trial\n# " + interval
		}
	}
	return fmt.Sprintf(`---
id: %s
date: %s
kind: other            # interval or trial, once it is decided: until then it sets nothing
engines: [%s]
%s
evidence: %s
excluded: %s
stop_rule: "exhaust deviation to look at, or two valves bad in any round"
review: %s
# by: who decides (an id of crew.csv)
# agreed: who agrees
---

Proposal of the review: %s.

- window: overhauls from %s to %s
- interval in force: %s
- allowed: %s
- accepted: %s
- fuel outlook: %s%s

To be completed by who decides: cylinders and age of a trial, what maker and class say.
`, quote(id), r.e.today, strings.Join(engines, ", "), interval,
		quote(fmt.Sprintf("%d bad of %d %s without special causes, %d of %d with them", r.Full.bad, r.Full.n, r.ages(),
			r.FullSpecial.bad, r.FullSpecial.n)),
		quote(excluded), r.e.today+182, r.Proposal, r.from, r.e.today, r.inForce(), r.allowedText(), r.acceptedText(),
		r.outlook(), plan)
}
