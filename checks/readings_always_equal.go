package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
)

var readingsAlwaysEqual = &Check{
	Name:    "readings-always-equal",
	Subject: OfPost,
	Ends:    figuresAshore,
	Version: 1,
	Level:   History,
	Doc: "Three readings of the opening pressure as left were equal in record after record of one person. A hand pump " +
		"does not repeat itself to the bar every time: either one reading was written three times, or the readings were " +
		"brought to the nominal. " +
		"Their spread is what tells a sticking needle and a poor gauge, and three equal figures hide it. Write what the " +
		"gauge showed each time. A coarse gauge shows three equal readings by itself: where the others' records make such " +
		"a row likely, nothing is said.",
	Source:  "from memory",
	Example: "11 records in a row by t.wairimu have three equal readings as left",
	Grade:   Advice,
	Whole: func(c *Case) {
		runs, chance := map[string][]*logbook.Overhaul{}, equalByChance(c)
		for _, o := range c.Book.Overhauls {
			if len(o.AsLeft.Opening.Valid()) < 3 || !o.By.Stated() {
				continue
			}
			by := o.By.Written
			if !allEqual(o.AsLeft.Opening) {
				c.equalRun(runs[by], chance)
				runs[by] = nil
				continue
			}
			runs[by] = append(runs[by], o)
		}
		for _, r := range runs {
			c.equalRun(r, chance)
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
func (c *Case) equalRun(run []*logbook.Overhaul, chance func(person string, n int) float64) {
	if len(run) <= c.Settings.SameReadings.Int() || 100*chance(run[0].By.Written,
		len(run)) > c.Settings.SameChance.Float() {
		return
	}
	first, last := run[0], run[len(run)-1]
	f := Finding{Place: last.AsLeft.Opening.Place, About: about(last),
		Related:  []Related{{first.AsLeft.Opening.Place, "the first of them"}},
		Message:  fmt.Sprintf("%d records in a row by %s have three equal readings as left", len(run), last.By),
		Evidence: []string{fmt.Sprintf("from %s to %s", dateOr(first), dateOr(last))},
		Next:     "write what the gauge showed each time"}
	f.About.Person = last.By.Written
	c.Report(f)
}

// equalByChance gives the chance of a row of records with three equal readings, from how often the records of all the
// other hands have them; 0 where too few others are known.
func equalByChance(c *Case) func(person string, row int) float64 {
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
	return func(person string, row int) float64 {
		others := n - all[person]
		if others < c.Settings.SetBaseline.Int() {
			return 0
		}
		return math.Pow(float64(e-equal[person])/float64(others), float64(row))
	}
}
