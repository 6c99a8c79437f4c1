package survival

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// UpperBound returns the highest true share of bad that still leaves a chance of 1 - confidence to find no more than
// this many bad among those opened. With confidence 0.95, 0 bad of 6 still allows 39 %.
//
// Source: Clopper and Pearson 1934, Biometrika 26, 404, one-sided.
func UpperBound(bad, opened int, confidence float64) (float64, error) {
	if err := checkCount(bad, opened, confidence); err != nil {
		return 0, err
	}
	if bad == opened {
		return 1, nil
	}
	if bad == 0 {
		return -math.Expm1(math.Log1p(-confidence) / float64(opened)), nil
	}
	return distuv.Beta{Alpha: float64(bad + 1), Beta: float64(opened - bad)}.Quantile(confidence), nil
}

// LowerBound returns the lowest true share of bad that still leaves a chance of 1 - confidence to find at least this
// many bad among those opened. Source: as [UpperBound].
func LowerBound(bad, opened int, confidence float64) (float64, error) {
	if err := checkCount(bad, opened, confidence); err != nil {
		return 0, err
	}
	upper, err := UpperBound(opened-bad, opened, confidence)
	return 1 - upper, err
}

// BadShare returns the two-sided interval for the true share of bad at a level such as 0.95: both one-sided bounds with
// half of what is left. Source: as [UpperBound].
func BadShare(bad, opened int, level float64) (Interval, error) {
	if err := checkCount(bad, opened, level); err != nil {
		return Interval{}, err
	}
	low, err := LowerBound(bad, opened, 0.5+level/2)
	if err != nil {
		return Interval{}, err
	}
	high, err := UpperBound(bad, opened, 0.5+level/2)
	return Interval{low, high}, err
}

// OpeningsNeeded returns how many must be opened, with no more than so many bad among them, to prove with a confidence
// that the true share of bad is no more than target. With none bad it is the success run, ln(1 - confidence) / ln(1 -
// target) rounded up.
func OpeningsNeeded(target, confidence float64, bad int) (int, error) {
	if err := checkShare("the share of bad to prove", target); err != nil {
		return 0, err
	}
	if err := checkCount(bad, bad+1, confidence); err != nil {
		return 0, err
	}
	proves := func(n int) bool {
		bound, err := UpperBound(bad, n, confidence)
		return err == nil && bound <= target
	}
	high := bad + 1
	for ; !proves(high); high *= 2 {
		if high > 1<<40 {
			return 0, fmt.Errorf("a share of bad of %v takes more overhauls than can be counted", target)
		}
	}
	low := bad
	for high-low > 1 {
		if mid := low + (high-low)/2; proves(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high, nil
}

func checkCount(bad, opened int, confidence float64) error {
	if opened < 1 {
		return errors.New("none were opened: nothing can be said of the share of bad")
	}
	if bad < 0 || bad > opened {
		return fmt.Errorf("%d bad of %d opened cannot be", bad, opened)
	}
	return checkShare("confidence", confidence)
}
