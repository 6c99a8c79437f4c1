package checks

import (
	"fmt"
	"strings"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var roundWithCommonCause = &Check{
	Name:    "round-with-common-cause",
	Subject: OfRound,
	Ends:    nextRound,
	Version: 1,
	Level:   Batch,
	Doc: "Too many valves of one round show the same fault for a fault of each: a large share leaks at the seat or " +
		"sprays badly, or several do so below half the interval, " +
		"or the leak-down of the whole round is far below what this ship's valves show at that age. Six nozzles do not " +
		"wear out in the same month; fuel does that to all of them. " +
		"The finding names the bunkers in use while the valves ran, with the days of each, and earlier rounds that ran on " +
		"the same; it cannot know which one did it. " +
		"Look for the common cause before the next nozzle: sample the fuel, purifier, filters, heating, and look at the " +
		"other engine; keep the worst pair untouched for the claim.",
	Source:  "common practice, no source",
	Example: "2 of 6 valves of ME1 2023-01-22 leak or spray badly, 2 below half the interval",
	Grade:   Action,
	Whole: func(c *Case) {
		all := c.Recurring().Fouled
		for i := range all {
			c.Report(fouledRound(all, &all[i]))
		}
	},
}

func fouledRound(all []recurring.Fouled, r *recurring.Fouled) Finding {
	var what []string
	if r.Many || r.Soon {
		text := fmt.Sprintf("%d of %d valves of %s leak or spray badly", len(r.Bad), r.Judged, r.Round.Name)
		if r.Soon {
			text += fmt.Sprintf(", %d below half the interval", len(r.Early))
		}
		what = append(what, text)
	}
	if r.Short {
		text := fmt.Sprintf("mean leak-down %.1f s, this ship's valves of that age %.1f s (%s)", r.Leak.Mean,
			r.Leak.Usual, numbered(r.Leak.Over, "valve", "valves"))
		if len(what) == 0 {
			text = fmt.Sprintf("%s of %s: %s", numbered(r.Leak.N, "valve", "valves"), r.Round.Name, text)
		}
		what = append(what, text)
	}
	f := Finding{Place: fouledPlace(r), About: About{Round: r.Round.Name},
		Next: "look for the common cause before the next nozzle: fuel sample, purifier, filters, the other engine"}
	for _, o := range r.Bad {
		f.Related = append(f.Related, Related{o.PlaceOf(keys.AsFoundSpray), fmt.Sprintf("%s-%s %s: seat %s, spray %s",
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
		what = append(what, "bunker in use: "+bunkers[0])
	default:
		what = append(what, "bunkers in use: "+strings.Join(bunkers, ", "))
	}
	for _, i := range r.Earlier {
		f.Related = append(f.Related, Related{fouledPlace(&all[i]),
			"round " + all[i].Round.Name + " ran on the same bunker and was fouled too"})
	}
	f.About.Bunker = suspect(all, r)
	f.Message, f.Evidence = what[0], what[1:]
	return f
}

// fouledPlace is the line a fouled round is shown at: the spray of its first bad valve, else the leak-down of its
// first.
func fouledPlace(r *recurring.Fouled) logbook.Place {
	if len(r.Bad) > 0 {
		return r.Bad[0].PlaceOf(keys.AsFoundSpray)
	}
	return r.Round.Overhauls[0].PlaceOf(keys.AsFoundLeakDown)
}

// suspect is the bunker that the page of a bunker shows the round on: the one that earlier fouled rounds ran on too,
// else the one in use longest.
func suspect(all []recurring.Fouled, r *recurring.Fouled) string {
	for _, u := range r.Bunkers {
		for _, i := range r.Earlier {
			for _, v := range all[i].Bunkers[:min(1, len(all[i].Bunkers))] {
				if v.Bunker == u.Bunker {
					return u.Bunker.Stem.Written
				}
			}
		}
	}
	if len(r.Bunkers) > 0 {
		return r.Bunkers[0].Bunker.Stem.Written
	}
	return ""
}

func wordOr(w logbook.Word) string {
	if w.Stated() {
		return w.Written
	}
	return "not tested"
}
