package checks

import (
	"fmt"

	"needlebook/logbook"
)

var readingsAlwaysEqual = &Check{
	Name:  "readings-always-equal",
	Level: History,
	Doc: "Three readings of the opening pressure as left were equal in record after record of one hand. A hand pump does not repeat itself to the bar every time: either one reading was written three times, or the readings were brought to the nominal. " +
		"Their spread is what tells a sticking needle and a poor gauge, and three equal figures hide it. Write what the gauge showed each time. Where most records of the other hands have three equal readings too, the gauge is too coarse to show a spread, and nothing is said.",
	Source:  "from memory",
	Example: "11 records in a row by t.wairimu have three equal readings of the opening pressure as left, from 2021-04-19 to 2021-11-09",
	Grade:   Advice,
	Whole: func(c *Case) {
		runs, coarse := map[string][]*logbook.Overhaul{}, equalElsewhere(c)
		for _, o := range c.Book.Overhauls {
			if len(o.AsLeft.Opening.Valid()) < 3 || !o.By.Stated() {
				continue
			}
			by := o.By.Written
			if !allEqual(o.AsLeft.Opening) {
				c.equalRun(runs[by], coarse)
				runs[by] = nil
				continue
			}
			runs[by] = append(runs[by], o)
		}
		for _, r := range runs {
			c.equalRun(r, coarse)
		}
	},
}

func allEqual(a logbook.Amounts) bool {
	list := a.Valid()
	for _, r := range list[1:] {
		if r.Compare(list[0].Quantity) != 0 {
			return false
		}
	}
	return true
}

// equalRun reports a run of such records at its last, where it is longer than the book allows.
func (c *Case) equalRun(run []*logbook.Overhaul, coarse func(hand string) bool) {
	if len(run) <= c.Settings.SameReadings.Int() || coarse(run[0].By.Written) {
		return
	}
	first, last := run[0], run[len(run)-1]
	f := Finding{Place: last.AsLeft.Opening.Place, About: about(last), Related: []Related{{first.AsLeft.Opening.Place, "the first of them"}},
		Message: fmt.Sprintf("%d records in a row by %s have three equal readings of the opening pressure as left, from %s to %s", len(run), last.By, dateOr(first), dateOr(last)),
		Next:    "write what the gauge showed each time"}
	f.About.Hand = last.By.Written
	c.Report(f)
}

// equalElsewhere says of a hand whether most records of all the others have three equal readings as well.
func equalElsewhere(c *Case) func(hand string) bool {
	all, equal := map[string]int{}, map[string]int{}
	n, e := 0, 0
	for _, o := range c.Book.Overhauls {
		if len(o.AsLeft.Opening.Valid()) < 3 {
			continue
		}
		all[o.By.Written]++
		if n++; allEqual(o.AsLeft.Opening) {
			equal[o.By.Written]++
			e++
		}
	}
	return func(hand string) bool {
		others := n - all[hand]
		return others >= c.Settings.SetBaseline.Int() && 2*(e-equal[hand]) > others
	}
}
