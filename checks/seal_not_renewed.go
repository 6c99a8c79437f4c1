package checks

import (
	"strings"

	"needlebook/logbook"
)

var sealNotRenewed = &Check{
	Name:    "seal-not-renewed",
	Subject: OfHolder,
	Ends:    sealRenewed,
	Version: 1,
	Level:   Record,
	Doc: "A seal was used again, or the record does not say of a place that its seal is new. Seals are always new: a " +
		"hardened one leaks fuel into the cooling or " +
		"onto the head, and a second-hand ring in the pocket lets gas past. Open the joint and renew the seal, or write " +
		"why the place has none.",
	Source:  "common practice, no source",
	Example: `seal of the adjusting screw: reused`,
	Holds:   wasBuilt,
	Each: func(c *Case, o *logbook.Overhaul) {
		s := o.Assembled.Seals
		places := []struct {
			name string
			word logbook.Word
			due  bool
		}{
			{"adjusting screw", s.AdjustingScrew, o.AsLeft.Stated()},
			{"body", s.Body, o.AsLeft.Stated()},
			{"pocket", s.Pocket, o.Fitted.Stated() && !o.Fitted.RingsIn.Present()},
		}
		var unnamed []string
		for _, p := range places {
			switch {
			case p.word.Is("reused"):
				c.Report(Finding{Place: p.word.Place, Message: "seal of the " + p.name + ": reused", About: about(o),
					Next: "seals are always new: open the joint and renew it"})
			case p.due && o.Assembled.Stated() && !s.Excused() && !p.word.Present():
				unnamed = append(unnamed, p.name)
			}
		}
		if len(unnamed) > 0 {
			place := s.Place
			if !s.Present() {
				place = o.Assembled.Place
			}
			c.Report(Finding{Place: place, Message: "seal of the " + strings.Join(unnamed, " and of the ") +
				": not said to be new", About: about(o),
				Next: "write renewed for the place, or why it has none: not applicable (why)"})
		}
		if day := o.AsLeft.Date.Day; s.UseBefore.Day != 0 && day > s.UseBefore.Day {
			c.Report(Finding{Place: s.UseBefore.Place, Message: "seals to be used before " + s.UseBefore.Written +
				" were built in by " + day.String(), Grade: Action,
				About: about(o), Next: "renew them from stock in date, or write who accepted them and why"})
		}
	},
	Grade: Stop,
}
