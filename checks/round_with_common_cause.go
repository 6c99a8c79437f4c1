package checks

import (
	"fmt"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook"
)

var roundWithCommonCause = &Check{
	Name:    "round-with-common-cause",
	Subject: OfRound,
	Ends:    nextRound,
	Version: 3,
	Level:   Batch,
	Doc: "Too many valves of one round, or of the rounds that ran on one bunker, failed for a fault of each. Their " +
		"number and their leak-down are held against this ship's own, and holder, position, round, fuel and chance " +
		"are compared with one another. Six nozzles do not wear out in the same month; fuel does that to all of them. " +
		"The finding names the bunkers in use while the valves ran, with the days of each, and earlier rounds that ran on " +
		"the same; it cannot know which one did it. " +
		"Look for the common cause before the next nozzle: sample the fuel, purifier, filters, heating, and look at the " +
		"other engine; keep the worst pair untouched for the claim. " + measuredRound,
	Source:  recurringSource,
	Example: "4 of 6 valves of ME1 2023-01-22 failed, of the others 6 of 120",
	Grade:   Action,
	Whole: func(c *Case) {
		all := c.Recurring()
		for i := range all.Fouled {
			c.Report(fouledRound(all, &all.Fouled[i]))
		}
		kinds := []recurring.Kind{recurring.ByRound, recurring.ByFuel}
		c.explainedBy(kinds, func(f *recurring.Failures, out Finding) {
			if f.Rival != nil {
				out.About = About{Round: all.RoundOf(f.Visits[len(f.Visits)-1]).Name}
				c.Report(out)
			}
		})
	},
}

func fouledRound(all *recurring.Recurring, r *recurring.Fouled) Finding {
	f := Finding{Place: fouledPlace(all, r), About: About{Round: r.Round.Name},
		Message: fmt.Sprintf("%d of %s of %s failed, of the others %d of %d", len(r.Bad),
			logbook.Counted(r.Judged, "valve"), r.Round.Name, r.By.RestOf, r.By.Rest),
		Evidence: []string{chanceLine(r.By.Chance, r.By.Least, r.By.Asked)},
		Next:     "look for the common cause before the next nozzle: fuel sample, purifier, filters, the other engine"}
	if len(r.Bad) < 2 && r.Leak > 0 { // it is the leak-down that tells
		f.Message = fmt.Sprintf("leak-down of %s %.0f %% of what this ship's valves show at that age, %d of %d failed",
			r.Round.Name, 100*r.Leak, len(r.Bad), r.Judged)
	}
	if r.By.Kind == recurring.ByFuel {
		f.Evidence = append(f.Evidence, fmt.Sprintf("of all that ran on %s %d of %d failed", r.By.Name, r.By.Failed,
			len(r.By.Visits)))
	}
	if r.Leak > 0 {
		f.Evidence = append(f.Evidence, fmt.Sprintf("leak-down %.0f %% of what this ship's valves show at that age",
			100*r.Leak))
	}
	for _, o := range r.Bad {
		f.Related = append(f.Related, Related{all.PlaceOf(o), fmt.Sprintf("%s-%s %s: seat %s, spray %s",
			o.Removed.Engine, o.Removed.Cylinder, o.Holder, wordOr(o.AsFound.Seat.State), wordOr(o.AsFound.Spray.Form))})
	}
	var bunkers []string
	for _, u := range r.Bunkers {
		bunkers = append(bunkers, fmt.Sprintf("%s (%d of %d days)", u.Bunker.Stem, u.Days, u.Of))
		f.Related = append(f.Related, Related{u.Bunker.Place, fmt.Sprintf("%s, in use from %s", u.Bunker.Stem,
			u.Bunker.From)})
	}
	switch len(bunkers) {
	case 0:
	case 1:
		f.Evidence = append(f.Evidence, "bunker in use: "+bunkers[0])
	default:
		f.Evidence = append(f.Evidence, "bunkers in use: "+strings.Join(bunkers, ", "))
	}
	for _, i := range r.Earlier {
		f.Related = append(f.Related, Related{fouledPlace(all, &all.Fouled[i]),
			"round " + all.Fouled[i].Round.Name + " ran on the same bunker and failed too"})
	}
	if len(r.Bunkers) > 0 {
		f.About.Bunker = r.Bunkers[0].Bunker.Stem.Written
	}
	return f
}

// fouledPlace is the line a fouled round is shown at: that of its first valve that failed, else the leak-down of its
// first.
func fouledPlace(all *recurring.Recurring, r *recurring.Fouled) logbook.Place {
	if len(r.Bad) > 0 {
		return all.PlaceOf(r.Bad[0])
	}
	return r.Round.Overhauls[0].AsFound.LeakDown.Time.Place
}

func wordOr(w logbook.Word) string {
	if w.Stated() {
		return w.Written
	}
	return "not tested"
}
