package checks

import (
	"fmt"
	"math"

	"needlebook/logbook"
)

var readingsAlwaysEqual = &Check{
	Name:    "readings-always-equal",
	Subject: OfRecord,
	Ends:    figuresAshore,
	Version: 2,
	Level:   History,
	Doc: "Three readings of the opening pressure as left were equal in record after record, with one bench, method and " +
		"instrument. A hand pump does not repeat itself to the bar every time: either one reading was written three times, " +
		"or the readings were brought to the nominal. " +
		"Their spread is what tells a sticking needle and a poor gauge, and three equal figures hide it. Write what the " +
		"gauge showed each time. A coarse gauge shows three equal readings by itself: where the ship's other records make " +
		"such a row likely, allowing for all rows, nothing is said. Who wrote them is not asked: that is the ship's matter.",
	Source:  "from memory",
	Example: "11 records in a row have three equal readings as left: same bench, method and instrument",
	Grade:   Advice,
	Whole: func(c *Case) {
		runs, chance := map[string][]*logbook.Overhaul{}, equalByChance(c)
		for _, o := range c.Book.Overhauls {
			if len(o.AsLeft.Opening.Valid()) < 3 || !o.By.Stated() {
				continue
			}
			method := methodOf(o)
			if !allEqual(o.AsLeft.Opening) {
				c.equalRun(runs[method], chance)
				runs[method] = nil
				continue
			}
			runs[method] = append(runs[method], o)
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
func (c *Case) equalRun(run []*logbook.Overhaul, chance func(method string, n int) float64) {
	if len(run) <= c.Settings.SameReadings.Int() || 100*chance(methodOf(run[0]),
		len(run)) > c.Settings.SameChance.Float() {
		return
	}
	first, last := run[0], run[len(run)-1]
	f := Finding{Place: last.AsLeft.Opening.Place, About: about(last),
		Related: []Related{{first.AsLeft.Opening.Place, "the first of them"}},
		Message: fmt.Sprintf("%d records in a row have three equal readings as left: same bench, method and instrument",
			len(run)),
		Evidence: []string{fmt.Sprintf("from %s to %s", dateOr(first), dateOr(last))},
		Next:     "write what the gauge showed each time"}
	c.Report(f)
}

// equalByChance gives the chance that records of one bench, method and instrument have a row of three equal readings,
// from how often all other records have them, and allowing for all such rows. Of few others the share is not known:
// it is Laplace's, one more of two more.
func equalByChance(c *Case) func(method string, row int) float64 {
	all, equal := map[string]int{}, map[string]int{}
	n, e := 0, 0
	for _, o := range c.Book.Overhauls {
		if len(o.AsLeft.Opening.Valid()) < 3 {
			continue
		}
		all[methodOf(o)]++
		if n++; allEqual(o.AsLeft.Opening) {
			equal[methodOf(o)]++
			e++
		}
	}
	return func(method string, row int) float64 {
		share := float64(e-equal[method]+1) / float64(n-all[method]+2)
		return float64(len(all)) * math.Pow(share, float64(row))
	}
}

// methodOf is what records that were made alike have in common: whoever tests has a bench, a gauge and a way of
// reading.
func methodOf(o *logbook.Overhaul) string {
	return o.By.Written + "\n" + o.AsLeft.Bench.Written + "\n" + o.AsLeft.Gauge.Written
}
