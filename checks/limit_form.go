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
	Doc: "A limit cannot be read, an edition lacks its first day or its source, or the editions of a limits file do not follow one another. Every verdict of the ship rests on these lines: a limit that is " +
		"not read judges nothing, one value where a band belongs is none, and an edition out of order may judge by the wrong one. Copy the line again from the manual.",
	Source:  "our own rule",
	Example: `editions[0].leak_down.as_left "30 .. 5 s": expected the lower limit first`,
	Whole: func(c *Case) {
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Editions {
				if !e.From.Present() {
					c.Report(Finding{Place: e.Place, Message: "an edition of " + name + " has no first day: it is never in force", Next: "write from: the first day in force"})
				}
				if !e.Source.Stated() && !e.Blank() {
					c.Report(Finding{Place: e.Place, Grade: Advice, Message: "an edition of " + name + " names no source: nobody can look its limits up", Next: "write source: document, section and revision"})
				}
				if p := e.Probability; p.Quantity.Valid() && !(p.Float() >= 50 && p.Float() < 100) {
					c.Report(Finding{Place: p.Place, Message: "conformance " + p.String() + " cannot be asked for: no doubt is counted", Next: "write a share from 50 % to below 100 %, such as 95 %"})
				}
			}
		}
	},
	Slips: []string{measure.SlipSpanForm, measure.SlipSpanReversed, logbook.SlipEditionOverlap},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Slip == logbook.SlipEditionOverlap:
			f.Grade, f.Next = Answer, "put the editions in the order of their days, the oldest first"
			f.Related = []Related{{p.Related, "the edition before it"}}
		case f.Next == "" && len(p.Meant) > 0:
			f.Next = "type " + strings.Join(p.Meant, " or ") + ", or the value with its tolerance; nothing is judged by it"
		case f.Next == "":
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Answer,
}
