package evidence

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks/survival"
	"needlebook/logbook/measure"
)

// bounds finds the longest interval that the limits in force state: what maker or class allow at most, else the maker's own interval.
// Where both stand and contradict one another, the shorter one holds.
func (r *Review) bounds() {
	most, usual := r.t.in.IntervalMax, r.t.in.Interval
	switch {
	case most.Quantity.Valid() && usual.Quantity.Valid() && most.Float() < usual.Float():
		r.Allowed, r.AllowedBy = most.Float(), fmt.Sprintf("longest interval stated, although the interval stated is %s; the book contradicts itself, %s", usual, r.t.source(most.Place))
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
	case r.Target == 0:
		r.Proposal = fmt.Sprintf("keep %.0f h: the book does not say what chance of a bad valve the owner accepts (accepts in book.md)", r.Present)
	case r.Full.n == 0:
		r.Proposal = fmt.Sprintf("keep %.0f h: no valve was opened at full age in this time, nothing is proved", r.Present)
	default:
		r.weigh()
	}
	if r.Allowed > 0 && r.Proposed > r.Allowed {
		r.Proposed, r.Word = r.Allowed, "shorten"
		r.Proposal = fmt.Sprintf("%.0f h, although %.0f h is in force: the book allows no more (%s)", r.Allowed, r.Present, r.AllowedBy)
	}
}

func (r *Review) weigh() {
	e := r.e
	low, _ := survival.LowerBound(r.Full.bad, r.Full.n, e.level())
	r.Ratio, _ = survival.PermittedRatio(r.Full.bad, r.Full.n, r.Target, e.level(), e.settings.WearShape.Value)
	seen := fmt.Sprintf("%d bad of %d at full age allow up to %s bad, %s are accepted", r.Full.bad, r.Full.n, percent(r.Bound), percent(r.Target))
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
		want := r.longer(r.Ratio)
		switch {
		case want <= r.Present && r.Allowed > r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s, which proves the present interval and no more", r.Present, seen)
		case r.Allowed == 0:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s; a longer one could be asked for, but the book states no bound of maker or class", r.Present, seen)
		case r.Allowed <= r.Present:
			r.Proposal = fmt.Sprintf("keep %.0f h: %s; a longer one could be asked for, but the book allows no more than %.0f h (%s)", r.Present, seen, r.Allowed, r.AllowedBy)
		default:
			r.Word, r.Proposed = "try longer", want
			r.Proposal = fmt.Sprintf("try %.0f h on one or two cylinders of each engine, not on all: %s", want, seen)
		}
	}
}

// longer is the age that a trial may try: the step of the book's setting, not more than the ratio that is carried, and never more than
// the book allows. It is the present interval where nothing longer is open.
func (r *Review) longer(carried float64) float64 {
	if r.Allowed <= r.Present {
		return r.Present
	}
	return math.Max(r.Present, roundDown(math.Min(r.Allowed, r.Present*math.Min(carried, 1+r.e.settings.TrialStep.Float()/100))))
}

// roundDown brings hours to tens: nobody plans by single hours.
func roundDown(h float64) float64 { return 10 * math.Floor(h/10+1e-9) }

// trialPlan says what would prove more, and how many openings that takes.
func (r Review) trialPlan() []string {
	if r.Present == 0 || r.Target == 0 || r.Needed == 0 {
		return nil
	}
	lines := []string{fmt.Sprintf("to prove %s: %d openings at full age, none bad (%s)", percent(r.Target), r.Needed, r.e.settings.EvidenceLevel.Written)}
	want := r.longer(math.Inf(1))
	if want <= r.Present {
		why := "the book states no bound of maker or class"
		if r.Allowed > 0 {
			why = fmt.Sprintf("the book allows %.0f h", r.Allowed)
		}
		return append(lines, "a trial of a longer one is not open: "+why+"; maker or class must agree first, and the limits file say so (interval_max)")
	}
	each := 2 * len(r.t.engines)
	rounds := (r.Needed + each - 1) / each
	return append(lines, fmt.Sprintf("a trial that would prove more: two cylinders of each engine at %.0f h, the others as now; %d such openings, none bad, are %d rounds; stop at the first valve bad for the same cause, at an exhaust deviation to look at, or at two bad in any round", want, r.Needed, rounds))
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
	engines := make([]string, len(r.t.engines))
	for i, e := range r.t.engines {
		engines[i] = quote(e)
	}
	excluded := "nothing"
	if len(left) > 0 {
		excluded = strings.Join(left, ", ") + ": special causes and other work, each named in the review"
	}
	plan := ""
	for _, line := range r.trialPlan() {
		plan += "\n- " + line
	}
	interval := "interval: " + measure.FromFloat(r.Proposed, 0, measure.Hours).String()
	if r.Proposed <= 0 {
		interval = "# interval: the book states none"
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

- window: openings from %s to %s
- interval in force: %s
- allowed: %s
- accepted: %s
- fuel outlook: %s%s

To be completed by who decides: cylinders and age of a trial, what maker and class say.
`, quote(id), r.e.today, strings.Join(engines, ", "), interval, quote(fmt.Sprintf("%d bad of %d at full age without special causes, %d of %d with them", r.Full.bad, r.Full.n, r.FullSpecial.bad, r.FullSpecial.n)),
		quote(excluded), r.e.today+182, r.Proposal, r.from, r.e.today, r.inForce(), r.allowedText(), r.acceptedText(), r.outlook(), plan)
}
