package survival

import (
	"fmt"
	"math"
	"slices"
)

// History is one unit that can be renewed again and again, such as a position or a holder that uses up nozzles.
type History struct {
	Events []float64 // ages of the unit at its renewals, in any order, none after Until; two at one age count twice
	Until  float64   // age up to which it was watched
}

// MeanStep is a step of the mean number of renewals.
type MeanStep struct {
	Age     float64
	Watched int     // units under observation at the age
	Events  int     // renewals at the age
	Mean    float64 // mean number of renewals per unit up to the age
	SE      float64 // its standard error, allowing for units that differ
}

// MeanCumulative returns the mean number of renewals per unit by age, in order of age, with no distribution assumed. A unit whose
// watching ends at an age counts as watched then.
//
// Source: Nelson 1988, Journal of Quality Technology 20, 24 (mean cumulative function); standard error of Lawless and Nadeau 1995,
// Technometrics 37, 158.
func MeanCumulative(units []History) ([]MeanStep, error) {
	if len(units) == 0 {
		return nil, ErrNone
	}
	var ages []float64
	for i, u := range units {
		if err := checkAbove(fmt.Sprintf("the age up to which unit %d was watched", i+1), u.Until); err != nil {
			return nil, err
		}
		for _, e := range u.Events {
			if !(e > 0 && e <= u.Until) {
				return nil, fmt.Errorf("unit %d was renewed at %v and watched up to %v: renewals lie above 0 and within the watch", i+1, e, u.Until)
			}
		}
		ages = append(ages, u.Events...)
	}
	slices.Sort(ages)
	ages = slices.Compact(ages)

	steps := make([]MeanStep, len(ages))
	own := make([]float64, len(units)) // how far each unit has pulled the mean off so far
	mean := 0.0
	for k, age := range ages {
		s := &steps[k]
		s.Age = age
		events := make([]float64, len(units))
		for i, u := range units {
			if u.Until >= age {
				s.Watched++
			}
			for _, e := range u.Events {
				if e == age {
					events[i]++
					s.Events++
				}
			}
		}
		rate := float64(s.Events) / float64(s.Watched)
		mean += rate
		square := 0.0
		for i, u := range units {
			if u.Until >= age {
				own[i] += (events[i] - rate) / float64(s.Watched)
			}
			square += own[i] * own[i]
		}
		s.Mean, s.SE = mean, math.Sqrt(square)
	}
	return steps, nil
}
