package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
)

var roundIncomplete = &Check{
	Name:    "round-incomplete",
	Subject: OfRound,
	Ends:    nextRound,
	Version: 1,
	Level:   Batch,
	Doc: "A round took most valves of an engine and not all. Often that is meant, as for a trial, which the finding " +
		"names; otherwise a record is missing, or a valve stays behind that nobody thinks of until it is overdue. " +
		"See that the ones left in stand on the list of what is due, or add the record.",
	Source:  "common practice, no source",
	Example: "round ME2 2024-04-02: 4 of 6, cylinders 1 and 4 were not opened (trial T-02)",
	Grade:   Note,
	Whole: func(c *Case) {
		for _, r := range c.Rounds {
			incomplete(c, r)
		}
	},
}

func incomplete(c *Case, r logbook.Round) {
	e := c.Book.Engine(r.Engine)
	if e == nil {
		return
	}
	opened := map[string]bool{}
	for _, o := range r.Overhauls {
		opened[o.Removed.Cylinder.Written] = true
	}
	var left, trials []string
	var misses []logbook.Position
	for _, cyl := range e.Cylinders.Each {
		if opened[cyl.Written] {
			continue
		}
		at := logbook.Position{Engine: r.Engine, Cylinder: cyl.Written}
		left, misses = append(left, cyl.Written), append(misses, at)
		if i, ok := c.Book.IntervalOn(at, r.First); ok && i.Decision != nil && i.Decision.Kind.Is("trial") {
			trials = append(trials, i.Decision.ID.Written)
		}
	}
	all := len(e.Cylinders.Each)
	if len(left) == 0 || 2*(all-len(left)) <= all {
		return
	}
	f := Finding{Place: r.Overhauls[0].Removed.Place, About: About{Round: r.Name, Record: r.Overhauls[0].Stem},
		misses: misses,
		Next:   "see that they stand on the list of what is due, or add the record that is missing"}
	f.Message = fmt.Sprintf("round %s: %d of %d, cylinder %s was not opened", r.Name, all-len(left), all, left[0])
	if n := len(left); n > 1 {
		f.Message = fmt.Sprintf("round %s: %d of %d, cylinders %s and %s were not opened", r.Name, all-n, all,
			strings.Join(left[:n-1], ", "), left[n-1])
	}
	if len(trials) == len(left) {
		f.Message += " (trial " + trials[0] + ")"
		f.Next = "the trial says when they are"
	}
	c.Report(f)
}
