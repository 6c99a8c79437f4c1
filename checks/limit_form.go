package checks

import (
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var limitForm = &Check{
	Name:  "limit-form",
	Level: Field,
	Doc: "A limit cannot be read, a revision lacks its first day or its source, or the revisions of a limits file do not follow one another. Every verdict of the ship rests on these lines: a limit that is " +
		"not read judges nothing, one value where a band belongs is none, and a revision out of order may judge by the wrong one. Copy the line again from the manual.",
	Source:  "our own rule",
	Example: `revisions[0].leak_down.as_left "30 .. 5 s": expected the lower limit first`,
	Whole: func(c *Case) {
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				if !e.From.Present() {
					c.Report(Finding{Place: e.Place, Message: "a revision of " + name + " has no first day: it is never in force", Next: "write from: the first day in force"})
				}
				if !e.Source.Stated() && !e.Blank() {
					c.Report(Finding{Place: e.Place, Grade: Advice, Message: "a revision of " + name + " names no source: nobody can look its limits up", Next: "write source: document, section and revision"})
				}
				if p := e.Probability; p.Quantity.Valid() && !(p.Float() >= 50 && p.Float() < 100) {
					c.Report(Finding{Place: p.Place, Message: "conformance " + p.String() + " cannot be asked for: no doubt is counted", Next: "write a share from 50 % to below 100 %, such as 95 %"})
				}
			}
		}
	},
	Slips: []string{measure.SlipSpanForm, measure.SlipSpanReversed, logbook.SlipRevisionOverlap},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Slip == logbook.SlipRevisionOverlap:
			f.Grade, f.Next = Action, "put the revisions in the order of their days, the oldest first"
			f.Related = []Related{{p.Related, "the revision before it"}}
		case f.Next == "" && len(p.Meant) > 0:
			f.Next = "type " + strings.Join(p.Meant, " or ") + ", or the value with its tolerance; nothing is judged by it"
		case f.Next == "":
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Action,
}
