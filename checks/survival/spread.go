package survival

import (
	"fmt"
	"math"
	"slices"
)

// Spread is what must be asked of the ages before a fitted shape is worth printing: when all valves are opened near one
// age, the fitted shape is a number drawn from a hat. The thresholds are settings of the book.
type Spread struct {
	Share float64 // share of all opened that must be young, and that must be old: 0.2
	Young float64 // young is below this times the median age opened: 0.6
	Old   float64 // old is above this times the median age opened: 1.2
	Ended int     // how many must have gone bad: 5
}

// Refusal is the error that says why a shape is not fitted. Its text is meant to be printed.
type Refusal struct {
	Reason     string
	Median     float64 // median age opened
	Young, Old int     // how many were opened young, and old
	Needed     int     // how many of each are needed
}

// Error returns the reason.
func (r *Refusal) Error() string { return r.Reason }

// Fit learns shape and scale where the ages allow. The error is a [*Refusal] where they do not, or one of
// [FitWeibull]'s.
func (s Spread) Fit(lives []Life) (Fit, error) {
	if err := checkLives(lives); err != nil {
		return Fit{}, err
	}
	if !(s.Share >= 0 && s.Share <= 0.5) || !(s.Young > 0 && s.Young <= 1) || !(s.Old >= 1) || math.IsInf(s.Old, 1) {
		return Fit{}, fmt.Errorf("spread asked for is %+v: a share up to 0.5, young up to 1 and old from 1 times the "+
			"median are needed", s)
	}
	if r := s.refuse(lives); r != nil {
		return Fit{}, r
	}
	return FitWeibull(lives)
}

func (s Spread) refuse(lives []Life) *Refusal {
	ages := make([]float64, len(lives))
	for i, l := range lives {
		ages[i] = l.opened()
	}
	slices.Sort(ages)
	n := len(ages)
	r := &Refusal{Median: (ages[(n-1)/2] + ages[n/2]) / 2, Needed: int(math.Ceil(s.Share*float64(n) - 1e-9))}
	for _, age := range ages {
		if age < s.Young*r.Median {
			r.Young++
		}
		if age > s.Old*r.Median {
			r.Old++
		}
	}
	ended := endedOf(lives)
	switch {
	case ended < s.Ended:
		r.Reason = fmt.Sprintf("no shape is fitted: %d of %d gone bad, at least %d are needed", ended, n, s.Ended)
	case r.Young < r.Needed || r.Old < r.Needed:
		r.Reason = fmt.Sprintf("no shape is fitted, the ages are too much alike: of %d opened, %d below %g and %d above %g "+
			"times the median age of %.0f; %d of each are needed",
			n, r.Young, s.Young, r.Old, s.Old, r.Median, r.Needed)
	default:
		return nil
	}
	return r
}
