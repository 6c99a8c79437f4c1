package checks

import (
	"fmt"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// recurringSource is where the statistics of recurring findings come from.
const recurringSource = "I. J. Good on probability and evidence (Griffin, 1950); Kass & Raftery, J. Am. Stat. Assoc. " +
	"90 (1995) 773; Westfall & Young, Resampling-Based Multiple Testing (1993); what causes what: common practice, " +
	"no source"

// What the battery in checks/internal/battery measured; its test holds these words.
const (
	measuredHolder = "Measured on simulated ships: false alarms on 7 of 2100 honest ships, at most 0.6 %; a " +
		"cracked holder that moves: named in 322 of 400, by an oracle in 331."
	measuredPosition = "Measured on simulated ships: false alarms on 6 of 2100 honest ships, at most 0.6 %; a " +
		"position ruins every valve: named in 394 of 400, by an oracle in 399; a position ruins 45 " +
		"%: named in 241 of 400, by an oracle in 271."
	measuredRound = "Measured on simulated ships: false alarms on 7 of 2100 honest ships, at most 0.6 %; a bad " +
		"bunker, every other valve: named in 391 of 400, by an oracle in 396; a bad bunker, one " +
		"valve in four: named in 360 of 400, by an oracle in 396."
	measuredGauge = "Measured on simulated ships: false alarms on 13 of 2100 honest ships, at most 1.0 %; a " +
		"gauge 7 % high, on the day: named in 377 of 400, by an oracle in 399; a gauge 7 % high, " +
		"after the next round: named in 387 of 400, by an oracle in 399; a gauge 4 % high, on the " +
		"day: named in 264 of 400, by an oracle in 347; a gauge 4 % high, after the next round: " +
		"named in 315 of 400, by an oracle in 385."
	measuredPressure = "Measured on simulated ships: false alarms on 0 of 2100 honest ships, at most 0.1 %."
)

// ofAndOthers is what an explanation covers beside the ship's own rate: "5 of 6 valves failed, of the others 6 of 180".
func ofAndOthers(f *recurring.Failures) string {
	return fmt.Sprintf("%d of %s failed, of the others %d of %d", f.Failed,
		logbook.Counted(len(f.Visits), "valve"), f.RestOf, f.Rest)
}

// chanceLine is the chance of an explanation, as evidence.
func chanceLine(chance float64, least bool, asked int) string {
	text := fmt.Sprintf("%.1f %%", 100*chance)
	if least || chance < 0.001 {
		text = "under 0.1 %"
	}
	return fmt.Sprintf("chance at the ship's own rate, allowing for %s asked: %s",
		logbook.Counted(asked, "explanation"), text)
}

// explainedBy reports the valves that failed and that a kind explains, one finding for each that is named.
func (c *Case) explainedBy(kinds []recurring.Kind, report func(f *recurring.Failures, finding Finding)) {
	all := c.Recurring()
	for i := range all.Failures {
		f := &all.Failures[i]
		for _, k := range kinds {
			if f.Kind == k {
				report(f, c.failedTogether(all, f))
			}
		}
	}
}

// failedTogether is the finding of what is named, without what to do. It is shown at the last valve that failed.
func (c *Case) failedTogether(all *recurring.Recurring, f *recurring.Failures) Finding {
	var out Finding
	for n := len(f.Visits) - 1; n >= 0; n-- {
		v := &all.Visits[f.Visits[n]]
		if !v.Failed {
			continue
		}
		o := v.Overhaul
		if out.Place.Path == "" {
			out.Place, out.About = all.PlaceOf(o), about(o)
			continue
		}
		out.Related = append(out.Related, Related{all.PlaceOf(o), fmt.Sprintf("%s in %s on %s", v.Holder, v.Position,
			o.Removed.Date)})
	}
	out.Message = fmt.Sprintf("%s %s: %s", f.Kind, f.Name, ofAndOthers(f))
	out.Evidence = []string{chanceLine(f.Chance, f.Least, f.Asked)}
	if head := all.HeadOf(f); f.Kind == recurring.ByPosition && head != "" {
		out.Evidence = append(out.Evidence, "cylinder head "+head+" was on it all the time: its exchange tells the two apart")
	}
	if f.Rival != nil {
		out.Grade = Advice
		out.Message = fmt.Sprintf("%s %s or %s %s: %s", f.Kind, f.Name, f.Rival.Kind, f.Rival.Name, ofAndOthers(f))
		out.Evidence = append(out.Evidence, "the records cannot tell which of the two it is")
		out.Next = decides(f.Kind, f.Rival.Kind)
	}
	return out
}

// decides is what tells two explanations apart.
func decides(a, b recurring.Kind) string {
	has := func(k recurring.Kind) bool { return a == k || b == k }
	switch {
	case has(recurring.ByHolder) && (has(recurring.ByPosition) || has(recurring.ByHead)):
		return "fit the holder in another cylinder, and another holder in its place: that decides"
	case has(recurring.ByGauge):
		return "compare the gauge with a better one before setting anything more: that decides"
	case has(recurring.ByPosition) && has(recurring.ByHead):
		return "look at the cylinder after its head is exchanged: that decides"
	case has(recurring.ByRound), has(recurring.ByFuel):
		return "look at the next round, and at the other engine: valves of other fuel decide"
	}
	return "fit these valves in other cylinders at the next round: that decides"
}

// pressuresMoved lists the readings that an explanation moves.
func pressuresMoved(all *recurring.Recurring, p *recurring.Pressures) []Related {
	var related []Related
	for n, i := range p.Visits {
		v := &all.Visits[i]
		o, what := v.Overhaul, "tested"
		if p.Sign[n] < 0 {
			what = "set before"
		}
		related = append(related, Related{o.AsFound.Opening.Place, fmt.Sprintf("%s %s: %s, %s", v.Position, v.Holder,
			strings.TrimSpace(o.AsFound.Opening.Median().String()), what)})
	}
	return related
}
