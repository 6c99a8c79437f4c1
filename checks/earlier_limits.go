package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

var earlierLimits = &Check{
	Name:    "earlier-limits",
	Subject: OfLimits,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "Records that the limits in force today would judge otherwise than those of their own day did. They are not at " +
		"fault and stay judged as they were: nobody can be held to a limit that was not yet written. But a part that " +
		"passed then, and would not now, may still be running. " +
		"Go through the parts named: what is still fitted or in the spares rack is looked at when it is opened next. " +
		"`check --limits-of` shows the whole book by the limits of one day.",
	Source:  "common practice, no source",
	Example: "9 overhauls would be judged otherwise by the revision from 2022-06-01",
	Grade:   Note,
	Whole: func(c *Case) {
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			if l := c.Book.Limits[name]; len(l.Revisions) > 1 {
				newlyJudged(c, l)
			}
		}
	},
}

// newlyJudged finds the records of one limits file that its revision in force today judges otherwise.
func newlyJudged(c *Case, l *logbook.Limits) {
	now := revisionAt(l, c.Today)
	if now == nil {
		return
	}
	type change struct{ name, result string }
	counts := map[change]int{}
	var related []Related
	n, today := 0, judging.By(l.As(c.Today), c.Book)
	for _, o := range c.Book.Overhauls {
		if c.Book.LimitsFor(o) != l || o.Day() >= now.From.Day {
			continue
		}
		differs := false
		for _, v := range today(o) {
			was := c.Judged.Find(o, v.Key)
			if v.Result.Out() == was.Result.Out() {
				continue
			}
			k := change{v.Name, "within"}
			if v.Result.Out() {
				k.result = "beyond"
			}
			counts[k]++
			if !differs {
				related = append(related, Related{v.Place, fmt.Sprintf("%s: %s; by the revision from %s %s", v.Name, was.Result,
					now.From, v.Result)})
			}
			differs = true
		}
		if differs {
			n++
		}
	}
	if n == 0 {
		return
	}
	var parts []string
	for _, k := range slices.SortedFunc(maps.Keys(counts), func(a, b change) int {
		return strings.Compare(a.name+a.result,
			b.name+b.result)
	}) {
		parts = append(parts, fmt.Sprintf("%s: %d %s", k.name, counts[k], k.result))
	}
	c.Report(Finding{Place: now.From.Place, Related: related,
		Message: fmt.Sprintf("%s would be judged otherwise by the revision from %s", numbered(n, "overhaul", "overhauls"),
			now.From),
		Evidence: append(parts, "each is judged by the limits of its own day"),
		Next:     "look at those of the parts that are still fitted or in the spares rack when they are opened next"})
}

// revisionAt is the youngest revision in force on a day; nil before the first.
func revisionAt(l *logbook.Limits, day logbook.Day) *logbook.Revision {
	var in *logbook.Revision
	for i := range l.Revisions {
		if e := &l.Revisions[i]; e.From.Day != 0 && e.From.Day <= day && (in == nil || e.From.Day > in.From.Day) {
			in = e
		}
	}
	return in
}
