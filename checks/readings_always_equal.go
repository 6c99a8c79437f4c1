package checks

import (
	"fmt"

	"needlebook/logbook"
)

var readingsAlwaysEqual = &Check{
	Name:  "readings-always-equal",
	Level: History,
	Doc: "Three readings of the opening pressure as left were equal in record after record of one hand. A hand pump does not repeat itself to the bar every time: either one reading was written three times, or the readings were brought to the nominal. " +
		"Their spread is what tells a sticking needle and a poor gauge, and three equal figures hide it. Write what the gauge showed each time.",
	Source:  "from memory",
	Example: "11 records in a row by t.wairimu have three equal readings of the opening pressure as left, from 2021-04-19 to 2021-11-09",
	Grade:   Advice,
	Whole: func(c *Case) {
		runs := map[string][]*logbook.Overhaul{}
		for _, o := range c.Book.Overhauls {
			if len(o.AsLeft.Opening.Valid()) < 3 || !o.By.Stated() {
				continue
			}
			by := o.By.Written
			if !allEqual(o.AsLeft.Opening) {
				c.equalRun(runs[by])
				runs[by] = nil
				continue
			}
			runs[by] = append(runs[by], o)
		}
		for _, r := range runs {
			c.equalRun(r)
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
func (c *Case) equalRun(run []*logbook.Overhaul) {
	if len(run) <= c.Settings.SameReadings.Int() {
		return
	}
	first, last := run[0], run[len(run)-1]
	f := Finding{Place: last.AsLeft.Opening.Place, About: about(last), Related: []Related{{first.AsLeft.Opening.Place, "the first of them"}},
		Message: fmt.Sprintf("%d records in a row by %s have three equal readings of the opening pressure as left, from %s to %s", len(run), last.By, dateOr(first), dateOr(last)),
		Next:    "write what the gauge showed each time"}
	f.About.Hand = last.By.Written
	c.Report(f)
}
