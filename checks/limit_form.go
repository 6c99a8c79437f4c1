package checks

import (
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var limitForm = &Check{
	Name:  "limit-form",
	Level: Field,
	Doc: "A limit cannot be read, or the editions of a limits file do not follow one another. Every verdict of the ship rests on these lines: a limit that is " +
		"not read judges nothing, and an edition out of order may judge by the wrong one. Copy the line again from the manual.",
	Source:  "our own rule",
	Example: `editions[0].leak_down.as_left "30 .. 5 s": expected the lower limit first`,
	Slips:   []string{measure.SlipSpanForm, measure.SlipSpanReversed, logbook.SlipEditionOverlap},
	Words: func(p logbook.Problem, f *Finding) {
		switch {
		case p.Slip == logbook.SlipEditionOverlap:
			f.Grade, f.Next = Answer, "put the editions in the order of their days, the oldest first"
			f.Related = []Related{{p.Related, "the edition before it"}}
		case f.Next == "":
			f.Next = "write " + p.Expected + "; nothing was read there"
		}
	},
	Grade: Answer,
}
