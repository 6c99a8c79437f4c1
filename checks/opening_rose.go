package checks

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/checks/recurring"
)

var openingRose = &Check{
	Name:    "opening-rose",
	Subject: OfHolder,
	Ends:    foundAgain,
	Version: 2,
	Level:   History,
	Doc: "A valve opens higher as found than it was left, by more than the uncertainty of the difference: of two " +
		"gauges, or of one on two days. Valves lose " +
		"pressure in service as spring and seats bed in; one that has gained some has a " +
		"sticking needle, a seat whose contact has moved outward, or is another valve than the record says; or one of the " +
		"two gauges is wrong. Take the middle of three readings rather than the first, compare the gauge with a " +
		"second one, " +
		"read the stamp on the holder again. Valves set or tested while their gauge is on record as wrong are left out.",
	Source:  "common practice, no source",
	Example: "opening pressure 335 bar as found is 15 bar above 320 bar as left of 2023-04-20",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, s := range c.Recurring().Shifts {
			if s.FoundWrong != nil || s.LeftWrong != nil || s.Bar <= 0 {
				continue
			}
			o := s.Overhaul
			uncertainty, known := c.apart(s)
			words := "the uncertainty of"
			if !known { // nothing is known of a gauge: as much as three readings may differ
				uncertainty, words = c.Settings.ReadingSpread.Float(), "three readings may differ:"
			}
			if s.Bar <= uncertainty {
				continue
			}
			c.Report(Finding{Place: s.Found.Place, About: about(o), Related: []Related{{s.Left.Place,
				"left at " + s.Left.Opening.String()}},
				Message: fmt.Sprintf("opening pressure %s as found is %s above %s as left of %s", s.Found,
					s.Left.Opening.Apart(s.Found.Quantity), s.Left.Opening, s.Left.Day),
				Evidence: []string{fmt.Sprintf("more than %s %s", words, s.Left.Opening.Like(uncertainty))},
				Next:     "compare the gauge with a second one, try the needle, read the stamp on the holder again"})
		}
	},
}

// apart is how well the difference of an opening pressure as found and as left before is known, in bar; ok is false
// where nothing is known of one of the two gauges.
func (c *Case) apart(s recurring.Shift) (bar float64, ok bool) {
	before := s.Left.Overhaul
	if before == nil {
		return 0, false
	}
	return judging.Between(c.Book, judging.OpeningTaken(&s.Overhaul.AsFound, s.Overhaul.Day()),
		judging.OpeningTaken(&before.AsLeft, s.Left.Day))
}
